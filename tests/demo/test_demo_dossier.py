"""The demo laid out by the bench's own services, and what it measures against what is true."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
from importlib.resources import files

import pytest
from shapely.geometry import Polygon

from softmend.records.mark import Mark
from softmend.services.bench import Bench
from softmend.services.demo.fragments import fragments_truth
from softmend.services.demo.layout import first_dossier, lay_out_demo
from softmend.services.demo.seeing import ON_TOP
from softmend.services.dossiers import dossier_list, opened
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import Measured, mark_quantities, scales_in
from softmend.services.explain.binding_matter import UNITS
from softmend.services.explain.crack import GIVING, Role, crack_numbered, fills_on
from softmend.services.explain.crack_keep import kept_of
from softmend.services.explain.crack_words import said_of
from softmend.services.fake_store import FakeStore
from softmend.services.keeping import verify
from softmend.services.next_steps import asked_for
from softmend.services.propose.consents import standings_in
from softmend.services.propose.hours import weeks_said
from softmend.services.propose.proposal_content import proposal_as_text
from softmend.services.propose.proposals import missing_in
from softmend.services.solid.scans import on_scan, scans_in
from softmend.services.treat.day_log import log_of
from softmend.services.treat.fragments import ledger_of

TRUTH = json.loads((files("softmend") / "demo" / "truth.json").read_text("utf-8"))
FEATURES = {
    (one["name"], feature["name"]): feature
    for one in TRUTH["objects"]
    for feature in one["features"]
}
# In the order of the scenario: the object, then its features by the numbers of their marks.
DRAWN = {
    "antler": ("crack 1", "crack 2", "crack 3", "shrinkage gap", "fill", "lifting", "loss"),
    "figurehead": ("check", "loss", "overpaint"),
}


@pytest.fixture(scope="module")
def bench():
    store = FakeStore()
    bench = Bench(store)
    lay_out_demo(bench)
    yield bench
    store.close()


@pytest.fixture(scope="module")
def measured(bench: Bench) -> dict[tuple[str, str], tuple[Mark, Measured]]:
    found = {}
    rows, _ = dossier_list(bench)
    ids = sorted((row.dossier_id for row in rows), key=lambda one: one != first_dossier(bench))
    with bench.store.reading() as reader:
        for thing, dossier_id in zip(DRAWN, ids, strict=True):
            scales = scales_in(reader, dossier_id)
            # What is drawn beyond the truth's features is held below, mark by mark.
            marks = marks_in(reader, dossier_id)[: len(DRAWN[thing])]
            for (_, mark), name in zip(marks, DRAWN[thing], strict=True):
                found[thing, name] = mark, mark_quantities(mark, scales)[0]
    return found


def true_size(thing: str, name: str) -> float:
    feature = FEATURES[thing, name]
    if feature["shape"] == "Polygon":
        return float(feature["area_mm2"])
    return float(feature["states"]["before"]["length_mm"])


def test_no_mark_of_the_demo_is_without_its_truth(bench: Bench) -> None:
    rows, _ = dossier_list(bench)
    ids = sorted((row.dossier_id for row in rows), key=lambda one: one != first_dossier(bench))
    with bench.store.reading() as reader:
        beyond = {
            thing: [mark for _, mark in marks_in(reader, dossier_id)[len(DRAWN[thing]) :]]
            for thing, dossier_id in zip(DRAWN, ids, strict=True)
        }
    assert beyond["figurehead"] == []
    losses = {name: Polygon(ring) for name, ring in fragments_truth()["surface"]["losses"].items()}
    held = []
    for mark in beyond["antler"]:
        assert mark.term_id == "loss"
        drawn = Polygon(mark.sightings[0].geometry.parts[0])
        name = max(losses, key=lambda one: losses[one].intersection(drawn).area)
        both = losses[name].intersection(drawn).area / losses[name].union(drawn).area
        assert both > 0.9
        held.append(name)
    assert sorted(held) == sorted(losses)


@pytest.mark.parametrize("name", DRAWN["antler"])
def test_what_a_hand_marks_on_the_shaft_agrees_with_the_truth_within_the_printed_uncertainty(
    measured, name: str
) -> None:
    _, found = measured["antler", name]
    assert found.mean == pytest.approx(true_size("antler", name), abs=found.expanded)
    # An uncertainty that covers everything would prove nothing.
    assert found.expanded < 0.09 * found.mean


@pytest.mark.parametrize("name", DRAWN["figurehead"])
def test_what_is_read_flat_off_carved_folds_says_at_least_and_is_never_too_much(
    measured, name: str
) -> None:
    _, found = measured["figurehead", name]
    assert found.warnings[0] == "Flat reading, at least."
    assert found.mean - found.expanded < true_size("figurehead", name)


def test_every_dossier_of_the_demo_says_that_it_is_invented(bench: Bench) -> None:
    rows, count = dossier_list(bench)
    assert count == 2
    assert all(row.is_invented for row in rows)


def test_the_demo_answers_all_that_its_size_asks_for(bench: Bench) -> None:
    with bench.store.reading() as reader:
        asked = asked_for(reader, first_dossier(bench))
    assert [one.item for one in asked if not one.is_there] == []


def test_the_demo_says_its_hazards(bench: Bench) -> None:
    with bench.store.reading() as reader:
        hazards = opened(reader, first_dossier(bench)).hazards
    assert hazards[0][2].hazard == "lifting surface"


def test_the_demo_verifies(bench: Bench) -> None:
    assert verify(bench.store).is_sound


def test_the_demo_shows_every_stage_of_its_treatment(bench: Bench) -> None:
    dossier_id = first_dossier(bench)
    with bench.store.reading() as reader:
        assert missing_in(reader, dossier_id) == []
        decisions = [one.consent.decision.value for one in standings_in(reader, dossier_id)]
        assert standings_in(reader, dossier_id)[-1].allows_work
        log = log_of(reader, dossier_id)
        stands = [one.stand.value for _, one in ledger_of(reader, dossier_id).fragments]
        assert "week" in weeks_said(reader, dossier_id)
        assert reader.current(dossier_id, "passed") == []
    assert decisions == ["no", "yes with limits"]
    assert [one.action.is_departure for one in log] == [
        False, False, False, True, False, False, True,
    ]  # fmt: skip
    assert not any(one.is_late for one in log)
    assert stands == ["bonded", "bagged", "candidate", "numbered", "numbered"]


def test_the_old_resin_loads_the_antler_beyond_its_band_and_the_pulp_does_not(bench: Bench) -> None:
    dossier_id = first_dossier(bench)
    with bench.store.reading() as reader:
        bound = crack_numbered(reader, dossier_id, 1)
        kept = kept_of(reader, dossier_id, bound.mark_id)
        fills = fills_on(reader, dossier_id, bound)
    assert all(one.stale_because == "" for one in kept.values())
    old, new = (kept[GIVING, role.value].run.outputs for role in Role)
    walls = {name: run["parts"][2]["demand"] for name, run in (("old", old), ("new", new))}
    # In the middle of the band the walls give under the resin; the pulp lets go before they do.
    assert walls["old"]["typical"] > 1 > walls["new"]["typical"]
    assert old["object_first_mean_percent"] > 30
    assert new["object_first_percent"]["high"] < 1
    said = said_of(bound, fills)
    assert "No fill takes the place of steady humidity." in said.rest[1]
    # What no table has is the bench's own, and marked as an estimate.
    assert {bound.sources[name].kind for name in UNITS} == {"estimated"}
    assert all(bound.sources[name].origin.startswith("this bench's own") for name in UNITS)
    # The design goes into the proposal, with the fill's shrinkage allowed for.
    printed = proposal_as_text(bench, dossier_id)["fill_designs"]
    assert re.search(
        r"0\.\d+ \([\d.]+ to [\d.]+\) mL to fill; 1\.\d+ \([\d.]+ to [\d.]+\) mL laid", printed
    )
    assert re.search(r"mix about 0\.\d+ g of dry pulp with 0\.\d+ g of dispersion", printed)


def test_the_old_varnishs_lifting_is_explained_and_printed(bench: Bench) -> None:
    said = proposal_as_text(bench, first_dossier(bench))
    words = " ".join(said["coating_explained"].split())
    assert "The tension of the coating is enough to lift something: " in words
    assert "it parts between chalky outer skin and body" in words
    assert "Seen under flakes: a layer below. That agrees with the model" in words
    assert "one straight peeling edge" in words
    assert "film.explain" in said["workings"]


def test_the_demos_join_holds_its_chip_and_gives_first(bench: Bench) -> None:
    words = " ".join(proposal_as_text(bench, first_dossier(bench))["joins_held"].split())
    assert "The joint holds its piece for years: almost certainly." in words
    assert "the bond gives before the object: almost certainly." in words
    assert "not a lifting calculation" in words.casefold()


def test_the_front_view_lies_along_the_scan_and_only_the_new_fill_keeps_supports_away(
    bench: Bench,
) -> None:
    dossier_id = first_dossier(bench)
    with bench.store.reading() as reader:
        scan_id = min(scans_in(reader, dossier_id), key=lambda one: one[1].number)[0].subject_id
        (laid,) = on_scan(reader, dossier_id, scan_id).seen
    assert laid.view.original_name == "antler-front-normal.jpg"
    assert {one.kind for one in laid.drawn} >= {"crack", "old fill", "lifting or loose"}
    counting = [one.kind for one in laid.drawn if one.name not in laid.set_aside]
    assert counting == ["new fill"]
    assert {one.because for one in laid.set_aside.values()} == {ON_TOP}
