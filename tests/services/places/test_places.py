"""Places through the services: read once, joined, tied, told and never filled."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from dataclasses import replace

import pytest

from softmend.errors import ConflictError, MissingEvidenceError, NotFoundError
from softmend.records.crack_model import Told
from softmend.records.kinds import record_in
from softmend.records.logger_file import LoggerFile
from softmend.records.place import ObjectPlace, Place
from softmend.services.hand_over.place import keep_place, kept_place, place_page
from softmend.services.house_journal import strike_in_house
from softmend.services.places.account import account_of
from softmend.services.places.drawn import drawn, months_of
from softmend.services.places.house import (
    files_in,
    loggers_in,
    places_in,
    record_place,
)
from softmend.services.places.plans import BUFFERED, CASE, ROOM
from softmend.services.places.reading import confirm, guessed, stated_of, take_in
from softmend.services.places.record import record_of
from softmend.services.places.tied import say_of_object, stand_object, tied_in
from tests.services.places.conftest import BODY, COARSE, LOGGERS, LONG, SHORT, log_place


def humid(name: str) -> list[float]:
    """Return the humidities of a shared file, read without the program."""
    with (LOGGERS / name).open() as stream:
        return [float(row["RH"]) for row in csv.DictReader(stream)]


def test_an_eighteen_months_record_is_kept_whole_and_read_once(bench, logged) -> None:
    with bench.store.reading() as reader:
        files = loggers_in(reader, logged)["north wall"]
        record = record_of(bench, "north wall", files)
        again = record_of(bench, "north wall", files)
    assert record.hours.rh.tolist() == humid(LONG)
    assert again.key == record.key
    assert record.coverage_percent == 100
    assert "4 spikes of humidity pointed at, and kept." in record.flags


def test_two_files_of_one_logger_follow_each_other_and_a_second_logger_stands_beside(
    bench, author, logged, tmp_path
) -> None:
    log_place(bench, author, logged, SHORT, tmp_path)
    log_place(bench, author, logged, COARSE, tmp_path, logger="south wall")
    with bench.store.reading() as reader:
        loggers = loggers_in(reader, logged)
        record = record_of(bench, "north wall", loggers["north wall"])
    assert list(loggers) == ["north wall", "south wall"]
    assert len(loggers["north wall"]) == 2
    assert record.days > 600
    assert record.files[0].file.original_name == SHORT


def test_columns_for_the_eye_keep_every_extreme_and_leave_holes(bench, logged) -> None:
    with bench.store.reading() as reader:
        record = record_of(bench, "north wall", loggers_in(reader, logged)["north wall"])
    shown = drawn(record)
    assert max(shown["rh_high"]) == max(humid(LONG))
    assert min(shown["rh_low"]) == min(humid(LONG))
    months = months_of(record, "Europe/Athens")
    assert months[0].coverage_percent < 5
    assert months[1].coverage_percent == pytest.approx(100, abs=0.2)


def test_a_place_without_a_record_says_nothing(bench, place_id) -> None:
    with bench.store.reading() as reader:
        account = account_of(bench, reader, place_id)
        assert account.record is None
        with pytest.raises(MissingEvidenceError, match="nothing is guessed"):
            record_of(bench, "north wall", [])


def test_places_belong_to_the_house_and_a_struck_file_counts_no_more(bench, author, logged) -> None:
    with bench.store.reading() as reader:
        (kept,) = files_in(reader, logged)
        before = places_in(reader)[0]
    strike_in_house(bench, author, "logger_file", kept.subject_id, "wrong room", kept.entry_id)
    with bench.store.reading() as reader:
        assert account_of(bench, reader, logged).record is None
    changed = Place("long gallery, north end")
    record_place(bench, author, changed, subject_id=logged, based_on=before.entry_id)
    with pytest.raises(ConflictError):
        record_place(bench, author, changed, subject_id=logged, based_on=before.entry_id)


def test_an_object_in_its_case_is_told_in_bands_and_where_it_will_settle(bench, cased) -> None:
    with bench.store.reading() as reader:
        page = place_page(bench, reader, cased, is_quick=True)
    assert [one.key for one in page.plans] == [ROOM, CASE, BUFFERED]
    room, case, buffered = (one.where("air") for one in page.plans)
    assert room.least.typical < case.least.typical < buffered.least.typical
    assert room.most.typical > case.most.typical > buffered.most.typical
    core, surface = (page.plans[0].where(one) for one in ("core", "surface"))
    assert surface.least.typical < core.least.typical
    assert "Buffer steadies; it does not lift." in page.wrong_mean
    assert page.here == BUFFERED
    assert "air exchange" in page.plan_here.measure_next
    assert any("air exchange is guessed" in line for line in page.warnings)
    assert any("diffusivity of this object is not known" in line for line in page.warnings)
    assert any("sensor may be off by 3 %RH" in line for line in page.warnings)
    assert any("joins are new" in line for line in page.warnings)
    acid, ozone = page.gases[:2]
    assert acid.own_ug_per_m3.low < acid.own_ug_per_m3.high
    assert ozone.from_room_percent.typical == pytest.approx(0.53, abs=0.01)
    assert ozone.own_ug_per_m3 is None


def test_a_tighter_case_swings_less_and_nothing_is_recorded_by_trying(bench, cased) -> None:
    with bench.store.reading() as reader:
        head = reader.head(cased)
        loose = place_page(bench, reader, cased, {"exchange": 5.0}, is_quick=True)
        tight = place_page(bench, reader, cased, {"exchange": 0.1}, is_quick=True)
        assert reader.head(cased) == head
    swing = [
        one.plan_here.where("air").most.typical - one.plan_here.where("air").least.typical
        for one in (loose, tight)
    ]
    assert swing[1] < 0.5 * swing[0]


def test_what_was_kept_goes_stale_when_the_object_moves(bench, author, cased, logged) -> None:
    keep_place(bench, author, cased)
    with bench.store.reading() as reader:
        entry, outputs, stale = kept_place(reader, cased)
        assert stale == ""
        assert outputs["plan"] == BUFFERED
        assert outputs["felt"]["fall_percent"]["kind"] == "derived"
        tied = tied_in(reader, cased)
    assert "points" not in outputs["answer"]
    assert '"air_percent"' not in (entry.payload or "")
    stand_object(bench, author, cased, ObjectPlace(logged, "2026-02-01"), tied.stands_id)
    with bench.store.reading() as reader:
        assert kept_place(reader, cased)[2].startswith("stale, because the object place changed")
        assert len(tied_in(reader, cased).earlier) == 1


def test_an_object_is_not_tied_to_a_place_that_is_not_there(bench, author, dossier_id) -> None:
    with pytest.raises(NotFoundError):
        stand_object(bench, author, dossier_id, ObjectPlace("no-such-place", "2026-01-01"), "")
    with bench.store.reading() as reader:
        page = place_page(bench, reader, dossier_id)
    assert page.lacks[0] == "Where the object stands is not said."


def test_a_measured_diffusivity_narrows_the_core(bench, author, cased) -> None:
    with bench.store.reading() as reader:
        tied = tied_in(reader, cased)
        wide = place_page(bench, reader, cased, is_quick=True).plans[0].where("core").least
    said = replace(BODY, diffusivity_mm2_per_day=Told(4, 4.3, 4.6))
    say_of_object(bench, author, cased, said, tied.said_id)
    with bench.store.reading() as reader:
        narrow = place_page(bench, reader, cased, is_quick=True).plans[0].where("core").least
    assert narrow.high - narrow.low < 0.2 * (wide.high - wide.low)


def test_a_start_that_somebody_stated_is_kept_with_the_file_and_read_with_it_again(
    bench, author, place_id, tmp_path
) -> None:
    path = tmp_path / "counted.csv"
    path.write_text("Elapsed (h);T;RH\n" + "".join(f"{h};20.1;45.2\n" for h in range(48)))
    sha256 = take_in(bench, path)
    refused = guessed(bench, sha256, path.name, {})
    assert refused.is_for_start
    assert "count their time from a start that the file does not name" in refused.refused
    blank = LoggerFile(
        place_id, "north", path.name, sha256, "", "", "", "", "", "", "", "", 0, 0, 0
    )
    stated = {"zone": "UTC+02:00", "counted_from": "03/04/2025 10:00", "day_order": "day first"}
    (entry,) = confirm(bench, author, blank, stated)
    kept = record_in(entry)
    assert kept.start_at == "2025-04-03T08:00Z"
    assert stated_of(kept)["counted_from"] == "03/04/2025 10:00"
    again = guessed(bench, sha256, path.name, stated_of(kept)).answer
    assert again is not None
    assert again["loggers"][0]["start_at"] == kept.start_at
