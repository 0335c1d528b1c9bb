"""Of several loggers of a room, the one that stood nearest speaks for the object, day by day."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt

import pytest

from softmend.errors import ConflictError, InputError, MissingEvidenceError
from softmend.records.logger_file import LoggerFile
from softmend.records.place import NearLogger, ObjectPlace
from softmend.services.places.house import loggers_in
from softmend.services.places.nearest import loggers_for, record_for, words_of_record
from softmend.services.places.reading import confirm_each, take_in
from softmend.services.places.tied import (
    say_nearest,
    say_of_object,
    stand_object,
    tied_in,
)
from tests.services.places.conftest import BODY


def hang(bench, author, place_id, folder, logger, first, days, percent, **more) -> None:
    """Bring in a logger of so many days of hours."""
    rows = [first + dt.timedelta(hours=hour) for hour in range(24 * days)]
    path = folder / f"{logger}.csv"
    path.write_text(
        "time,T,RH\n" + "".join(f"{at:%Y-%m-%d %H:%M},20,{percent + at.hour % 3}\n" for at in rows)
    )
    sha256 = take_in(bench, path)
    blank = LoggerFile(place_id, logger, path.name, sha256, "", "", "", "", "", "", "", "",
                       0, 0.0, 0.0, **more)  # fmt: skip
    confirm_each(bench, author, {"": blank}, {"zone": "UTC+02:00"})


@pytest.fixture
def two(bench, author, place_id, dossier_id, tmp_path) -> str:
    """The dossier whose room has a second logger for its middle months."""
    hang(bench, author, place_id, tmp_path, "north wall", dt.datetime(2011, 2, 1), 100, 45)
    hang(bench, author, place_id, tmp_path, "south wall", dt.datetime(2011, 3, 1), 45, 62,
         rh_offset_percent=-2.0, calibrated_how="a salt", calibrated_on="2012-01-05")  # fmt: skip
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2011-01-10"), "")
    say_of_object(bench, author, dossier_id, BODY, "")
    return dossier_id


def shown(bench, dossier_id):
    with bench.store.reading() as reader:
        tied = tied_in(reader, dossier_id)
        record = record_for(bench, reader, tied)
        return tied, record, " ".join(words_of_record(record, tied, loggers_for(reader, tied)))


def near(bench, author, dossier_id, *chosen: NearLogger) -> None:
    with bench.store.reading() as reader:
        based_on = tied_in(reader, dossier_id).stands_id
    say_nearest(bench, author, dossier_id, chosen, based_on)


def test_the_longest_speaks_until_somebody_says_who_stood_nearest(bench, two) -> None:
    _tied, record, words = shown(bench, two)
    assert record.logger == "north wall"
    assert "2 loggers hang in this room; the longest, north wall, was taken." in words


def test_each_period_has_its_logger_and_calibration_is_said(bench, author, two) -> None:
    near(bench, author, two, NearLogger("north wall", "", "2011-03-31"),
         NearLogger("south wall", "2011-04-01", "2011-04-10"),
         NearLogger("north wall", "2011-04-11", ""))  # fmt: skip
    tied, record, words = shown(bench, two)
    assert record.logger == "north wall, then south wall"
    first, last = (dt.datetime(2011, 4, day, tzinfo=dt.UTC).timestamp() for day in (2, 9))
    rows = zip(record.hours.times_s, record.hours.rh, strict=True)
    assert {rh for at, rh in rows if first < at < last} == {60.0, 61.0, 62.0}
    assert record.coverage_percent > 99
    assert len(record.entry_ids) == 2
    assert "south wall from 2011-04-01 until 2011-04-10, as it stood nearest." in words
    assert "south wall: −2 %RH and +0 K were added to every reading (a salt, 2012-01-05)." in words
    assert tied.earlier == ()


def test_days_that_no_logger_speaks_for_stay_missing(bench, author, two) -> None:
    near(bench, author, two, NearLogger("north wall", "", "2011-02-10"),
         NearLogger("north wall", "2011-05-01", ""))  # fmt: skip
    _tied, record, _words = shown(bench, two)
    assert record.coverage_percent < 30
    near(bench, author, two, NearLogger("south wall", "2020-01-01", ""))
    with pytest.raises(MissingEvidenceError, match="No logger that stood nearest has a reading"):
        shown(bench, two)


def test_one_logger_speaks_for_a_day(bench, author, two) -> None:
    early, late = (
        NearLogger("north wall", "", "2011-05-01"),
        NearLogger("south wall", "2011-04-01"),
    )
    for chosen, words in (
        ((NearLogger("cellar"),), "No such logger hangs in this room"),
        ((NearLogger("north wall", "2012-05-01", "2011-05-01"),), "lies before its first"),
        ((early, late), "Two loggers are named for the same days"),
    ):
        with pytest.raises(InputError, match=words):
            near(bench, author, two, *chosen)
    with pytest.raises(ConflictError):
        say_nearest(bench, author, two, (NearLogger("south wall"),), "another")


def test_loggers_of_one_file_are_taken_one_by_one(bench, author, place_id, tmp_path) -> None:
    path = tmp_path / "two.csv"
    path.write_text(
        "time;Hall T;Hall RH;Case T;Case RH\n"
        + "".join(f"2024-03-15 {h:02d}:00;20;50;21;45\n" for h in range(24))
    )
    sha256 = take_in(bench, path)
    blank = LoggerFile(place_id, "by the door", "two.csv", sha256, "", "", "", "", "", "", "", "",
                       0, 0.0, 0.0)  # fmt: skip
    confirm_each(bench, author, {"Hall": blank}, {"zone": "UTC"})
    with bench.store.reading() as reader:
        found = loggers_in(reader, place_id)
    assert list(found) == ["by the door"]
    assert found["by the door"][0].file.name_in_file == "Hall"
    with pytest.raises(InputError, match="There is no such logger in the file"):
        confirm_each(bench, author, {"Attic": blank}, {"zone": "UTC"})
    with pytest.raises(InputError, match="No logger of the file was taken"):
        confirm_each(bench, author, {}, {"zone": "UTC"})
