"""Joins: bound to assembly, log and weighed fragments; what is missing; the window; kept runs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend import catalogue
from softmend.errors import InputError, MissingEvidenceError, NotFoundError
from softmend.records.action import Action
from softmend.records.crack_model import Basis, Told
from softmend.records.fragment import Fragment
from softmend.records.holding import JoinModel, Softens
from softmend.records.join import Assembly, JoinMade, PlannedJoin
from softmend.records.shelf import OwnValue
from softmend.services.explain.joins import (
    HOLDS,
    bound_join,
    held,
    join_named,
    joins_in,
    keep_join,
    kept_join,
    say_of_join,
)
from softmend.services.explain.joins_page import join_shown
from softmend.services.explain.own_values import record_own_value
from softmend.services.propose.proposal_content import proposal_report
from softmend.services.recording import record_one
from softmend.services.treat.day_log import plan_assembly
from softmend.services.treat.treatment_content import treatment_as_text

MICROBALLOON = "glass-microballoon acrylic copolymer"
ARM = JoinModel(
    "J1",
    breadth_mm=Told(18, 20, 22, Basis.MEASURED, "calliper"),
    height_mm=Told(27, 30, 33, Basis.MEASURED, "calliper"),
    arm_mm=Told(80, 100, 120),
    hang_degrees=Told(-10, 0, 10),
    warmest_degc=Told(23, 25, 28),
    bonded_share=Told(0.7, 0.9, 0.98),
    adhesive=MICROBALLOON,
    material="antler (compact)",
    preservation="mineral gained, sub-fossil",
    object_strength_mpa=Told(2, 8, 25),
)


@pytest.fixture
def planned(bench, author, dossier_id) -> str:
    joins = (
        PlannedJoin("J1", ("beam", "fragment 1")),
        PlannedJoin("J2", ("beam", "burr"), ("J1",)),
    )
    plan_assembly(bench, author, dossier_id, Assembly(joins), "")
    piece = Fragment(1, "in the tray", mass_g=120.0, mass_expanded_g=0.5)
    record_one(bench, author, dossier_id=dossier_id, subject_id="f1", record=piece, based_on="")
    return "J1"


@pytest.fixture
def told(bench, author, dossier_id, planned):
    return say_of_join(bench, author, dossier_id, ARM, "")


def bound(bench, dossier_id, name="J1"):
    with bench.store.reading() as reader:
        return bound_join(reader, dossier_id, join_named(reader, dossier_id, name))


@pytest.mark.usefixtures("planned")
def test_the_order_of_assembly_names_the_joins(bench, author, dossier_id) -> None:
    say_of_join(bench, author, dossier_id, JoinModel("old join at the burr"), "")
    with bench.store.reading() as reader:
        found = joins_in(reader, dossier_id)
        with pytest.raises(NotFoundError, match="There is no join of that name"):
            join_named(reader, dossier_id, "J9")
    assert [one.name for one in found] == ["J1", "J2", "old join at the burr"]
    assert [one.is_made for one in found] == [False, False, False]
    assert [fragment.number for _, fragment in found[0].fragments] == [1]


@pytest.mark.usefixtures("planned")
def test_the_weighed_fragment_gives_the_mass(bench, dossier_id) -> None:
    found = bound(bench, dossier_id)
    mass = found.values["mass_g"]
    assert (mass.kind, mass.origin) == ("measured", "weighed: fragment 1")
    assert mass.uncertain().typical == pytest.approx(120.0)
    missing = " ".join(found.missing)
    assert "The mass of the piece" not in missing
    assert "The level width of the joint is not known" in missing
    assert "name the adhesive, or measure a pull-off" in missing
    assert held(found) is None


@pytest.mark.usefixtures("told")
def test_a_light_piece_is_held_and_the_bond_gives_first(bench, dossier_id) -> None:
    shown = join_shown(bound(bench, dossier_id))
    assert shown.reasons == ()
    assert shown.sentences[0].startswith("The joint holds its piece for years: ")
    assert any("the bond gives before the object" in text for text in shown.sentences)
    assert any("each square centimetre" in text for text in shown.sentences)
    assert any("stay in the bond is not known" in text for text in shown.sentences)
    assert "a piece of 120 g" in shown.drawing_words
    assert "The weight asks for" in shown.drawing_words
    assert shown.drawing.startswith("<svg")


@pytest.mark.usefixtures("told")
def test_a_heavier_piece_at_a_warmer_place_is_held_less_often(
    bench, author, dossier_id, told
) -> None:
    cool = held(bound(bench, dossier_id))["holds_percent"]
    heavy = replace(ARM, mass_g=Told(1500, 2000, 2500), warmest_degc=Told(33, 36, 39))
    say_of_join(bench, author, dossier_id, heavy, told.id)
    warm = held(bound(bench, dossier_id))
    assert warm["holds_percent"] < cool
    assert "above its glass transition" in warm["warmth_text"]


def test_a_shared_mass_said_beats_the_weighed_one(bench, author, dossier_id, told) -> None:
    said = replace(ARM, mass_g=Told(400, 500, 600))
    say_of_join(bench, author, dossier_id, said, told.id)
    assert bound(bench, dossier_id).values["mass_g"].uncertain().typical == pytest.approx(500)


@pytest.mark.usefixtures("told")
def test_a_pull_off_of_this_bench_stands_before_the_table(bench, author, dossier_id) -> None:
    pulled = OwnValue(
        MICROBALLOON, "bond_strength", "on shed antler", 0.8, 1.0, 1.3, "MPa", "measured", "p. 3"
    )
    entry = record_own_value(bench, author, pulled)
    found = bound(bench, dossier_id)
    assert found.values["bond_strength_mpa"].kind == "measured"
    assert entry.id in found.read_entry_ids


@pytest.mark.usefixtures("told")
def test_a_strength_that_is_only_a_bound_does_not_say_who_gives_first(
    bench, author, dossier_id
) -> None:
    pulled = OwnValue(
        "our glue", "bond_strength_lower_bound", "", 1.8, 2.0, 2.3, "MPa", "measured", "p. 4"
    )
    record_own_value(bench, author, pulled)
    ours = replace(
        ARM, name="J2", adhesive="our glue", softens=Softens.NO, mass_g=Told(90, 99, 110)
    )
    say_of_join(bench, author, dossier_id, ours, "")
    found = held(bound(bench, dossier_id, "J2"))
    assert "its strength is only known to be at least this" in found["first_text"]
    assert found["bond_first_percent"] is None


def test_a_sound_body_tells_whether_a_crack_stays_in_the_bond(
    bench, author, dossier_id, told
) -> None:
    sound = replace(
        ARM,
        preservation="sound: collagen or fibre kept",
        bond_energy_j_per_m2=Told(20, 60, 200),
        object_strength_mpa=None,
    )
    say_of_join(bench, author, dossier_id, sound, told.id)
    found = bound(bench, dossier_id)
    assert found.values["object_toughness_j_per_m2"].kind == "derived"
    # Fresh antler costs thousands of J/m²: nearly every such bond keeps the crack.
    assert held(found)["stays_in_bond_percent"] > 95


def test_a_kept_run_goes_stale_when_the_plan_of_it_changes(bench, author, dossier_id, told) -> None:
    keep_join(bench, author, dossier_id, "J1")
    with bench.store.reading() as reader:
        _, run, stale = kept_join(reader, dossier_id, "J1")
    assert stale == ""
    assert told.id in run.read_entry_ids
    say_of_join(bench, author, dossier_id, replace(ARM, arm_mm=Told(150, 200, 250)), told.id)
    with bench.store.reading() as reader:
        _, _, stale = kept_join(reader, dossier_id, "J1")
    assert stale.startswith("stale, because what is said of the join changed")


@pytest.mark.usefixtures("planned")
def test_what_cannot_be_said_is_not_kept(bench, author, dossier_id) -> None:
    with pytest.raises(MissingEvidenceError, match="Nothing can be kept of this join yet"):
        keep_join(bench, author, dossier_id, "J1")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": " "}, "A join needs its name"),
        ({"arm_mm": Told(5, 4, 3)}, "needs three points that rise"),
        ({"hang_degrees": Told(80, 90, 120)}, "Its angle below the horizontal is outside"),
    ],
)
def test_slips_are_told_in_words(bench, author, dossier_id, change, sentence) -> None:
    with pytest.raises(InputError, match=sentence):
        say_of_join(bench, author, dossier_id, replace(ARM, **change), "")


@pytest.mark.usefixtures("told")
def test_what_was_kept_is_in_the_proposal(bench, author, dossier_id) -> None:
    keep_join(bench, author, dossier_id, "J1")
    with bench.store.reading() as reader:
        report = proposal_report(reader, dossier_id)
    (join,) = report.joins
    assert join.sentences[0].startswith("The joint holds its piece for years: ")
    assert join.work in report.workings


@pytest.mark.usefixtures("told")
def test_the_working_of_a_join_that_was_made_is_in_the_treatment_record(
    bench, author, dossier_id
) -> None:
    keep_join(bench, author, dossier_id, "J1")
    assert "treatment_workings" not in treatment_as_text(bench, dossier_id)
    made = Action(1, "bonding", "2026-03-02", join=JoinMade("J1", "p1", "2026-03-02"))
    record_one(bench, author, dossier_id=dossier_id, subject_id="a1", record=made, based_on="")
    printed = treatment_as_text(bench, dossier_id)["treatment_workings"]
    assert f"Join J1 · {catalogue.entry(HOLDS).title}" in printed
    assert "120" in printed
