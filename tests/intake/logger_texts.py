"""Loggers' files in many dialects, all of the same thirty hourly readings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Callable

START = dt.datetime(2024, 3, 15, 22)
ROWS = [(START + dt.timedelta(hours=i), 20 + 0.1 * i, 45 + 0.3 * i) for i in range(30)]
Row = Callable[[dt.datetime, float, float], str]


def file_of(header: str, row: Row, end: str = "", encoding: str = "utf-8") -> bytes:
    """Return the bytes of a file: what stands above, a line a reading, what stands below."""
    return (header + "".join(row(*one) + "\n" for one in ROWS) + end).encode(encoding)


def comma(value: float, digits: int = 1) -> str:
    """Return a number with a decimal comma."""
    return f"{value:.{digits}f}".replace(".", ",")


def number_of(at: dt.datetime) -> int:
    """Return the row's own number, from 1."""
    return round((at - START).total_seconds() / 3600) + 1


def serial(at: dt.datetime, zero: dt.datetime = dt.datetime(1899, 12, 30)) -> float:
    """Return a moment as a spreadsheet counts days from its day nought."""
    return (at - zero).total_seconds() / 86400


DIALECTS: dict[str, bytes] = {
    "semicolon, decimal comma, Windows": file_of(
        "Datum;Temperatur [°C];rel. Feuchte [%]\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H:%M};{comma(a)};{comma(b)}",
        encoding="cp1252",
    ),
    "tab, UTF-16": file_of(
        "Time\tTemperature\tHumidity\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S}\t{a:.1f}\t{b:.1f}",
        encoding="utf-16",
    ),
    "UTF-16 without a mark, quoted, French": file_of(
        '"Date/heure";"Température (°C)";"Humidité (%HR)"\n',
        lambda t, a, b: f'"{t:%d/%m/%Y %H:%M}";"{comma(a)}";"{comma(b)}"',
        encoding="utf-16-le",
    ),
    "title, AM and PM, Fahrenheit, event columns": file_of(
        '"Plot Title: Case 3"\n"#","Date Time, GMT+00:00","Temp, °F (LGR S/N: 9, SEN S/N: 9, '
        'LBL: Hall)","RH, % (LGR S/N: 9, SEN S/N: 9, LBL: Hall)","Coupler","End Of File"\n',
        lambda t, a, b: (
            f"{number_of(t)},{t:%m/%d/%y %I:%M:%S %p},{a * 1.8 + 32:.2f},{b:.2f},,"
        ),
        encoding="utf-8-sig",
    ),
    "ISO with offset": file_of(
        "timestamp,t,rh\n",
        lambda t, a, b: f"{t + dt.timedelta(hours=2):%Y-%m-%dT%H:%M:%S}+02:00,{a:.2f},{b:.2f}",
    ),
    "ISO with Z and fractions, negative offset": file_of(
        "time,T,RH\n", lambda t, a, b: f"{t:%Y-%m-%dT%H:%M:%S}.000Z,{a:.2f},{b:.2f}"
    ),
    "epoch seconds": file_of(
        "time,temperature,humidity\n",
        lambda t, a, b: f"{t.replace(tzinfo=dt.UTC).timestamp():.0f},{a:.2f},{b:.2f}",
    ),
    "epoch milliseconds": file_of(
        "ts;temp;rh\n",
        lambda t, a, b: f"{t.replace(tzinfo=dt.UTC).timestamp() * 1000:.0f};{a:.2f};{b:.2f}",
    ),
    "date and time apart": file_of(
        "Datum;Uhrzeit;Temperatur;Feuchte\n",
        lambda t, a, b: f"{t:%d.%m.%Y};{t:%H:%M:%S};{comma(a)};{comma(b)}",
    ),
    "American date, time with PM, units glued on": file_of(
        "Date,Time,Temp,RH\n",
        lambda t, a, b: f"{t:%m/%d/%Y},{t:%I:%M %p},{a * 1.8 + 32:.2f}°F,{b:.2f}%",
    ),
    "comments and a row of units": file_of(
        "# logger 1\n# place: hall\nDate,Temperature,Humidity\n,°C,%RH\n",
        lambda t, a, b: f"{t:%Y/%m/%d %H:%M},{a:.2f},{b:.2f}",
    ),
    "a spreadsheet's days": file_of(
        "Zeit;T;RH\n", lambda t, a, b: f"{comma(serial(t), 6)};{comma(a)};{comma(b)}"
    ),
    "month by name, all quoted, summary below": file_of(
        '"Date","Temp","RH"\n',
        lambda t, a, b: f'" {t:%d-%b-%Y %H:%M}","{comma(a)}","{comma(b)} %"',
        '"Average","21,4","48,2"\n"Minimum","20,0","45,0"\n',
    ),
    "facts above, one with a date and a number": file_of(
        "Serial,12345\nDownloaded,2024-03-20,1200\nInterval,60,min\n\n"
        "Date Time,Temperature °C,Humidity %RH,Dew Point °C\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a:.1f},{b:.1f},9.9",
    ),
    "packed figures behind a number": file_of(
        "id,Te,RHe\n", lambda t, a, b: f"07{t:%Y%m%d%H},{a:.2f},{b:.2f}"
    ),
    "no header": file_of("", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a:.2f},{b:.2f}"),
    "humidity from 0 to 1": file_of(
        "time,T,RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S},{a:.2f},{b / 100:.3f}"
    ),
    "blanks": file_of("Date Time T RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M} {a:.2f} {b:.2f}"),
    "bars and months in full": file_of(
        "when|temperature|humidity\n",
        lambda t, a, b: f"{t.day} {t:%B %Y %H:%M}|{a:.1f}|{b:.1f}",
    ),
    "rows numbered, header not; serial number once": file_of(
        "Time,Celsius(°C),Humidity(%rh),Dew Point(°C),Serial Number\n",
        lambda t, a, b: (
            f"{number_of(t)},{t:%Y-%m-%d %H:%M},{a:.2f},{b:.2f},9.5"
            + (",10057" if t == START else "")
        ),
    ),
    "humidity first, absolute humidity and pressure beside": file_of(
        "time;RH;abs. hum. g/m3;T;p hPa\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{comma(b)};8,5;{comma(a)};1013,2",
    ),
    "two-figure year first": file_of(
        "date,temp,rh\n", lambda t, a, b: f"{t:%y/%m/%d %H:%M},{a:.2f},{b:.2f}"
    ),
    "pattern named in the header": file_of(
        "Time (dd/mm/yyyy hh:mm),Temperature (C),RH (%)\n",
        lambda t, a, b: f"{t:%d/%m/%Y %H:%M},{a:.1f},{b:.1f}",
    ),
    "numbers cut in two by decimal commas": file_of(
        "time,T,RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{comma(a)},{comma(b)}"
    ),
    "Finnish, dots in the time": file_of(
        "Aika;Lämpötila;Kosteus\n",
        lambda t, a, b: f"{t:%d.%m.%Y %H.%M.%S};{comma(a)};{comma(b)}",
        encoding="latin-1",
    ),
    "comment sign before the header, blanks": file_of(
        "# date time temp rh\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S} {a:.2f} {b:.1f}"
    ),
    "blanks around semicolons": file_of(
        " Zeit ; T ; RH \n", lambda t, a, b: f" {t:%d.%m.%Y %H:%M} ; {comma(a)} ; {comma(b)} "
    ),
    "a summary with a date below": file_of(
        "Time;Temp;Hum\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M:%S};{a:.2f};{b:.1f}",
        "\nMax;2024-03-17 03:00:00;22.9\nEnd of file\n",
    ),
    "both degrees": file_of(
        "Time;Temp F;Temp C;RH\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M};{a * 1.8 + 32:.1f};{a:.1f};{b:.1f}",
    ),
    "weekday and year last": file_of(
        "time;T;RH\n", lambda t, a, b: f"{t:%a %b %d %H:%M:%S %Y};{a:.1f};{b:.1f}"
    ),
    "Kelvin, old line ends": file_of(
        "time,temp_K,RH\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a + 273.15:.2f},{b:.1f}"
    ).replace(b"\n", b"\r"),
}  # fmt: skip


