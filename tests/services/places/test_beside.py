"""A case's own record stands beside the computed one, and the gap between them is said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import math

import pytest

from softmend.records.crack_model import Told
from softmend.records.logger_file import Beside, LoggerFile
from softmend.records.place import ObjectPlace
from softmend.records.showcase import Showcase
from softmend.services.hand_over.place import place_page
from softmend.services.places.house import record_case
from softmend.services.places.reading import confirm, take_in
from softmend.services.places.tied import say_of_object, stand_object, tied_in
from tests.services.places.conftest import BODY

FIRST, DAYS = dt.datetime(2024, 2, 1), 60


def room(hour: float) -> float:
    """Return the humidity of an invented room: a slow wave and a day."""
    return 45 + 8 * math.sin(hour / 150) + 2 * math.sin(hour / 3.8)


def log(bench, author, place_id, folder, value, days=0, showcase_id="") -> None:
    """Bring in two months of hours from the room, or from its case."""
    first = FIRST + dt.timedelta(days=days)
    path = folder / f"log{showcase_id[:4]}{days}.csv"
    path.write_text(
        "time,T,RH\n"
        + "".join(
            f"{first + dt.timedelta(hours=h):%Y-%m-%d %H:%M},20,{value(h):.2f}\n"
            for h in range(24 * DAYS)
        )
    )
    beside = Beside.CASE if showcase_id else Beside.ROOM
    blank = LoggerFile(place_id, beside.value, path.name, take_in(bench, path), "", "", "", "", "",
                       "", "", "", 0, 0.0, 0.0, beside=beside, showcase_id=showcase_id)  # fmt: skip
    confirm(bench, author, blank, {"zone": "UTC"})


@pytest.fixture
def stood(bench, author, place_id, dossier_id, tmp_path) -> str:
    """The dossier whose object stands in a case with gel in a logged room."""
    log(bench, author, place_id, tmp_path, room)
    case = Showcase(place_id, "case", 1.0, Told(0.9, 1.0, 1.1), "gel", 4.0, Told(1.9, 2.0, 2.1))
    showcase_id = record_case(bench, author, case).subject_id
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2024-01-10", showcase_id), "")
    say_of_object(bench, author, dossier_id, BODY, "")
    return dossier_id


def beside(bench, author, dossier_id, folder, value=None, days=0):
    """Return what stands beside the computed case once a logger hung in it."""
    with bench.store.reading() as reader:
        tied = tied_in(reader, dossier_id)
    if value is not None:
        case_id = tied.case.subject_id
        log(bench, author, tied.place.subject_id, folder, value, days, case_id)
    with bench.store.reading() as reader:
        return place_page(bench, reader, dossier_id, is_quick=True).beside


def test_the_gap_is_said_with_both_sensors(bench, author, stood, tmp_path) -> None:
    assert beside(bench, author, stood, tmp_path) is None
    found = beside(bench, author, stood, tmp_path, lambda hour: 57 + 0.1 * (room(hour) - 45))
    said = " ".join(found.sentences)
    assert found.found.moments > 200
    assert found.found.gap == pytest.approx(12, abs=3)
    assert "%RH above the computed middle on average" in said
    assert "± 4.2 %RH together" in said
    assert "larger than the two sensors explain" in said
    columns = found.columns
    assert len({len(one) for name, one in columns.items() if name != "sensor"}) == 1
    assert columns["own_least"][100] <= columns["own_most"][100]


def test_a_case_that_follows_its_room_swings_more_than_computed(
    bench, author, stood, tmp_path
) -> None:
    said = " ".join(beside(bench, author, stood, tmp_path, room).sentences)
    assert "it leaks more, or its buffer holds less" in said


def test_records_of_other_days_are_not_compared(bench, author, stood, tmp_path) -> None:
    found = beside(bench, author, stood, tmp_path, room, days=4000)
    assert found.sentences == (
        "The case's record and the room's are of other days: they cannot be compared.",
    )
    assert found.found is None
