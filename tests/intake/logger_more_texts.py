"""Loggers' files in further dialects, again all of the same thirty hourly readings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt

from tests.intake.logger_texts import comma, file_of, number_of, serial

FACTS = "".join(f"Fact {n}\tvalue {n}\r\n" for n in range(17))
MONTHS_FR = ["janvier", "février", "mars", "avril"]


def with_line(data: bytes, line: str, after: int) -> bytes:
    """Return a file with one more line put in after so many."""
    lines = data.decode().split("\n")
    return "\n".join([*lines[:after], line, *lines[after:]]).encode()


def midnight_as_24(t: dt.datetime) -> str:
    """Return a moment whose midnight is the end of the day before."""
    if t.hour:
        return f"{t:%Y-%m-%d %H:%M}"
    return f"{t - dt.timedelta(days=1):%Y-%m-%d} 24:00"


MORE: dict[str, bytes] = {
    "UTF-16 big end first, twenty lines of facts, a row of units": b"\xfe\xff" + file_of(
        f"Logger report\r\nMade by a program\r\n{FACTS}Date\tTemperature\tHumidity\r\n"
        "\t°C\t%RH\r\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S}\t{a:.1f}\t{b:.1f}\r",
    ).decode().encode("utf-16-be"),
    "two rows of header, the channel above the quantity": file_of(
        ";Channel 1;Channel 1\nDate;Temperature °C;Humidity %\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(a)};{comma(b)}",
    ),
    "year, month by name": file_of(
        "Time,Temp (C),RH (%)\n", lambda t, a, b: f"{t:%Y-%b-%d %H:%M},{a:.1f},{b:.1f}"
    ),
    "points in the date, PM in the time": file_of(
        "Date Time;T;RH\n", lambda t, a, b: f"{t:%d.%m.%y %I:%M %p};{a:.1f};{b:.1f}"
    ),
    "Spanish, p. m.": file_of(
        "Fecha y hora;Temperatura;Humedad relativa\n",
        lambda t, a, b: (
            f"{t:%d/%m/%Y %I:%M:%S} {'p' if t.hour > 11 else 'a'}. m.;{comma(a)};{comma(b)}"
        ),
    ),
    "status behind, delimiter at the end": file_of(
        "Time;Temp;RH;Status;\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{a:.1f};{b:.1f};OK;"
    ),
    "a page's header again in the middle": with_line(
        file_of("Time,T °C,RH %\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a:.1f},{b:.1f}"),
        "Time,T °C,RH %", 12,
    ),
    "lines of talk below": file_of(
        "Time,T °C,RH %\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a:.1f},{b:.1f}",
        "\nReadings: 30\nEnd of data, checksum 4711\n",
    ),
    "midnight as 24:00": file_of(
        "Time,T °C,RH %\n", lambda t, a, b: f"{midnight_as_24(t)},{a:.1f},{b:.1f}"
    ),
    "thousands with a comma in another column": file_of(
        "Time,T °C,RH %,Light (lux)\n",
        lambda t, a, b: f'{t:%Y-%m-%d %H:%M},{a:.1f},{b:.1f},"1,234"',
    ),
    "blanks that do not break before the unit": file_of(
        "Zeit;Temperatur;Feuchte\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(a)}\u00a0°C;{comma(b)}\u202f%",
    ),
    "Latin-1, units alone as names": file_of(
        "Date;\u00b0C;%\n", lambda t, a, b: f"{t:%d/%m/%Y %H:%M};{a:.1f};{b:.1f}",
        encoding="latin-1",
    ),
    "Russian, Windows": file_of(
        "Дата;Время;Температура, °C;Влажность, %\n",
        lambda t, a, b: f"{t:%d.%m.%Y};{t:%H:%M};{comma(a)};{comma(b)}", encoding="cp1251",
    ),
    "Russian, UTF-8, humidity first": file_of(
        "Дата и время;Отн. влажность;Темп.\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(b)};{comma(a)}",
    ),
    "French, 22h00": file_of(
        "Date;Heure;Température (°C);Humidité relative (%)\n",
        lambda t, a, b: f"{t:%d/%m/%Y};{t:%Hh%M};{comma(a)};{comma(b)}", encoding="cp1252",
    ),
    "French months in full": file_of(
        "Date;T;HR\n",
        lambda t, a, b: f"{t.day} {MONTHS_FR[t.month - 1]} {t:%Y %H:%M};{comma(a)};{comma(b)}",
    ),
    "Dutch": file_of(
        "Datum/tijd;Temperatuur;Luchtvochtigheid\n",
        lambda t, a, b: f"{t:%d-%m-%Y %H:%M};{comma(a)};{comma(b)}",
    ),
    "Swedish, humidity first": file_of(
        "Tid;Luftfuktighet;Temperatur\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{comma(b)};{comma(a)}",
    ),
    "Polish, quoted": file_of(
        '"Data";"Godzina";"Wilgotność";"Temperatura"\n',
        lambda t, a, b: f'"{t:%Y-%m-%d}";"{t:%H:%M:%S}";"{comma(b)}";"{comma(a)}"',
    ),
    "Hungarian": file_of(
        "Időpont;Páratartalom (%);Hőmérséklet (°C)\n",
        lambda t, a, b: f"{t:%Y.%m.%d. %H:%M};{comma(b)};{comma(a)}",
    ),
    "Japanese, wide signs": file_of(
        "日時,湿度(％),温度(℃)\n", lambda t, a, b: f"{t:%Y/%m/%d %H:%M},{b:.1f},{a:.1f}"
    ),
    "Greek": file_of(
        "Ημερομηνία;Υγρασία %;Θερμοκρασία °C\n",
        lambda t, a, b: f"{t:%d/%m/%Y %H:%M};{comma(b)};{comma(a)}",
    ),
    "a spreadsheet's word of its delimiter": file_of(
        "sep=;\nTime;T;RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{a:.1f};{b:.1f}"
    ),
    "fractions of a second behind a comma": file_of(
        "Zeit;T [°C];rF [%]\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S},000;{comma(a)};{comma(b)}",
    ),
    "packed, with T and Z": file_of(
        "time,T,RH\n", lambda t, a, b: f"{t:%Y%m%dT%H%M%SZ},{a:.1f},{b:.1f}"
    ),
    "channels named, units in their own row": file_of(
        "Time,Channel 1,Channel 2\n,[°C],[%rH]\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a:.1f},{b:.1f}",
    ),
    "least, mean and most of each hour": file_of(
        "Time;Temp min;Temp avg;Temp max;RH min;RH avg;RH max\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{a - 1:.1f};{a:.1f};{a + 1:.1f};{b - 2:.1f};{b:.1f};"
        f"{b + 2:.1f}",
    ),
    "American date with dashes, Fahrenheit": file_of(
        "Date,Time,Temperature (deg F),Relative Humidity\n",
        lambda t, a, b: f"{t:%m-%d-%Y},{t:%H:%M:%S},{a * 1.8 + 32:.2f},{b:.1f}%",
    ),
    "dew point and absolute humidity beside, in blanks": file_of(
        "No.  Date  Time  Temp(C)  RH(%)  DewPt(C)  AbsHum(g/m3)\n",
        lambda t, a, b: f"{number_of(t)}  {t:%Y-%m-%d}  {t:%H:%M:%S}  {a:.1f}  {b:.1f}  9.3  8.7",
    ),
    "a spreadsheet's days, a point, a unit row": file_of(
        "Time,Temp,Hum\nd,°C,%\n", lambda t, a, b: f"{serial(t):.8f},{a:.2f},{b:.2f}"
    ),
    "seconds since 1970, quoted, behind a name": file_of(
        '"device","epoch","temperature","humidity"\n',
        lambda t, a, b: f'"hall","{t.replace(tzinfo=dt.UTC).timestamp():.0f}","{a:.2f}","{b:.2f}"',
    ),
    "weekday and PM": file_of(
        "When,Temp °C,Hum %\n", lambda t, a, b: f'"{t:%A, %d %B %Y %I:%M %p}",{a:.1f},{b:.1f}'
    ),
    "plus signs, units in square brackets": file_of(
        "t [UTC];T [degC];U [%]\n", lambda t, a, b: f"{t:%Y-%m-%dT%H:%M:%SZ};+{a:.2f};{b:.2f}"
    ),
    "comments all the way down": with_line(
        file_of("#T;RH\n#time;T;RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{a:.1f};{b:.1f}"),
        "# battery changed", 15,
    ),
    "numbers with a blank for thousands": file_of(
        "Zeit;T;RF;CO2 ppm\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(a)};{comma(b)};1\u00a0234",
    ),
    "Swedish, packed day, dotted time": file_of(
        "Datum;Kl;Temp;RF\n", lambda t, a, b: f"{t:%Y%m%d};{t:%H.%M};{comma(a)};{comma(b)}"
    ),
    "a blank for thousands, deviations beside": file_of(
        "Time;CO2 (ppm);Temp;Temp sd;RH;RH std\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M};1 234;{a:.1f};0.1;{b:.1f};0.4",
    ),
    "time last, humidity first": file_of(
        "RH;T;Date;Time\n", lambda t, a, b: f"{comma(b)};{comma(a)};{t:%d.%m.%Y};{t:%H:%M}"
    ),
    "Windows line ends, Turkish": file_of(
        "Tarih;Sıcaklık (°C);Nem (%)\r\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(a)};{comma(b)}\r",
    ),
    "year, month, day and hour apart": file_of(
        "Year;Month;Day;Hour;T;RH\n",
        lambda t, a, b: f"{t.year};{t.month};{t.day};{t.hour};{comma(a)};{comma(b)}",
    ),
    "day, month by name, year, hour and minute, blanks": file_of(
        "Day Month Year Hour Min T RH\n",
        lambda t, a, b: f"{t.day} {t:%b} {t.year} {t.hour} {t.minute} {a:.1f} {b:.1f}",
    ),
    "year, day of the year, four figures": file_of(
        "Station 7\nYear,DOY,HHMM,Temp_C,RH_%\n",
        lambda t, a, b: f"{t.year},{t.timetuple().tm_yday},{t:%H%M},{a:.1f},{b:.1f}",
    ),
    "year, month, day apart, a clock": file_of(
        "Jahr\tMonat\tTag\tUhrzeit\tTemperatur °C\tFeuchte %\n",
        lambda t, a, b: f"{t:%Y\t%m\t%d\t%H:%M:%S}\t{comma(a)}\t{comma(b)}",
    ),
    "hours from a start": file_of(
        "Start: 2024-03-15 22:00\nElapsed (h),T,RH\n",
        lambda t, a, b: f"{number_of(t) - 1},{a:.1f},{b:.1f}",
    ),
    "seconds from a start on two lines": file_of(
        "Start date;15.03.2024\nStart time;22:00:00\nInterval;3600\n\n"
        "Time (s);Temp °C;RH %\n",
        lambda t, a, b: f"{(number_of(t) - 1) * 3600};{comma(a)};{comma(b)}",
    ),
    "a long clock from a start": file_of(
        "Started at 03/15/2024 10:00 PM\nElapsed time\tTemperature\tHumidity\n",
        lambda t, a, b: f"{number_of(t) - 1}:00:00\t{a:.1f}\t{b:.1f}",
    ),
    "days and a clock from a start": file_of(
        "Logging started,2024-03-15T22:00:00\nElapsed,T,RH\n",
        lambda t, a, b: (
            f"{(number_of(t) - 1) // 24}.{(number_of(t) - 1) % 24:02d}:00:00,{a:.1f},{b:.1f}"
        ),
    ),
    "four o'clock as 4:05p": file_of(
        "Time,T,RH\n",
        lambda t, a, b: f"{t:%m/%d/%y} {t.hour % 12 or 12}:{t:%M}{t:%p}".rstrip("M").lower()
        + f",{a:.1f},{b:.1f}",
    ),
    "the half of the day before the clock": file_of(
        "时间,温度,湿度\n",
        lambda t, a, b: (
            f"{t:%Y/%m/%d} {'下午' if t.hour > 11 else '上午'} {t:%I:%M:%S},{a:.1f},{b:.1f}"
        ),
    ),
    "the half of the day in Greek": file_of(
        "Ημερομηνία;Θερμοκρασία;Υγρασία\n",
        lambda t, a, b: (
            f"{t:%d/%m/%Y %I:%M:%S} {'μμ' if t.hour > 11 else 'πμ'};{comma(a)};{comma(b)}"
        ),
    ),
    "seconds since 1970, named as seconds": file_of(
        "time (s),T,RH\n",
        lambda t, a, b: f"{t.replace(tzinfo=dt.UTC).timestamp():.0f},{a:.2f},{b:.2f}",
    ),
    "names, units and how each was made": file_of(
        '"A program","station","1"\n"TIMESTAMP","RECORD","Air_Temp","RH"\n"TS","RN","Deg C","%"\n'
        '"","","Avg","Smp"\n',
        lambda t, a, b: f'"{t:%Y-%m-%d %H:%M:%S}",{number_of(t)},{a:.2f},{b:.1f}',
    ),
    "AM and PM in a column of their own": file_of(
        "Date,Time,AM/PM,Temp,Hum\n",
        lambda t, a, b: f"{t:%m/%d/%Y},{t:%I:%M},{t:%p},{a:.1f},{b:.1f}",
    ),
    "single quotes": file_of(
        "'Date','Time','Temp(C)','RH(%)'\n",
        lambda t, a, b: f"'{t:%d-%m-%Y}','{t:%H:%M:%S}','{a:.1f}','{b:.1f}'",
    ),
    "colons in the date": file_of(
        "Time,T,RH\n", lambda t, a, b: f"{t:%Y:%m:%d %H:%M:%S},{a:.1f},{b:.1f}"
    ),
    "day, month and year in one word": file_of(
        "Time,T,RH\n", lambda t, a, b: f"{t:%d%b%Y:%H:%M:%S},{a:.1f},{b:.1f}"
    ),
    "weekday in front, Uhr behind": file_of(
        "Datum/Uhrzeit;°C;%rF\n",
        lambda t, a, b: f"Fr. {t:%d.%m.%Y %H:%M} Uhr;{comma(a)};{comma(b)}",
    ),
    "packed figures, two of the year": file_of(
        "Time,T,RH\n", lambda t, a, b: f"{t:%y%m%d%H%M},{a:.1f},{b:.1f}"
    ),
    "numbered rows at a named interval": file_of(
        "Start time: 15.03.2024 22:00:00\nInterval: 60 min\nSamples: 30\n\nNo.\tTemp\tRH\n",
        lambda t, a, b: f"{number_of(t)}\t{a:.1f}\t{b:.1f}",
    ),
    "year to minute as letters": file_of(
        "YYYY MM DD HH mm Temp RelHum\n",
        lambda t, a, b: f"{t:%Y %m %d %H %M} {a:.1f} {b:.1f}",
    ),
    "year and a day of the year with its fraction": file_of(
        "Year,Julian Day,T_air,RH_pct\n",
        lambda t, a, b: (
            f"{t.year},{t.timetuple().tm_yday + t.hour / 24:.5f},{a:.1f},{b:.1f}"
        ),
    ),
    "milliseconds from a start": file_of(
        "Start Time,2024-03-15 22:00:00\nmillis,temp,hum\n",
        lambda t, a, b: f"{(number_of(t) - 1) * 3_600_000},{a:.1f},{b:.1f}",
    ),
    "a beginning and an end in every row": file_of(
        "From,To,T,RH\n",
        lambda t, a, b: (
            f"{t:%Y-%m-%d %H:%M},{t + dt.timedelta(hours=1):%Y-%m-%d %H:%M},{a:.1f},{b:.1f}"
        ),
    ),
}  # fmt: skip
