"""A case's own record stands beside the computed one, and the gap between them is said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import datetime as dt

import pytest

from softmend.records.logger_file import Beside, LoggerFile
from softmend.services.hand_over.place import place_page
from softmend.services.places.reading import confirm, take_in
from softmend.services.places.tied import tied_in
from tests.services.places.conftest import LOGGERS, LONG, SHORT


def log_case(bench, author, dossier_id, tmp_path, name, value, days=0) -> None:
    """Hang a logger in the object's case: the moments of a shared file, with other values."""
    with bench.store.reading() as reader:
        tied = tied_in(reader, dossier_id)
    with (LOGGERS / name).open() as stream:
        rows = [(row["t_UTC+2"], float(row["RH"])) for row in csv.DictReader(stream)]
    moved = dt.timedelta(days=days)
    lines = [
        f"{dt.datetime.fromisoformat(at) + moved:%Y-%m-%d %H:%M:%S},20,{value(rh):.2f}"
        for at, rh in rows
    ]
    path = tmp_path / "case.csv"
    path.write_text("time,T,RH\n" + "\n".join(lines), "utf-8")
    sha256 = take_in(bench, path)
    blank = LoggerFile(tied.place.subject_id, "in the case", "case.csv", sha256,
                       "", "", "", "", "", "", "", "", 0, 0.0, 0.0, beside=Beside.CASE,
                       showcase_id=tied.case.subject_id)  # fmt: skip
    confirm(bench, author, blank, {"zone": "UTC+02:00"})


def beside(bench, dossier_id):
    with bench.store.reading() as reader:
        return place_page(bench, reader, dossier_id, is_quick=True).beside


def test_without_a_logger_in_the_case_nothing_stands_beside(bench, cased) -> None:
    assert beside(bench, cased) is None


def test_the_gap_is_said_with_both_sensors(bench, author, cased, tmp_path) -> None:
    mean = 39.9
    log_case(bench, author, cased, tmp_path, LONG, lambda rh: mean + 12 + 0.3 * (rh - mean))
    found = beside(bench, cased)
    said = " ".join(found.sentences)
    assert found.found.moments > 300
    assert found.found.gap == pytest.approx(12, abs=3)
    assert "%RH above the computed middle on average" in said
    assert "± 4.2 %RH together" in said
    assert "larger than the two sensors explain" in said
    columns = found.columns
    assert len({len(one) for name, one in columns.items() if name != "sensor"}) == 1
    assert columns["own_least"][100] <= columns["own_most"][100]


def test_a_case_that_follows_its_room_swings_more_than_computed(
    bench, author, cased, tmp_path
) -> None:
    log_case(bench, author, cased, tmp_path, LONG, lambda rh: rh)
    assert "it leaks more, or its buffer holds less" in " ".join(beside(bench, cased).sentences)


def test_records_of_other_days_are_not_compared(bench, author, cased, tmp_path) -> None:
    log_case(bench, author, cased, tmp_path, SHORT, lambda rh: rh, days=4000)
    found = beside(bench, cased)
    assert found.sentences == (
        "The case's record and the room's are of other days: they cannot be compared.",
    )
