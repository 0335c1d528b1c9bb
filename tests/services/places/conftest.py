"""A place with a record, a case, and an object in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from softmend.records.crack_model import Basis, Told
from softmend.records.logger_file import LoggerFile
from softmend.records.place import ObjectInAir, ObjectPlace, Place, Shape
from softmend.records.showcase import Showcase
from softmend.services.bench import Author, Bench
from softmend.services.places.house import record_case, record_place
from softmend.services.places.reading import confirm, take_in
from softmend.services.places.tied import say_of_object, stand_object

LOGGERS = Path(__file__).parents[2] / "data" / "loggers"
LONG = "house_eighteen_months_hourly.csv"
SHORT = "house_nine_months_hourly.csv"
COARSE = "house_three_weeks_10min.csv"
BODY = ObjectInAir(Shape.CYLINDER, Told(28, 33, 38))


def log_place(
    bench: Bench, author: Author, place_id: str, name: str, folder: Path, logger: str = "north wall"
) -> None:
    """Bring in one of the shared files for a place and confirm how it reads."""
    path = folder / name
    shutil.copy(LOGGERS / name, path)
    sha256 = take_in(bench, path)
    blank = LoggerFile(place_id, logger, name, sha256, "", "", "", "", "", "", "", "", 0, 0.0, 0.0)
    confirm(bench, author, blank, {"zone": "UTC+02:00"})


@pytest.fixture
def place_id(bench: Bench, author: Author) -> str:
    return record_place(bench, author, Place("long gallery", zone="Europe/Athens")).subject_id


@pytest.fixture
def logged(bench: Bench, author: Author, place_id: str, tmp_path: Path) -> str:
    """The place with eighteen months of hours."""
    log_place(bench, author, place_id, LONG, tmp_path)
    return place_id


@pytest.fixture
def cased(bench: Bench, author: Author, dossier_id: str, logged: str) -> str:
    """The dossier whose object stands in a case with gel in that place."""
    case = Showcase(
        logged, "case by the stairs", 1.2, Told(0.3, 1, 3), "regular gel", 4.8,
        Told(1.5, 2, 2.5, Basis.RECALLED, "as commonly repeated"), source_m2=1.2,
    )  # fmt: skip
    showcase_id = record_case(bench, author, case).subject_id
    stands = ObjectPlace(logged, "2026-01-10", showcase_id)
    stand_object(bench, author, dossier_id, stands, "")
    say_of_object(bench, author, dossier_id, BODY, "")
    return dossier_id
