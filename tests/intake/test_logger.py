"""A logger's file is read in any dialect; what cannot be known is asked; nothing is dropped."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError, NotFoundError, SoftmendError
from softmend.intake.logger import LoggerFile, Stated, open_logger
from tests.intake.logger_texts import DIALECTS, ROWS, file_of, workbook

LOGGERS = Path(__file__).parents[1] / "data" / "loggers"


def read(data: bytes | str, **stated: str):
    return LoggerFile(data if isinstance(data, bytes) else data.encode()).read(Stated(**stated))


def utc(*parts: int) -> float:
    return dt.datetime(*parts, tzinfo=dt.UTC).timestamp()


@pytest.mark.parametrize("name", DIALECTS)
def test_every_dialect_gives_the_same_readings(name: str) -> None:
    record = read(DIALECTS[name])
    assert len(record.series) == 1
    one = record.series[0]
    times = [at.replace(tzinfo=dt.UTC).timestamp() for at, _, _ in ROWS]
    assert one.times_s == pytest.approx(times, abs=1)
    assert one.temperature_degc == pytest.approx([t for _, t, _ in ROWS], abs=0.06)
    assert one.rh_percent == pytest.approx([rh for _, _, rh in ROWS], abs=0.06)
    assert record.row_count == len(ROWS)


def test_a_workbook_is_read_without_another_program() -> None:
    record = read(workbook())
    assert record.series[0].times_s[0] == utc(2024, 3, 15, 22)
    assert record.series[0].rh_percent == pytest.approx([rh for _, _, rh in ROWS])
    assert record.encoding == "office workbook, first sheet"


@pytest.mark.parametrize("told", ["1", "true"])
@pytest.mark.parametrize("style", [0, 1])
def test_a_workbook_that_counts_from_1904_is_not_read_four_years_early(
    told: str, style: int
) -> None:
    facts = f'<workbookPr date1904="{told}"/>'
    record = read(workbook(facts, dt.datetime(1904, 1, 1), style))
    times = [at.replace(tzinfo=dt.UTC).timestamp() for at, _, _ in ROWS]
    assert record.series[0].times_s == pytest.approx(times, abs=1)
    assert "dates counted from 1904" in record.encoding


def test_bare_day_numbers_are_said_to_be_counted_from_1900() -> None:
    record = read(DIALECTS["a spreadsheet's days"])
    assert record.time_told == "a spreadsheet's day numbers, counted from 1900"
    assert "the first is 2024-03-15: some sheets count from 1904" in " ".join(record.notes)


def test_day_and_month_are_not_guessed_when_no_day_is_above_twelve() -> None:
    text = "time,T,RH\n" + "".join(f"0{d}/03/2024 12:00,20,5{d}\n" for d in range(1, 8))
    with pytest.raises(InputError) as refused:
        read(text)
    said = refused.value.sentence()
    assert (
        "Whether day or month comes first cannot be known: no day in the file is above 12" in said
    )
    assert "day first: 2024-03-01 to 2024-03-07" in said
    assert "month first: 2024-01-03 to 2024-07-03" in said
    assert read(text, day_order="day first").series[0].times_s[1] == utc(2024, 3, 2, 12)
    assert read(text, day_order="month first").series[0].times_s[1] == utc(2024, 2, 3, 12)


def test_a_stated_order_that_makes_impossible_dates_is_refused() -> None:
    text = file_of("time,T,RH\n", lambda t, a, b: f"{t:%d/%m/%Y %H:%M},{a},{b}")
    with pytest.raises(InputError, match="dates are impossible when read month first"):
        read(text, day_order="month first")


def test_mixed_orders_in_one_file_are_refused() -> None:
    with pytest.raises(InputError, match="Some dates of the file have the day first and some"):
        read("time,T,RH\n13/01/2024 10:00,20,50\n01/14/2024 10:00,20,50\n")


def test_a_zone_comes_from_the_header_the_stamp_the_person_or_is_said_to_be_unknown() -> None:
    bare = "{},T,RH\n2021-07-01 12:00,20,50\n2021-07-01 13:00,20,50\n"
    assert read(bare.format("t_UTC+2")).series[0].times_s[0] == utc(2021, 7, 1, 10)
    assert read(bare.format("Date Time GMT-05:00")).series[0].times_s[0] == utc(2021, 7, 1, 17)
    named = read(bare.format("time"), zone="Europe/Helsinki")
    assert (named.zone, named.series[0].times_s[0]) == ("Europe/Helsinki", utc(2021, 7, 1, 9))
    unknown = read(bare.format("time"))
    assert "No time zone is named" in unknown.unsure[0]
    with pytest.raises(InputError, match="The time zone is not known; got Nowhere/City"):
        read(bare.format("time"), zone="Nowhere/City")


def hours(day: str, clock: list[str]) -> str:
    return "time,T,RH\n" + "".join(f"{day} {one},20,50\n" for one in clock)


def test_the_doubled_hour_is_told_apart_by_the_order_of_the_file() -> None:
    text = hours("2021-10-31", ["01:00", "02:00", "02:30", "02:00", "02:30", "03:00"])
    record = read(text, zone="Europe/Berlin")
    wanted = [utc(2021, 10, 30, 23), *(utc(2021, 10, 31, 0) + 1800 * i for i in range(5))]
    assert record.series[0].times_s.tolist() == wanted
    assert any("The clock went back on 2021-10-31" in note for note in record.notes)


def test_a_missing_hour_that_has_readings_is_said() -> None:
    record = read(hours("2021-03-28", ["01:00", "02:00", "02:30", "03:00"]), zone="Europe/Berlin")
    assert any("2 readings stand in an hour that Europe/Berlin did not have" in n
               for n in record.notes)  # fmt: skip


def test_a_record_without_a_zone_shows_that_its_clock_kept_summer_time() -> None:
    clock = [f"2021-10-{30 + i // 24} {i % 24:02d}:00" for i in range(27)]
    clock += [f"2021-10-31 {h:02d}:00" for h in range(2, 24)]
    record = read("time,T,RH\n" + "".join(f"{one},20,50\n" for one in clock))
    assert any("An hour stands twice on 2021-10-31" in one for one in record.unsure)


def test_several_loggers_stand_wide_long_or_behind_their_number() -> None:
    wide = file_of(
        "date," + ",".join(f"T{i},RH_{i}" for i in range(1, 10)) + "\n",
        lambda t, a, b: f"{t:%Y-%m-%d %H:%M}," + ",".join(f"{a + i},{b + i}" for i in range(9)),
    )
    assert [one.name for one in read(wide).series] == [str(i) for i in range(1, 10)]
    long = file_of(
        "Sensor;Time;T;RH\n",
        lambda t, a, b: "\n".join(
            f"{s};{t:%Y-%m-%d %H:%M};{a};{b + n}" for n, s in enumerate(("Hall", "Case"))
        ),
    )
    record = read(long)
    assert [one.name for one in record.series] == ["Hall", "Case"]
    assert record.series[1].rh_percent[0] == 46
    packed = "id,T,RH\n" + "".join(
        f"0{u}20240315{h:02d},20,5{u}\n" for u in (1, 2) for h in range(9)
    )
    assert [one.name for one in read(packed).series] == ["01", "02"]


def test_nothing_is_dropped_without_a_word() -> None:
    text = "time,T,RH\n" + "".join(
        f"2024-03-15 {h:02d}:00,{'---' if h == 3 else 20},{-999 if h == 4 else 50}\n"
        + ("time,T,RH\n" if h == 5 else "Button pressed\n" if h == 7 else "")
        for h in range(10)
    )
    record = read(text + "2024-03-15 10:00,2")
    assert np.isnan(record.series[0].temperature_degc[3])
    assert np.isnan(record.series[0].rh_percent[4])
    assert [(one.why, one.line_number) for one in record.set_aside] == [
        ("the header again", 8), ("no time was recognised in it", 11),
        ("the file breaks off in it", 14),
    ]  # fmt: skip
    assert (record.row_count, record.set_aside_count) == (10, 3)


def test_event_rows_keep_their_time_and_are_counted() -> None:
    text = "Time,T,RH,End Of File\n" + "".join(f"2024-03-15 {h:02d}:00,20,50,\n" for h in range(5))
    record = read(text + "2024-03-15 05:00,,,Logged\n")
    assert any("1 rows have a time and no value" in note for note in record.notes)
    assert record.series[0].times_s.size == 6


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The logger's file is empty"),
        (b"hello world\n", "No line of the file looks like a reading"),
        (b"\xd0\xcf\x11\xe0" + b"1" * 99, "The file is an old office workbook"),
        (b"PK\x03\x04" + b"1" * 99, "The workbook cannot be read"),
        (bytes(range(256)) * 9, "The file is not text"),
        (b"time,place,what,value\n" + b"2024-03-15 10:00,x,temperature,20\n"
         b"2024-03-15 10:00,x,humidity,50\n" * 2, "The file gives one quantity a row"),
    ],
)  # fmt: skip
def test_what_is_no_record_is_refused_in_one_sentence(data: bytes, words: str) -> None:
    with pytest.raises(InputError) as refused:
        read(data)
    assert words in refused.value.sentence()


def test_a_statement_that_is_no_choice_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="The day_order is not known; got backwards"):
        read(DIALECTS["blanks"], day_order="backwards")
    with pytest.raises(InputError, match="The delimiter is not known"):
        read(DIALECTS["blanks"], delimiter="dots")
    with pytest.raises(NotFoundError):
        open_logger(tmp_path / "none.csv")
    with pytest.raises(InputError, match="This is not a file"):
        open_logger(tmp_path)


@pytest.mark.parametrize(
    ("name", "rows", "first", "last"),
    [
        ("house_eighteen_months_hourly", 13105, utc(2011, 1, 30, 22), utc(2012, 7, 29, 22)),
        ("house_nine_months_hourly", 6337, utc(2010, 11, 27, 22), utc(2011, 8, 18, 22)),
        ("house_three_weeks_10min", 3000, utc(2020, 12, 18, 13, 15), utc(2021, 1, 8, 9, 5)),
    ],
)
def test_the_real_records_are_read_untouched(
    name: str, rows: int, first: float, last: float
) -> None:
    path = LOGGERS / f"{name}.csv"
    record = open_logger(path).read()
    assert record.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (record.row_count, record.set_aside_count, record.zone) == (rows, 0, "UTC+02:00")
    one = record.series[0]
    assert (one.times_s[0], one.times_s[-1]) == (first, last)
    # Each number as it stands in the file, read by another reader.
    plain = np.loadtxt(path, delimiter=",", skiprows=1, usecols=(1, 2))
    assert np.array_equal(one.temperature_degc, plain[:, 0])
    assert np.array_equal(one.rh_percent, plain[:, 1])


def said(data: bytes) -> str:
    """Return how many rows were read, or the refusal."""
    try:
        return f"{read(data).row_count} rows."
    except SoftmendError as refused:
        return refused.sentence()


@given(st.binary(max_size=300))
@settings(max_examples=60, deadline=None)
def test_no_bytes_break_the_reader(data: bytes) -> None:
    assert said(data).endswith(".")


@given(st.integers(0, 1200), st.binary(min_size=1, max_size=3))
@settings(max_examples=60, deadline=None)
def test_a_damaged_file_is_read_or_refused(at: int, damage: bytes) -> None:
    whole = DIALECTS["title, AM and PM, Fahrenheit, event columns"]
    assert said(whole[:at] + damage + whole[at + len(damage) :]).endswith(".")
