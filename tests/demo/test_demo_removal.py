"""The demo's swabs: what was seen, what leads, what comes next, and the prints of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pypdfium2
import pytest

from softmend.catalogue.solvency_agent import FOOTER
from softmend.records.spot_test import Coating, OnObject, Role
from softmend.services.bench import Author, Bench
from softmend.services.demo.layout import first_dossier, lay_out_demo
from softmend.services.fake_store import FakeStore
from softmend.services.legal_flags import today_at
from softmend.services.people import come_to_the_bench
from softmend.services.propose.removing_off import what_takes_it_off
from softmend.services.propose.removing_pace import COATING, removal_paces
from softmend.services.propose.removing_print import (
    make_spot_sheet,
    print_bench_card,
    print_spot_sheet,
)
from softmend.services.propose.removing_ways import paces_tested
from softmend.services.propose.spot_tests import grids_in, spot_tests_in
from softmend.services.propose.spot_tests_answer import spot_answers


@pytest.fixture(scope="module")
def bench():
    store = FakeStore()
    bench = Bench(store)
    lay_out_demo(bench)
    yield bench
    store.close()


def text_of(pdf: bytes) -> tuple[int, str]:
    read = pypdfium2.PdfDocument(pdf)
    pages = [one.get_textpage().get_text_range() for one in read]
    return len(pages), " ".join(" ".join(pages).split())


def test_the_swabs_of_the_demo_say_what_leads_and_that_nothing_harsher_is_asked_for(
    bench: Bench,
) -> None:
    dossier_id = first_dossier(bench)
    with bench.store.reading() as reader:
        tests = [one for _, one in spot_tests_in(reader, dossier_id)]
        found = spot_answers(reader, dossier_id, today_at(bench))
        off = what_takes_it_off(reader, dossier_id, today_at(bench))
    assert [(one.agent, one.role, one.coating_observed) for one in tests[1:6]] == [
        ("heptane", Role.TEST, Coating.NONE),
        ("ethyl-acetate", Role.TEST, Coating.SOFTENS),
        ("acetone", Role.TEST, Coating.DISSOLVES),
        ("acetone", Role.BARE, Coating.NONE),
        ("acetone", Role.REPEAT, Coating.DISSOLVES),
    ]
    assert all(one.object_observed is OnObject.NONE for one in tests)
    layer = found.spot["layers"][0]
    leads, second = layer["classes"][:2]
    assert leads["behaves_like"] == found.best_class == "cellulose nitrate"
    # It leads beyond the interval of the reckoning, and is far from sure.
    assert second["chance_high_percent"] < leads["chance_low_percent"]
    assert leads["chance_high_percent"] < 60
    assert not layer["misfit"]
    assert (layer["repeats"], layer["repeats_that_differ"]) == (1, 0)
    assert found.next_swab["next"] is None
    assert found.next_swab["why"].startswith("It comes off with acetone: nothing harsher is asked")
    assert any("burns violently" in one for one in found.spot["warnings"])
    assert off.answer["singles"][0]["agent"] == "acetone"
    assert {one["agent"] for one in off.answer["left_out"]} == {"water"}


def test_the_scalpel_that_failed_in_the_demo_feeds_no_hours(bench: Bench) -> None:
    dossier_id = first_dossier(bench)
    with bench.store.reading() as reader:
        timed = [one.number for one, _ in paces_tested(reader, dossier_id)]
        assert timed == [7]
        assert COATING not in removal_paces(reader, dossier_id)


def test_the_card_is_one_sheet_and_the_sheet_to_write_on_carries_crack_and_footer(
    bench: Bench,
) -> None:
    dossier_id = first_dossier(bench)
    pages, card = text_of(print_bench_card(bench, dossier_id))
    assert pages == 1
    assert FOOTER in card
    with bench.store.reading() as reader:
        view_id = grids_in(reader, dossier_id)[0].grid.view_id
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "condition check")
    sheet = make_spot_sheet(bench, author, dossier_id, view_id)
    pages, written = text_of(print_spot_sheet(bench, dossier_id, sheet.subject_id))
    assert pages == 1
    assert FOOTER in written
    assert "away by a distance the house has to set" in written
    assert "A1" in written
