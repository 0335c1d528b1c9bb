"""The printed treatment proposal, read back with tools that are not ours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import page
import pikepdf
import pytest

from softmend.records.canonical import canonical_json
from softmend.records.consent import (
    Consent,
    Decision,
    Plan,
    Standing,
    hash_of,
    listed_points,
    standing,
    wording,
)
from softmend.records.legal import LegalFlag, Topic
from softmend.records.mixing import MakeUp
from softmend.records.passing import RULES
from softmend.records.proposal import (
    Aim,
    Coat,
    Coating,
    Hours,
    Option,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    Route,
    Warrant,
)
from softmend.records.securing import Means, Securing
from softmend.records.wet_step import WetFinding
from softmend.report import proposal_wording
from softmend.report.content import FlagRow, PassedRow
from softmend.report.pdf import condition_report_pdf
from softmend.report.proposal_pdf import proposal_text, treatment_proposal_pdf
from softmend.report.proposal_report import AreaRow, EstimateShown, ProposalReport
from tests.report.reading import failures, text_of
from tests.report.sample import short_report

PROFILES = (page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1)
STALE_FLAG = FlagRow(
    LegalFlag(1, Topic.SPECIES, "appendices looked up", "2025-01-01", "R. Registrar"),
    "checked on 2025-01-01, more than 12 months ago",
)
DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 720 90"><path d="M0 0h9"/></svg>'
ESTIMATE = EstimateShown(
    number=2,
    estimate_class="from the examination: quantities are marked",
    estimated_on="2026-03-01",
    basis="seen once, not cleaned",
    weeks="6 to 17 weeks, from guesses",
    ends="about 2026-05-09, from 2026-04-14 to 2026-06-22",
    wanted="2026-05-30: the date lies inside the range",
    hours="115 (74 to 178) h",
    spread="mean 119 h; standard deviation 12 h if the tasks were independent, 36 h if they move "
    "together: mostly they do",
    tasks=(("Consolidation", "0.08 (0.02 to 0.31) h", "a guess"),),
    standing_still=(("drying", "5 to 17 working days"),),
    drivers=("Filling and shaping",),
    warnings=("From guesses: no chance of a date is given yet.",),
    stale_because="",
    drawing=DRAWING,
    drawing_size=(720.0, 90.0),
)
WORDS = "a sentence of the length that people really write when they have thought about it"


def plan() -> Plan:
    return Plan(
        proposal=Proposal(
            significance=WORDS,
            significance_asked_of="the invented curator",
            aims=(Aim.STABILISE, Aim.RESTORE),
            aims_in_words=WORDS,
            why_act="the crack moves",
            better_conditions_alone="slower, not still",
            coating=Coating(Coat.NONE, ("it would trap dust",), instead="a dust cover"),
            sampling_asked="none",
            limits="nothing in Z4",
            residual_risk="the crack may open again",
            hours_agreed_h=40.0,
            hours_over_percent=20.0,
            environment_afterwards="the seasons' own change",
            comes_back_when="a dowel is found",
        ),
        options=Options(
            nothing=Option("do nothing", "it stays", "it opens further"),
            less=Option("do less", "a support", "dust goes in"),
            fuller=(Option("take down and fill", "sound", "loss at the edge",
                           hours=Hours(15, 30, 60), cost="in house"),),
            chosen="take down and fill",
            chosen_because="it is to be shown",
        ),
        steps=(
            PlanStep(1, "softening", "soften the old fill", "stop at the first colour", 1,
                     aims=(Aim.STABILISE,), mark_numbers=(3,), body_zone_numbers=(2,),
                     material_numbers=(1,), hours=Hours(5, 10, 20)),
            PlanStep(2, "filling", "fill with pulp", "stop 1 mm below", 2, hours=Hours(10, 20, 40)),
        ),
        materials=(
            PlanMaterial(1, "acrylic resin", make_up=MakeUp(
                "resin", "acetone", 23.56, 76.44, basis="w/v of solution", written_percent=20.0)),
            PlanMaterial(2, "paper pulp", route=Route.TESTED, comes_off_how="water, 3 min",
                         route_source="mock-up of 2 March: came off whole"),
        ),
        fills=(PlanFill(1, (3,), Warrant.EDGES, "both edges", detected_by="ultraviolet"),),
        removals=(PlanRemoval(1, "plaster fill", "it is loose", (2,), carries="nothing",
                              kept_where="bag 1"),),
        outlines={"mark 3": "a" * 64},
    )  # fmt: skip


def answer(of: Plan, decision: Decision = Decision.WITH_LIMITS) -> Consent:
    points, words = listed_points(of), wording(of)
    return Consent(
        1, decision, "O. Owner", "owner", "2026-03-03", hash_of(points), canonical_json(points),
        hash_of(words), canonical_json(words), limits="not the tip", paper_number=2,
    )  # fmt: skip


def sample(standings: tuple[Standing, ...] = ()) -> ProposalReport:
    passed = (
        PassedRow(8, RULES[8], "fill of mark 9", "a trial", "C. Curator", "2026-03-04"),
        PassedRow(2, RULES[2], "5" * 64, "a storm", "D. Director", "2026-03-05"),
    )
    about = replace(short_report()[0], flags=(STALE_FLAG,), passings=passed)
    held = plan()
    return ProposalReport(
        about=about,
        plan=held,
        points_hash=hash_of(listed_points(held)),
        wording_hash=hash_of(wording(held)),
        based_on="condition report, version 2, examined on: 2026-03-02",
        actions={"softening": "softening", "filling": "filling"},
        routes={"unknown": "removable in principle, not tested"},
        areas=(AreaRow("Mark 3", "crack", "length 41.2 ± 0.9 mm"),),
        securings=(
            Securing(1, Means.FACING, "mark 2", "it flakes", "lifts dry", "2026-03-05",
                     view_number=1),
        ),
        owed_before_wet=(WetFinding("type", "Nobody asked whether it is a type", "Ask"),),
        standings=standings,
        missing=("Say which risk remains",),
        estimate=ESTIMATE,
    )  # fmt: skip


@pytest.fixture(scope="module")
def printed(fonts: Path) -> bytes:
    return treatment_proposal_pdf(sample((standing(answer(plan()), plan()),)), fonts)


# The validator is page-validation, written apart from Typst; it checks against the published rules.
@pytest.mark.parametrize("profile", PROFILES)
def test_the_proposal_is_archival_and_accessible(
    printed: bytes, profile: page.ValidationProfile
) -> None:
    assert failures(printed, profile) == []


def test_the_same_proposal_gives_the_same_bytes(printed: bytes, fonts: Path) -> None:
    again = treatment_proposal_pdf(sample((standing(answer(plan()), plan()),)), fonts)
    assert again == printed


def test_hazards_stand_first_and_consent_stands_last(printed: bytes) -> None:
    text = text_of(printed)
    places = [text.index(title) for title in proposal_wording.SECTIONS.values() if title in text]
    assert len(places) == len(proposal_wording.SECTIONS)
    assert text.index("Hazards and handling") < min(places)
    assert text.rindex(proposal_wording.POINTS_HASH) > text.index("Rules passed")


def test_everything_that_is_consented_to_is_printed(printed: bytes) -> None:
    text = text_of(printed)
    for words in (
        "do nothing", "do less", "stop at the first colour", "23.56 g resin with 76.44 g acetone",
        "written as 20 % w/v of solution", "removable in principle, not tested", "ultraviolet",
        "shape fixed by surviving edges", "no coating", "it would trap dust", "a dowel is found",
        "41.2 ± 0.9 mm", "comes back for consent above 20 % more (48 h)",
        "not the tip", "paper 2", "C. Curator", "Check again: flag 1", "This is not legal advice",
        "to be told by 2026-03-05", "10 to 40 h, likely 20 h (from: guess)",
    ):  # fmt: skip
        assert words in text, words


def test_the_place_to_sign_stands_there_until_somebody_consented(
    printed: bytes, fonts: Path
) -> None:
    assert proposal_wording.TO_BE_SIGNED not in text_of(printed)
    owed = standing(replace(answer(plan()), paper_number=None, no_paper_because="post"), plan())
    told = text_of(treatment_proposal_pdf(sample((owed,)), fonts))
    assert told.index(proposal_wording.PAPER_OWED[:40]) < told.index("☐ yes with limits")
    unsigned = text_of(treatment_proposal_pdf(sample(), fonts))
    assert unsigned.index(proposal_wording.TO_BE_SIGNED) < unsigned.index("☐ yes with limits")
    assert proposal_wording.DECLINE in unsigned


def test_the_hash_of_the_points_is_printed_whole(printed: bytes) -> None:
    assert sample().points_hash in text_of(printed)


def test_the_condition_report_carries_the_flags_behind_the_hazards(fonts: Path) -> None:
    report, pictures = short_report()
    text = text_of(condition_report_pdf(replace(report, flags=(STALE_FLAG,)), pictures, fonts))
    assert text.index("Hazards and handling") < text.index("Check again: flag 1")
    assert text.index("Check again: flag 1") < text.index("The object")


def test_a_void_consent_says_what_changed(fonts: Path) -> None:
    held = plan()
    changed = replace(held, steps=(replace(held.steps[0], stop_rule="go on"), held.steps[1]))
    text = text_of(treatment_proposal_pdf(sample((standing(answer(held), changed),)), fonts))
    assert proposal_wording.VOID in text
    assert "step 1, stop rule was “stop at the first colour”, now “go on”" in text


def test_the_dossier_travels_inside_and_place_and_mass_stay_out(printed: bytes) -> None:
    with pikepdf.open(io.BytesIO(printed)) as document:
        assert list(document.attachments) == ["dossier.json"]
    assert "Place and mass are left out" in text_of(printed)


def test_every_section_is_there_as_text() -> None:
    texts = proposal_text(sample())
    assert next(iter(texts)) == "hazards"
    assert "Stop rule: stop 1 mm below" in texts["steps"]
    assert "Hash of the listed points: " in texts["consent"]


def test_the_weeks_stand_in_the_proposal_with_what_they_rest_on(printed: bytes) -> None:
    text = text_of(printed)
    place = text.index("Hours and weeks")
    assert place < text.index("6 to 17 weeks, from guesses") < text.index("Materials", place)
    for words in (
        "Estimate 2", "seen once, not cleaned", "115 (74 to 178) h", "0.08 (0.02 to 0.31) h",
        "standard deviation 12 h", "5 to 17 working days", "2026-05-30: the date lies inside",
        "no chance of a date", "no print tells how fast one person is",
    ):  # fmt: skip
        assert words in text, words


def test_weeks_that_no_longer_hold_say_so_before_anything_else(fonts: Path) -> None:
    stale = replace(ESTIMATE, stale_because="stale, because the deadline is 2027-01-01 now")
    text = text_of(treatment_proposal_pdf(replace(sample(), estimate=stale), fonts))
    assert text.index("Stale, because the deadline") < text.index("6 to 17 weeks")


def test_steps_without_hours_point_to_the_estimate_of_the_whole() -> None:
    held = plan()
    bare = replace(held, steps=tuple(replace(step, hours=None) for step in held.steps))
    told = proposal_text(replace(sample(), plan=bare))["steps"]
    assert f"All steps: {proposal_wording.AS_A_WHOLE}" in told
    alone = proposal_text(replace(sample(), plan=bare, estimate=None))["steps"]
    assert "All steps: not estimated" in alone


def test_an_empty_proposal_prints_and_says_what_is_missing(fonts: Path) -> None:
    about, _ = short_report()
    bare = Plan(Proposal(), Options())
    report = ProposalReport(about, bare, hash_of(listed_points(bare)), "0" * 64, "none", {}, {},
                            missing=("Choose an option, with the reason",))  # fmt: skip
    text = text_of(treatment_proposal_pdf(report, fonts))
    assert "this print is a draft" in text
    assert "No step is proposed." in text
    assert "no place to sign" in text
    assert proposal_wording.TO_BE_SIGNED not in text
    assert "do nothing" in text
