"""Law, securing, wet work, and what changed since the last examination, at the bench."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import Certainty, Material, ObjectHead
from softmend.records.examination import Examination
from softmend.records.kinds import record_in
from softmend.records.legal import Human, LegalFlag, Loan, Topic
from softmend.records.mark import State
from softmend.records.passing import Passed
from softmend.records.proposal import PlanStep
from softmend.records.securing import Means, Securing
from softmend.records.wet_step import BeforeWet, Evidence, Reply, Way
from softmend.records.zone import OnIt, OnZone
from softmend.services.dossiers import describe_object
from softmend.services.examine.comparison import since_last_examination
from softmend.services.examine.grades import grade_place, write_examination
from softmend.services.examine.marks import record_mark
from softmend.services.examine.zones import record_on_zone
from softmend.services.legal_flags import (
    ABOUT_REMAINS,
    flags_in,
    record_flag,
    record_loan,
    remains_caution,
    today_at,
)
from softmend.services.passing import pass_rule
from softmend.services.propose.proposals import missing_in, record_step
from softmend.services.propose.securing import owners_to_tell, record_securing, tell_owner
from softmend.services.propose.wet_steps import (
    before_wet_in,
    refuse_wet_step,
    wet_step_findings,
    write_before_wet,
)
from softmend.services.recording import strike
from tests.services.conftest import crack
from tests.services.examine.test_zones import box

FLAG = LegalFlag(0, Topic.SPECIES, "trade rules", "2026-03-01", "R. Registrar")
TODAY = date(2026, 3, 2)


def made_of(bench, author, dossier_id, material: str) -> None:
    head = ObjectHead("a beam", materials=(Material("beam", material, "seen", Certainty.CERTAIN),))
    describe_object(bench, author, dossier_id, head, "")


def zone(view_id: str, on_it: OnIt, left: float) -> OnZone:
    return OnZone(0, view_id, on_it, box(left, 10, left + 50, 60), accuracy_px=3.0)


# ---- law and ethics


def test_a_flag_goes_stale_after_a_year_and_at_every_loan(bench, author, dossier_id) -> None:
    assert today_at(bench) == TODAY
    entry = record_flag(bench, author, dossier_id, FLAG)
    with bench.store.reading() as reader:
        assert flags_in(reader, dossier_id, TODAY)[0].stale_because == ""
        assert "12 months ago" in flags_in(reader, dossier_id, date(2027, 3, 1))[0].stale_because
    record_loan(bench, author, dossier_id, Loan(0, "an invented house"))
    with bench.store.reading() as reader:
        assert "a loan to" in flags_in(reader, dossier_id, TODAY)[0].stale_because
    record_flag(bench, author, dossier_id, FLAG, subject_id=entry.subject_id, based_on=entry.id)
    with bench.store.reading() as reader:
        (line,) = flags_in(reader, dossier_id, TODAY)
    assert (line.stale_because, line.flag.number) == ("", 1)


def test_unidentified_bone_is_possibly_human_until_a_named_person_says_otherwise(
    bench, author, dossier_id
) -> None:
    made_of(bench, author, dossier_id, "bone")
    with bench.store.reading() as reader:
        assert remains_caution(reader, dossier_id)
    not_human = replace(FLAG, taxon="horse", ground="joint surface", human=Human.NOT_HUMAN)
    record_flag(bench, author, dossier_id, not_human)
    with bench.store.reading() as reader:
        assert remains_caution(reader, dossier_id) == ""


def test_possibly_human_can_be_passed_by_name(bench, author, dossier_id) -> None:
    record_flag(bench, author, dossier_id, replace(FLAG, human=Human.POSSIBLY))
    with bench.store.reading() as reader:
        assert remains_caution(reader, dossier_id) == "flag 1 says “possibly human”"
    passed = Passed(16, ABOUT_REMAINS, "community asked for the pictures", "H. Head")
    pass_rule(bench, author, dossier_id, passed)
    with bench.store.reading() as reader:
        assert remains_caution(reader, dossier_id) == ""


# ---- before the first wet step


def test_the_first_wet_step_waits_until_everything_is_answered(
    bench, author, dossier_id, view_id
) -> None:
    made_of(bench, author, dossier_id, "antler")
    record_on_zone(bench, author, dossier_id, zone(view_id, OnIt.PROTECTED_EVIDENCE, 10.0))
    with bench.store.reading() as reader:
        keys = [one.key for one in wet_step_findings(reader, dossier_id)]
        refuse_wet_step(reader, dossier_id, "dry_cleaning")
        with pytest.raises(RuleError, match="Not before the first wet step"):
            refuse_wet_step(reader, dossier_id, "consolidation")
    assert keys == ["sampling", "type", "reserve", "evidence_1", "lock"]
    record_on_zone(bench, author, dossier_id, zone(view_id, OnIt.UNTREATED_RESERVE, 100.0))
    answers = BeforeWet(
        sampling_first=Reply.NO,
        sampling_asked_of="C. Curator",
        type_figured_or_dated=Reply.NO,
        evidence=(Evidence(1, False, "A. Conservator"),),
        way=Way.BARRIER,
        way_because="cellulose film",
        way_by="A. Conservator",
    )
    write_before_wet(bench, author, dossier_id, answers, "")
    with bench.store.reading() as reader:
        assert wet_step_findings(reader, dossier_id) == ()
        refuse_wet_step(reader, dossier_id, "consolidation")
        assert before_wet_in(reader, dossier_id)[1] == answers


def test_a_step_in_protected_evidence_needs_a_named_yes(bench, author, dossier_id, view_id) -> None:
    record_on_zone(bench, author, dossier_id, zone(view_id, OnIt.PROTECTED_EVIDENCE, 10.0))
    step = PlanStep(0, "dry_cleaning", "brush", "stop at once", on_zone_numbers=(1,))
    record_step(bench, author, dossier_id, step)
    without = "Step 1 works in protected evidence SZ1 without a named yes"
    with bench.store.reading() as reader:
        assert without in [one.sentence for one in missing_in(reader, dossier_id)]
    yes = BeforeWet(evidence=(Evidence(1, True, "C. Curator", "dust only"),))
    write_before_wet(bench, author, dossier_id, yes, "")
    with bench.store.reading() as reader:
        assert without not in [one.sentence for one in missing_in(reader, dossier_id)]


def test_evidence_that_is_not_drawn_cannot_be_decided_about(bench, author, dossier_id) -> None:
    answers = BeforeWet(evidence=(Evidence(7, True, "C. Curator"),))
    with pytest.raises(InputError, match="no protected evidence of that number; got SZ7"):
        write_before_wet(bench, author, dossier_id, answers, "")


# ---- secure now


def test_a_wet_facing_passes_the_lock_and_a_dry_support_does_not_ask(
    bench, author, dossier_id, view_id
) -> None:
    made_of(bench, author, dossier_id, "antler")
    facing = Securing(
        0, Means.FACING, "at mark 1", "it flakes", "lifts dry", "2026-03-05", view_number=1,
        is_wet=True,
    )  # fmt: skip
    with pytest.raises(
        RuleError, match=r"it is locked: antler.*no solvent here is proven harmless"
    ):
        record_securing(bench, author, dossier_id, facing)
    entry = record_securing(
        bench, author, dossier_id, replace(facing, means=Means.SUPPORT, is_wet=False)
    )
    with pytest.raises(InputError, match="no view of that number"):
        record_securing(bench, author, dossier_id, replace(facing, view_number=9))
    with bench.store.reading() as reader:
        assert [one.owner_told_by_on for one in owners_to_tell(reader, dossier_id)] == [
            "2026-03-05"
        ]
    told = tell_owner(bench, author, dossier_id, entry.subject_id, "2026-03-03", entry.id)
    assert record_in(told).number == 1
    with bench.store.reading() as reader:
        assert owners_to_tell(reader, dossier_id) == []


# ---- what changed since the last examination


def test_only_recorded_facts_are_compared_with_the_last_examination(
    bench, author, dossier_id, view_id
) -> None:
    with bench.store.reading() as reader:
        assert since_last_examination(reader, dossier_id) is None
    first = record_mark(bench, author, dossier_id, crack(view_id))
    gone = record_mark(bench, author, dossier_id, crack(view_id))
    grade = grade_place(
        bench, author, dossier_id, Grade("part", "beam", 2, "old", GradeBasis.SEEN), ""
    )
    looked = Examination("check", examined_on="2025-03-01")
    entry = write_examination(bench, author, dossier_id, looked, "")
    grown = replace(
        record_in(first), state=State.GROWN, state_grounds="two dates, floor 0.2 mm, same RH"
    )
    record_mark(bench, author, dossier_id, grown, subject_id=first.subject_id, based_on=first.id)
    record_mark(bench, author, dossier_id, crack(view_id))
    strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="mark",
        subject_id=gone.subject_id,
        because="a shadow",
        based_on=gone.id,
    )
    grade_place(
        bench,
        author,
        dossier_id,
        Grade("part", "beam", 3, "old", GradeBasis.SEEN),
        grade.id,
    )
    again = replace(looked, examined_on="2026-03-02")
    write_examination(bench, author, dossier_id, again, entry.id)
    with bench.store.reading() as reader:
        since = since_last_examination(reader, dossier_id)
    assert since is not None
    assert since.examined_on == "2025-03-01"
    told = {change.about: change for change in since.changes}
    assert told["Mark 3 (crack)"].what == "recorded since"
    assert told["Mark 2 (crack)"].what == "struck since"
    assert told["Mark 1 (crack)"].lines[0].sentence == ("state was “not known”, now “grown”")
    assert [line.sentence for line in told["Grade of beam"].lines] == ["grade was “2”, now “3”"]
    assert told["Grade of beam"].what == "grade 2 then, grade 3 now"
    assert not told["Mark 1 (crack)"].is_redrawn