def workbook(
    book: str = "", zero: dt.datetime = dt.datetime(1899, 12, 30), style: int = 1
) -> bytes:
    """Return the same readings as the smallest workbook, its dates in a style or bare."""
    words = ["Time", "Temperature °C", "RH %"]
    lines = ["".join(f'<c r="{"ABC"[i]}1" t="s"><v>{i}</v></c>' for i in range(3))]
    lines += [
        f'<c r="A{n}" s="{style}"><v>{serial(t, zero)!r}</v></c><c r="B{n}"><v>{a!r}</v></c>'
        f'<c r="C{n}"><v>{b!r}</v></c>'
        for n, (t, a, b) in enumerate(ROWS, 2)
    ]
    main = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    parts = {
        "xl/sharedStrings.xml": f"<sst {main}>"
        + "".join(f"<si><t>{word}</t></si>" for word in words)
        + "</sst>",
        "xl/styles.xml": f'<styleSheet {main}><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/>'
        "</cellXfs></styleSheet>",
        "xl/worksheets/sheet1.xml": f"<worksheet {main}><sheetData>"
        + "".join(f"<row>{line}</row>" for line in lines)
        + "</sheetData></worksheet>",
    }
    if book:
        parts["xl/workbook.xml"] = f"<workbook {main}>{book}</workbook>"
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, '<?xml version="1.0" encoding="UTF-8"?>' + text)
    return packed.getvalue()
