"""The demo's places: drawn by a script with a fixed seed, said invented, read like any file."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import files

import numpy as np
import pytest

from softmend.records.dossier import Dossier, Size
from softmend.services.bench import Author, Bench
from softmend.services.demo.placing import lay_out_places
from softmend.services.dossiers import open_dossier
from softmend.services.fake_store import FakeStore
from softmend.services.hand_over.light import light_page
from softmend.services.hand_over.place import place_page
from softmend.services.people import come_to_the_bench
from softmend.services.places.account import account_of
from softmend.services.places.house import cases_in, places_in
from softmend.services.places.plans import BUFFERED
from tools.demo.climate import CASE_NAME, PLACES, air_of, case_written, written


@pytest.fixture(scope="module")
def shown():
    store = FakeStore()
    bench = Bench(store, zone="Europe/Berlin")
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "demo")
    opening = Dossier("antler", "X 1", "an invented house", "to be shown", Size.FULL, True)
    ids = [open_dossier(bench, author, opening)]
    lay_out_places(bench, author, ids)
    yield bench, ids
    store.close()


@pytest.mark.parametrize("place", PLACES, ids=lambda one: one.name)
def test_the_committed_record_is_what_the_script_draws(place) -> None:
    committed = (files("softmend") / "demo" / place.name).read_text("utf-8")
    assert committed == written(place)
    assert committed.startswith("Invented record")


def test_the_cases_record_is_what_the_script_draws_and_stands_beside_the_computed_one(
    shown,
) -> None:
    committed = (files("softmend") / "demo" / CASE_NAME).read_text("utf-8")
    assert committed == case_written()
    assert committed.startswith("Invented record")
    bench, ids = shown
    with bench.store.reading() as reader:
        beside = place_page(bench, reader, ids[0], is_quick=True).beside
    assert beside.found.moments > 100
    assert abs(beside.found.gap) < 5


def test_gallery_and_store_are_said_invented_and_only_the_long_record_has_a_band(shown) -> None:
    bench, _ids = shown
    with bench.store.reading() as reader:
        gallery, store = (account_of(bench, reader, one.subject_id) for one in places_in(reader))
        cases = cases_in(reader)
    for one in (gallery, store):
        assert "invented" in one.place.place.name
        assert "invented" in one.place.place.note
    assert all("invented" in one.case.name for one in cases)
    assert gallery.band.is_yearly
    assert not store.band.is_yearly
    assert any("as if handled" in line for line in gallery.record.flags)
    assert any("1 gap" in line for line in gallery.record.flags)


def test_the_gallerys_mean_is_that_of_its_drawn_air_less_the_offset(shown) -> None:
    bench, _ids = shown
    rh, _degc = air_of(PLACES[0])
    with bench.store.reading() as reader:
        gallery = account_of(bench, reader, places_in(reader)[0].subject_id)
    assert gallery.record.hours.rh.mean() == pytest.approx(np.mean(rh) - 0.8, abs=0.1)


def test_the_antler_is_planned_for_the_case_and_its_light_is_kept(shown) -> None:
    bench, ids = shown
    with bench.store.reading() as reader:
        page = place_page(bench, reader, ids[0], is_quick=True)
        light = light_page(bench, reader, ids[0])
    assert page.here == BUFFERED
    assert page.lacks == ()
    assert light.answer["decides"] == "unknown colour"
    assert light.total_lux_hours == 350000
