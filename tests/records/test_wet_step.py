"""Before the first wet step, and securing before consent: each rule as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.dossier import Certainty, Material
from softmend.records.securing import Means, Securing, checked_securing, is_owner_waiting
from softmend.records.wet_step import (
    BeforeWet,
    Evidence,
    Reply,
    Way,
    checked_before_wet,
    locked_material,
    refuse_unready,
    wet_findings,
)
from softmend.records.zone import OnIt, OnZone

RING = (((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),)
RESERVE = OnZone(1, "view", OnIt.UNTREATED_RESERVE, RING, 3.0)
EVIDENCE = OnZone(2, "view", OnIt.PROTECTED_EVIDENCE, RING, 3.0)
ANSWERED = BeforeWet(
    sampling_first=Reply.NO,
    sampling_asked_of="C. Curator",
    type_figured_or_dated=Reply.NO,
    evidence=(Evidence(2, False, "A. Conservator"),),
    way=Way.FITTED_DRY,
    way_because="fills are cast outside",
    way_by="A. Conservator",
)


def keys(answers: BeforeWet, *zones: OnZone, locked: str = "antler") -> list[str]:
    return [finding.key for finding in wet_findings(answers, zones, locked)]


def test_everything_is_asked_before_the_first_wet_step() -> None:
    assert keys(BeforeWet(), EVIDENCE) == ["sampling", "type", "reserve", "evidence_2", "lock"]
    assert keys(ANSWERED, RESERVE, EVIDENCE) == []


def test_an_untreated_reserve_is_drawn_or_there_is_a_reason() -> None:
    assert keys(ANSWERED, EVIDENCE) == ["reserve"]
    reasoned = replace(ANSWERED, no_reserve_because="all of it was consolidated long ago")
    assert keys(reasoned, EVIDENCE) == []


def test_a_wanted_sample_is_taken_first_and_a_type_needs_its_approval() -> None:
    wanted = replace(ANSWERED, sampling_first=Reply.YES, type_figured_or_dated=Reply.YES)
    assert keys(wanted, RESERVE, EVIDENCE) == ["sampling_done", "type_approval"]


def test_wet_work_on_ivory_bone_antler_horn_teeth_and_wood_is_locked() -> None:
    locked = replace(ANSWERED, way=Way.LOCKED)
    assert keys(locked, RESERVE, EVIDENCE) == ["lock"]
    assert keys(locked, RESERVE, EVIDENCE, locked="") == []
    for way in (Way.BARRIER, Way.FITTED_DRY, Way.REASON):
        assert keys(replace(ANSWERED, way=way), RESERVE, EVIDENCE) == []


def test_what_may_be_human_needs_a_named_approval() -> None:
    zones = (RESERVE, EVIDENCE)
    (owed,) = wet_findings(ANSWERED, zones, "bone", "flag 1 says “possibly human”")
    assert owed.key == "remains"
    approved = replace(ANSWERED, remains_approved_by="H. Head, 2026-03-01")
    assert wet_findings(approved, zones, "bone", "flag 1 says “possibly human”") == ()


WORDS = ("ivory", "bone", "antler", "horn", "tooth", "wood", "oak")


@pytest.mark.parametrize(
    ("material", "is_locked"),
    [
        ("antler", True),
        ("limewood", True),
        ("walrus ivory", True),
        ("OAK", True),
        ("buckhorn", True),
        ("hornbeam wood", True),
        ("plaster", False),
        ("soaked linen", False),
    ],
)
def test_the_lock_knows_its_materials(material: str, is_locked: bool) -> None:
    known = Material("beam", material, "by eye", Certainty.CERTAIN)
    assert bool(locked_material([known], WORDS)) is is_locked


def test_a_material_that_nobody_identified_is_locked() -> None:
    assert locked_material([], WORDS) == "material not known"
    assert locked_material([Material("fill", "plaster")], WORDS) == "plaster (not identified)"


def test_a_wet_step_is_refused_while_anything_is_owed() -> None:
    with pytest.raises(RuleError, match="Not before the first wet step: Nobody asked whether a"):
        refuse_unready(wet_findings(BeforeWet(), (), "antler"))
    refuse_unready(())


def test_answers_name_who_gave_them() -> None:
    with pytest.raises(InputError, match="names who was asked"):
        checked_before_wet(BeforeWet(sampling_first=Reply.NO))
    with pytest.raises(InputError, match="needs a reason and a name"):
        checked_before_wet(BeforeWet(way=Way.BARRIER, way_because="resin film"))
    with pytest.raises(InputError, match="protected evidence SZ2 needs a name"):
        checked_before_wet(BeforeWet(evidence=(Evidence(2, True, " "),)))


SECURED = Securing(
    0,
    Means.FACING,
    "lifting layer at mark 2",
    "flakes fall when it is moved",
    "lifts off dry",
    "2026-03-04",
    view_number=1,
)


def test_securing_before_consent_says_why_how_undone_and_by_when_the_owner_is_told() -> None:
    assert checked_securing(SECURED) == SECURED
    assert is_owner_waiting(SECURED)
    assert not is_owner_waiting(replace(SECURED, owner_told_on="2026-03-03"))
    for field in ("where", "because", "undone_how"):
        with pytest.raises(InputError, match="Securing before consent needs"):
            checked_securing(replace(SECURED, **{field: ""}))
    with pytest.raises(InputError, match="the day by which the owner is told; got soon"):
        checked_securing(replace(SECURED, owner_told_by_on="soon"))


def test_securing_needs_its_image_or_a_reason() -> None:
    with pytest.raises(InputError, match="needs its image"):
        checked_securing(replace(SECURED, view_number=None))
    checked_securing(replace(SECURED, view_number=None, no_image_because="camera away"))
