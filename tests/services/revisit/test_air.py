"""The air of both dates of a comparison is read from the record of the object's room."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt

import pytest

from softmend.records.place import ObjectPlace, Place
from softmend.services.places.house import record_place
from softmend.services.places.tied import stand_object
from softmend.services.revisit.air import air_read
from tests.services.places.test_nearest import hang


@pytest.fixture
def roomed(bench, author, dossier_id, tmp_path) -> str:
    """A dossier whose object stands since 10 January in a room logged for 100 days at 46 %RH."""
    place_id = record_place(bench, author, Place("long gallery", zone="Europe/Athens")).subject_id
    hang(bench, author, place_id, tmp_path, "north wall", dt.datetime(2011, 2, 1), 100, 45)
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2011-01-10"), "")
    return dossier_id


def test_the_mean_of_the_week_is_read_and_whose_it_is_said(bench, roomed) -> None:
    with bench.store.reading() as reader:
        read = air_read(bench, reader, roomed, ("2011-02-20", "2011-04-30"))
    assert read is not None
    # The file says 45, 46, 47 in turn at 20 °C.
    assert (read.earlier.rh_percent, read.later.rh_percent) == (46.0, 46.0)
    assert read.earlier.temperature_degc == 20.0
    assert read.earlier.expanded_percent >= 1
    assert read.said == (
        "logger north wall, long gallery: mean of the 7 days up to 2011-02-20 and 2011-04-30"
    )


def test_a_day_without_a_record_or_before_it_stood_there_is_not_known(bench, roomed) -> None:
    with bench.store.reading() as reader:
        read = air_read(bench, reader, roomed, ("2010-12-01", "2011-04-30"))
        none = air_read(bench, reader, roomed, ("2010-12-01", "2012-08-01"))
        undated = air_read(bench, reader, roomed, ("not known", "2011-04-30"))
    assert read.earlier is None
    assert read.said.endswith("up to 2011-04-30")
    assert none is None
    assert undated.earlier is None


def test_an_object_without_a_place_has_no_air_to_read(bench, dossier_id) -> None:
    with bench.store.reading() as reader:
        assert air_read(bench, reader, dossier_id, ("2011-02-20", "2011-04-30")) is None
