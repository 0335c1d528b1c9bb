"""A coating that lifts: what the dossier supplies, what is missing, own values, and kept runs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import ConflictError, InputError, MissingEvidenceError, NotFoundError
from softmend.records.coating import CoatingModel, UnderFlakes
from softmend.records.crack_model import Told
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.shelf import OwnValue
from softmend.records.zone import OnIt, OnZone
from softmend.services.examine.marks import record_mark
from softmend.services.explain.coating import (
    bound_coating,
    coated_place,
    coated_places,
    explained,
    keep_coating,
    kept_coating,
    say_of_coating,
)
from softmend.services.explain.coating_page import coating_shown
from softmend.services.explain.own_values import record_own_value
from softmend.services.fake_store import FakeStore
from softmend.services.propose.proposal_content import proposal_report
from softmend.services.recording import record_one
from softmend.services.runs import NOT_HERE

RING = ((100.0, 100.0), (300.0, 120.0), (280.0, 300.0), (110.0, 280.0))
OLD = CoatingModel(
    coating="cellulose nitrate",
    coating_thickness_um=Told(60, 150, 300),
    stretch_percent=Told(0.05, 0.2, 0.5),
    layer="patina",
    layer_thickness_um=Told(20, 50, 100),
    layer_modulus_gpa=Told(0.5, 2, 6),
    layer_poisson=Told(0.25, 0.3, 0.35),
    layer_adhesion_j_per_m2=Told(1, 8, 50),
    body="antler (compact)",
    preservation="mineral gained, sub-fossil",
    body_modulus_gpa=Told(2, 6, 12),
    body_poisson=Told(0.25, 0.3, 0.35),
    body_toughness_j_per_m2=Told(10, 60, 300),
    seen_under_flakes=UnderFlakes.LAYER,
)


@pytest.fixture
def place_id(bench, author, dossier_id, view_id) -> str:
    area = Sighting(view_id, Geometry(Shape.AREA, (RING,)))
    mark = Mark(number=0, term_id="lifting", sightings=(area,))
    return record_mark(bench, author, dossier_id, mark).subject_id


@pytest.fixture
def told(bench, author, dossier_id, place_id):
    return say_of_coating(bench, author, dossier_id, place_id, OLD, "")


def bound(bench, dossier_id, place_id, tried=None):
    with bench.store.reading() as reader:
        place = coated_place(reader, dossier_id, place_id)
        return bound_coating(reader, dossier_id, place, tried)


def test_marked_areas_and_zones_of_coating_are_places(
    bench, author, dossier_id, view_id, place_id
) -> None:
    zone = OnZone(1, view_id, OnIt.COATING, (RING,), 2.0)
    record_one(bench, author, dossier_id=dossier_id, subject_id="z1", record=zone, based_on="")
    tone = replace(zone, number=2, on_it=OnIt.UNTREATED_RESERVE)
    record_one(bench, author, dossier_id=dossier_id, subject_id="z2", record=tone, based_on="")
    with bench.store.reading() as reader:
        found = coated_places(reader, dossier_id)
    assert [(one.name, one.what) for one in found] == [
        ("mark 1", "lifting"),
        ("zone Z1", "coating"),
    ]
    with bench.store.reading() as reader, pytest.raises(NotFoundError, match="No coating is mark"):
        coated_place(reader, dossier_id, "z2")


def test_nothing_is_filled_in_that_nobody_gave(bench, dossier_id, place_id) -> None:
    found = bound(bench, dossier_id, place_id)
    assert explained(found) is None
    assert [one.split(":")[0] for one in found.missing] == [
        "What the coating is made of is not said",
        "Its thickness is not known",
        "The body under it and its state of preservation are not said",
    ]
    assert coating_shown(found).reasons == found.missing


def test_fresh_antler_never_stands_in_for_sub_fossil(bench, author, dossier_id, place_id) -> None:
    fresh = replace(OLD, body_modulus_gpa=None, body_poisson=None, body_toughness_j_per_m2=None)
    say_of_coating(bench, author, dossier_id, place_id, fresh, "")
    (sentence,) = bound(bench, dossier_id, place_id).missing
    assert "no stiffness and no Poisson's ratio and no toughness of antler (compact)" in sentence
    assert "the nearest fresh value is not taken" in sentence


@pytest.mark.usefixtures("told")
def test_the_old_varnish_takes_the_patina_along(bench, dossier_id, place_id) -> None:
    shown = coating_shown(bound(bench, dossier_id, place_id))
    assert "If something parts, it parts between patina and body" in shown.sentences[0]
    assert "agrees with the model (between patina and body)" in shown.sentences[1]
    assert "kg" in shown.sentences[2]
    assert len(shown.patterns) == 6
    assert "Layers to scale, top to bottom: coating 150 µm, patina 50 µm, body" in (
        shown.drawing_words
    )
    assert shown.drawing.startswith("<svg")
    assert sum(share for _, share in shown.measure_next) <= 101
    assert shown.work is not None
    kinds = {value.kind for value in shown.work.values}
    assert "estimated" in kinds


@pytest.mark.usefixtures("told")
def test_a_thinner_coating_lifts_less_often(bench, dossier_id, place_id) -> None:
    chances = [
        explained(bound(bench, dossier_id, place_id, {"coating_thickness_um": thick}))[
            "lifts_percent"
        ]
        for thick in (20.0, 60.0, 150.0, 400.0)
    ]
    assert chances == sorted(chances)
    assert chances[0] < 25 < 75 < chances[-1]


@pytest.mark.usefixtures("told")
def test_a_value_of_the_bench_stands_before_the_tables(bench, author, dossier_id, place_id) -> None:
    before = bound(bench, dossier_id, place_id).values["adhesion_j_per_m2"]
    assert before.kind == "estimated"
    measured = OwnValue(
        "cellulose nitrate", "practical_adhesion_energy", "on shed antler", 2, 4, 8, "J/m²",
        "measured", "peel test of three strips",
    )  # fmt: skip
    entry = record_own_value(bench, author, measured)
    after = bound(bench, dossier_id, place_id)
    assert after.values["adhesion_j_per_m2"].kind == "measured"
    assert after.values["adhesion_j_per_m2"].uncertain().typical == pytest.approx(4)
    assert entry.id in after.read_entry_ids


def test_a_kept_run_goes_stale_when_what_it_read_changes(
    bench, author, dossier_id, place_id, told
) -> None:
    keep_coating(bench, author, dossier_id, place_id)
    with bench.store.reading() as reader:
        entry, run, stale = kept_coating(reader, dossier_id, place_id)
    assert stale == ""
    assert run.outputs["lifts_percent"] > 50
    assert told.id in run.read_entry_ids
    thin = replace(OLD, coating_thickness_um=Told(10, 20, 40))
    say_of_coating(bench, author, dossier_id, place_id, thin, told.id)
    with bench.store.reading() as reader:
        again, _, stale = kept_coating(reader, dossier_id, place_id)
    assert again.id == entry.id
    assert stale.startswith("stale, because what is said of the coating changed")


def test_what_cannot_be_said_is_not_kept(bench, author, dossier_id, place_id) -> None:
    with pytest.raises(MissingEvidenceError, match="Nothing can be kept of this coating yet"):
        keep_coating(bench, author, dossier_id, place_id)


def test_a_newer_saying_is_not_overwritten(bench, author, dossier_id, place_id, told) -> None:
    with pytest.raises(ConflictError):
        say_of_coating(bench, author, dossier_id, place_id, OLD, "")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"coating_thickness_um": Told(60, 50, 300)}, "needs three points that rise"),
        ({"body_poisson": Told(0.2, 0.3, 0.7)}, "Poisson's ratio of the body is outside"),
        ({"layer": "not known"}, "A layer has values and no name"),
        ({"layer": "coating"}, "A layer needs a name of its own"),
    ],
)
def test_slips_are_told_in_words(bench, author, dossier_id, place_id, change, sentence) -> None:
    with pytest.raises(InputError, match=sentence):
        say_of_coating(bench, author, dossier_id, place_id, replace(OLD, **change), "")


@pytest.mark.usefixtures("told")
def test_what_was_kept_is_in_the_proposal(bench, author, dossier_id, place_id) -> None:
    keep_coating(bench, author, dossier_id, place_id)
    with bench.store.reading() as reader:
        report = proposal_report(reader, dossier_id)
    (coating,) = report.coatings
    assert "If something parts, it parts between patina and body" in coating.sentences[0]
    assert coating.work in report.workings


def test_a_coating_that_presses_is_told_and_the_page_still_opens(
    bench, author, dossier_id, place_id
) -> None:
    pressed = replace(OLD, stretch_percent=Told(-2.0, -1.0, -0.5))
    say_of_coating(bench, author, dossier_id, place_id, pressed, "")
    shown = coating_shown(bound(bench, dossier_id, place_id))
    assert "The coating may press instead of pulling" in shown.reasons[0]
    assert "buckles" in shown.reasons[0]


def test_a_ratio_typed_wide_is_cut_at_what_it_can_be(bench, author, dossier_id, place_id) -> None:
    wide = replace(OLD, body_poisson=Told(0.1, 0.3, 0.48), layer_poisson=Told(0.1, 0.3, 0.48))
    say_of_coating(bench, author, dossier_id, place_id, wide, "")
    assert coating_shown(bound(bench, dossier_id, place_id)).reasons == ()


@pytest.mark.usefixtures("told")
def test_a_dossier_away_from_its_bench_keeps_the_values_and_says_what_it_cannot_tell(
    bench, author, dossier_id, place_id
) -> None:
    measured = OwnValue(
        "cellulose nitrate", "practical_adhesion_energy", "", 2, 4, 8, "J/m²", "measured", "strips"
    )
    record_own_value(bench, author, measured)
    keep_coating(bench, author, dossier_id, place_id)
    elsewhere = FakeStore()
    with bench.store.reading() as reader, elsewhere.writing() as writer:
        writer.keep_chain(reader.entries(dossier_id))
        writer.commit()
    with elsewhere.reading() as reader:
        _, run, stale = kept_coating(reader, dossier_id, place_id)
        report = proposal_report(reader, dossier_id)
    elsewhere.close()
    assert stale == NOT_HERE
    assert run.inputs["adhesion_j_per_m2"]["kind"] == "measured"
    assert report.coatings[0].stale_because == NOT_HERE
