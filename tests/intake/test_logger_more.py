"""Dialects that nobody asked for: a right guess or a plain question, never a wrong silent one."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import io
import zipfile

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.intake.logger import LoggerFile, Stated
from tests.intake.logger_more_texts import MORE
from tests.intake.logger_texts import ROWS, comma, file_of

HOURS = [f"{hour:02d}" for hour in range(24)]


def read(data: bytes | str, **stated: str):
    return LoggerFile(data if isinstance(data, bytes) else data.encode()).read(Stated(**stated))


def day_of(row: str, header: str = "Time,T,RH\n") -> str:
    """Return a day of hours; {h} is the hour, {d} its last figure."""
    return header + "".join(row.format(h=h, d=h[-1]) + "\n" for h in HOURS)


def book(*sheets: list[list[str]]) -> bytes:
    """Return a workbook of plain words, sheet by sheet."""
    main = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for at, rows in enumerate(sheets, 1):
            lines = "".join(
                "<row>"
                + "".join(
                    f'<c r="{"ABCD"[i]}{n}" t="inlineStr"><is><t>{cell}</t></is></c>'
                    for i, cell in enumerate(row)
                )
                + "</row>"
                for n, row in enumerate(rows, 1)
            )
            archive.writestr(
                f"xl/worksheets/sheet{at}.xml",
                f"<worksheet {main}><sheetData>{lines}</sheetData></worksheet>",
            )
    return packed.getvalue()


@pytest.mark.parametrize("name", MORE)
def test_every_further_dialect_gives_the_same_readings(name: str) -> None:
    record = read(MORE[name])
    assert len(record.series) == 1
    one = record.series[0]
    times = [at.replace(tzinfo=dt.UTC).timestamp() for at, _, _ in ROWS]
    assert one.times_s == pytest.approx(times, abs=1)
    assert one.temperature_degc == pytest.approx([t for _, t, _ in ROWS], abs=0.06)
    assert one.rh_percent == pytest.approx([rh for _, _, rh in ROWS], abs=0.06)
    assert record.row_count == len(ROWS)


REFUSED = {
    "a column for each day": (
        "Hour,2024-03-15,2024-03-16\n" + "".join(f"{h}:00,45.1,46.2\n" for h in HOURS),
        "has a column for each day",
    ),
    "a column for each hour": (
        "Date," + ",".join(f"{h}:00" for h in HOURS) + "\n"
        + "".join(f"2024-03-{d},{','.join(['45.1'] * 24)}\n" for d in range(15, 20)),
        "has a column for each hour",
    ),
    "hours from a start that nobody names": (
        day_of("{h},20.{d},45.{d}", "Elapsed (h),T,RH\n"),
        "count their time from a start that the file does not name",
    ),
    "numbered rows, one left out": (
        "Start: 2024-03-15 22:00\nInterval: 1 h\n"
        + day_of("{h},20.{d},45.{d}", "No,T,RH\n").replace("05,20.5,45.5\n", ""),
        "hold figures but no date",
    ),
    "figures from a start, no unit": (
        "Start: 2024-03-15 22:00\n" + day_of("{h},20.{d},45.{d}", "Elapsed,T,RH\n"),
        "names no unit",
    ),
    "a start with day and month open": (
        "Start: 03/04/2024 22:00\n" + day_of("{h},20.{d},45.{d}", "Elapsed (h),T,RH\n"),
        "cannot be known in the start",
    ),
    "no time at all": (day_of("20.{d},45.{d}", "T,RH\n"), "hold figures but no date"),
    "year, month, day apart, the hour left out": (
        day_of("2024;3;15;20.{d};45.{d}", "Year;Month;Day;T;RH\n"),
        "Many rows stand on one date",
    ),
    "year, month, day apart without names": (
        day_of("2024;3;15;{h};20.{d};45.{d}", "a;b;c;d;T;RH\n"),
        "hold figures but no date",
    ),
    "dates without the hour": (
        "Date;T;RH\n" + "".join(f"2024-03-{d};20.1;45\n" for d in (15, 16) for _ in HOURS),
        "Many rows stand on one date",
    ),
    "packed dates without the hour": (
        "Date;Shift;T;RH\n" + "".join(f"202403{d};a;20.1;45\n" for d in (15, 16) for _ in HOURS),
        "Many rows stand on one date",
    ),
    "twelve hours without AM": (
        "Time,T,RH\n"
        + "".join(f"2024-03-31 {int(h) % 12 or 12}:00,20.1,45\n" for h in HOURS),
        "runs to 12 and carries no AM or PM",
    ),
    "the columns change": (
        day_of("2024-03-30 {h}:00,20.1,45") + day_of("2024-03-31 {h}:00,45,20.1", "Time,RH,T\n"),
        "The columns change at line 26",
    ),
    "one record below another": (
        day_of("2024-03-31 {h}:00,20,45") + "\n" + day_of("2024-03-31 {h}:00,25,55"),
        "A second record of the same days begins at line 27",
    ),
    "degrees of both kinds": (
        day_of("2024-03-30 {h}:00,20.1°C,45") + "2024-03-31 00:00,68.2°F,45\n" * 3,
        "Some temperatures of the file are in °C and some in °F",
    ),
    "a quantity a row": (
        "Time,Quantity,Value\n"
        + "".join(
            f"2024-03-31 {h}:00,Temperature,20\n2024-03-31 {h}:00,Humidity,45\n" for h in HOURS
        ),
        "The file gives one quantity a row",
    ),
    "no day above twelve": (
        "Time;T;RH\n" + "".join(f"0{d}.0{d + 1}.0{d + 2} 12:00;20.1;50\n" for d in range(1, 6)),
        "Whether day or month comes first cannot be known",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_would_be_read_wrongly_is_refused_with_the_reason(name: str) -> None:
    text, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        read(text)


ASKED = {
    "a dew point alone": (
        day_of("2024-03-31 {h}:00,20.{d},9.1", "Time,T °C,Dew point °C\n"),
        "“Dew point °C” is no such and was not turned into one",
    ),
    "absolute humidity alone": (
        day_of("2024-03-31 {h}:00,20.{d},9.1", "Time,T °C,Abs. humidity g/m3\n"),
        "“Abs. humidity g/m3” is no such",
    ),
    "no humidity": (
        day_of("2024-03-31 {h}:00,20.{d}", "Time,T °C\n"), "No column of humidity was found",
    ),
    "tenths": (day_of("2024-03-31 {h}:00,20.1,45{d}"), "reads as 454 % in the middle"),
    "a wrong unit": (
        day_of("2024-03-31 {h}:00,20.{d},45", "Time,Temp °F,RH\n"), "reads as -6 °C in the middle",
    ),
    "Fahrenheit without its name": (
        day_of("2024-03-31 {h}:00,68.{d},45"), "the values read as °F",
    ),
    "columns without names": (
        day_of("2024-03-31 {h}:00,45.{d},22", "Time,a,b\n"), "“a” was taken as relative humidity",
    ),
    "two temperatures and one humidity": (
        day_of("2024-03-31 {h}:00,20.{d},21,45", "Time,Temp int,Temp ext,RH\n"),
        "Which temperature belongs to which humidity is not known",
    ),
    "another record below, days later": (
        day_of("2024-03-31 {h}:00,20,45") + "\n" + day_of("2024-05-31 {h}:00,25,55"),
        "The header stands again at line 27, and the times leap there",
    ),
    "another record below without a header": (
        day_of("2024-03-31 {h}:00,20,45") + day_of("2024-03-31 {h}:00,25,55", ""),
        "The times begin again 1 time on the way down",
    ),
    "dates of two patterns": (
        day_of("31.03.2024 {h}:00;20.1;45", "Time;T;RH\n") + day_of("2024-31-03 {h}:00;20;45", "")
        + day_of("2024-30-03 {h}:00;20;45", ""),
        "48 of 72 lines were not read, the first of them line 26: 2024-31-03 00:00;20;45",
    ),
    "no zone": (day_of("2024-03-31 {h}:00,20.{d},45"), "No time zone is named"),
}  # fmt: skip


@pytest.mark.parametrize("name", ASKED)
def test_what_is_only_guessed_is_asked(name: str) -> None:
    text, words = ASKED[name]
    assert words in " ".join(read(text).unsure)


@pytest.mark.parametrize(
    "header",
    [
        ";Hall;;Case;\nTime;T °C;RH %;T °C;RH %\n",
        "Time;Hall T;Hall RH;Case T;Case RH\n",
        "Time;Temperature Hall;Humidity Hall;Temperature Case;Humidity Case\n",
        "Time;Hall °C;Hall %;Case °C;Case %\n",
    ],
)
def test_loggers_side_by_side_keep_their_names(header: str) -> None:
    record = read(
        file_of(
            header,
            lambda t, a, b: (
                f"{t:%d.%m.%Y %H:%M};{comma(a)};{comma(b)};{comma(a + 1)};{comma(b - 5)}"
            ),
        )
    )
    assert [one.name for one in record.series] == ["Hall", "Case"]
    assert record.series[1].temperature_degc == pytest.approx([t + 1 for _, t, _ in ROWS], abs=0.06)
    assert record.series[1].rh_percent == pytest.approx([rh - 5 for _, _, rh in ROWS], abs=0.06)


@pytest.mark.parametrize("header", ["Date;Hour;T;RH\n", "Date;Heure;T;HR\n"])
def test_an_hour_of_its_own_joins_its_date(header: str) -> None:
    times = read(day_of("2024-03-15;{h};20.1;45.{d}", header)).series[0].times_s
    assert np.all(np.diff(times) == 3600)


def test_readings_of_a_later_sheet_are_found_and_further_ones_are_said() -> None:
    facts = [["Serial", "1"], ["Made by", "a logger"]]
    rows = [["Time", "T", "RH"]] + [[f"2024-03-15 {h}:00", "20", "50"] for h in HOURS]
    record = read(book(facts, rows))
    assert record.encoding == "office workbook, sheet 2"
    assert record.row_count == 24
    both = read(book(rows, rows))
    assert "sheet 2 holds readings too and was not read" in " ".join(both.unsure)


def test_packed_days_and_times_are_joined() -> None:
    times = read(day_of("20240315;{h}30;20.1;45.{d}", "Date;Time;T;RH\n")).series[0].times_s
    assert times[0] == dt.datetime(2024, 3, 15, 0, 30, tzinfo=dt.UTC).timestamp()
    assert np.all(np.diff(times) == 3600)


def test_words_for_missing_are_missing_and_counted() -> None:
    text = day_of("2024-03-31 {h}:00,20.1,45").replace("03:00,20.1", "03:00,Err")
    record = read(text.replace("04:00,20.1,45", "04:00,--,n/a"))
    one = record.series[0]
    assert np.isnan(one.temperature_degc[[3, 4]]).all()
    assert np.flatnonzero(np.isnan(one.rh_percent)).tolist() == [4]
    assert record.row_count == 24


@pytest.mark.parametrize("second", ["2024-03-31", "2024-05-31"])
@pytest.mark.parametrize("fact", ["Logger: {}", "Serial number;{}", "Room = {}"])
def test_records_below_one_another_are_told_apart_by_the_line_above(fact: str, second: str) -> None:
    one = f"Made by: a program\n{fact.format('Hall')}\n" + day_of("2024-03-31 {h}:00;20.1;45")
    two = f"Made by: a program\n{fact.format('Case')}\n" + day_of(second + " {h}:00;25.1;55")
    record = read(f"{one}\n{two}".replace("Time,T,RH", "Time;T;RH"))
    assert [one.name for one in record.series] == ["Hall", "Case"]
    assert [one.rh_percent.mean() for one in record.series] == [45, 55]
    assert [one.times_s.size for one in record.series] == [24, 24]


def test_the_pages_of_one_record_stay_one_record_without_a_word() -> None:
    pages = day_of("2024-03-30 {h}:00,20.1,45") + day_of("2024-03-31 {h}:00,20.1,45")
    record = read(pages)
    assert len(record.series) == 1
    assert "leap" not in " ".join(record.unsure)


@pytest.mark.parametrize("stated", ["2024-03-15 22:00", "15.03.2024 22:00"])
def test_a_start_that_the_file_does_not_name_is_asked_and_stated(stated: str) -> None:
    record = read(day_of("{h},20.{d},45.{d}", "Elapsed (h),T,RH\n"), counted_from=stated)
    assert record.series[0].times_s[0] == dt.datetime(2024, 3, 15, 22, tzinfo=dt.UTC).timestamp()
    assert record.time_told == "counted from 2024-03-15 22:00:00, as you stated"
    assert record.day_order == ""


def test_an_open_start_is_read_in_the_order_that_is_stated() -> None:
    text = "Start: 03/04/2024 22:00\n" + day_of("{h},20.{d},45.{d}", "Elapsed (h),T,RH\n")
    first = read(text, day_order="day first").series[0].times_s[0]
    assert first == dt.datetime(2024, 4, 3, 22, tzinfo=dt.UTC).timestamp()


def test_what_the_time_was_put_together_from_is_said() -> None:
    record = read(MORE["year, month, day and hour apart"])
    assert record.columns[0].name == "Year Month Day Hour"
    assert "year, month, day, hour in columns of their own" in " ".join(record.notes)
