"""Consents at the bench: on what was shown, reported with a paper, void when a point moves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError, StaleError
from softmend.records.consent import Decision
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Shape, Sighting
from softmend.records.passing import Passed
from softmend.records.proposal import PlanStep, Proposal
from softmend.records.view import Paper
from softmend.services.examine.marks import record_mark
from softmend.services.passing import pass_rule
from softmend.services.propose.consents import (
    Answered,
    note_wording,
    points_hash,
    record_consent,
    require_consent,
    standings_in,
)
from softmend.services.propose.proposals import proposal_in, record_step, write_proposal
from softmend.services.recording import current_record, record_one
from tests.services.conftest import crack

YES = Answered(Decision.YES, "O. Owner", "owner", "2026-03-03", no_paper_because="said here")
STEP = PlanStep(0, "softening", "soften the old fill", "stop at the first colour")


def shown(bench, dossier_id) -> str:
    with bench.store.reading() as reader:
        return points_hash(reader, dossier_id)


@pytest.fixture
def step(bench, author, dossier_id, view_id):
    record_mark(bench, author, dossier_id, crack(view_id), subject_id="mark-1")
    return record_step(bench, author, dossier_id, replace(STEP, mark_numbers=(1,)))


def agreed(bench, author, dossier_id) -> None:
    record_consent(bench, author, dossier_id, YES, shown(bench, dossier_id))


def test_there_is_nothing_to_consent_to_before_an_option_or_a_step(
    bench, author, dossier_id
) -> None:
    with pytest.raises(RuleError, match="nothing to consent to yet"):
        record_consent(bench, author, dossier_id, YES, shown(bench, dossier_id))


def test_a_consent_holds_for_the_points_that_were_shown(bench, author, dossier_id, step) -> None:
    seen = shown(bench, dossier_id)
    record_step(bench, author, dossier_id, STEP)
    with pytest.raises(StaleError, match="given to other points than those that stand now"):
        record_consent(bench, author, dossier_id, YES, seen)
    agreed(bench, author, dossier_id)
    with bench.store.reading() as reader:
        require_consent(reader, dossier_id)
        (now,) = standings_in(reader, dossier_id)
    assert (now.consent.number, now.allows_work) == (1, True)


def test_a_changed_step_voids_the_consent_and_says_what_changed(
    bench, author, dossier_id, step
) -> None:
    agreed(bench, author, dossier_id)
    changed = replace(record_in(step), stop_rule="go on to the end")
    record_step(bench, author, dossier_id, changed, subject_id=step.subject_id, based_on=step.id)
    with bench.store.reading() as reader, pytest.raises(StaleError) as void:
        require_consent(reader, dossier_id)
    assert "step 1, stop rule was “stop at the first colour”, now “go on to the end”" in str(
        void.value
    )


def test_an_area_drawn_anew_voids_the_consent_and_a_note_on_the_mark_does_not(
    bench, author, dossier_id, step, view_id
) -> None:
    agreed(bench, author, dossier_id)
    with bench.store.reading() as reader:
        entry, mark = current_record(reader, dossier_id, "mark", "mark-1")
    noted = record_mark(
        bench,
        author,
        dossier_id,
        replace(mark, note_observed="dust in it"),
        subject_id="mark-1",
        based_on=entry.id,
    )
    with bench.store.reading() as reader:
        require_consent(reader, dossier_id)
    longer = Sighting(view_id, Geometry(Shape.LINE, (((10.0, 10.0), (400.0, 40.0)),)))
    record_mark(
        bench,
        author,
        dossier_id,
        replace(mark, sightings=(longer,)),
        subject_id="mark-1",
        based_on=noted.id,
    )
    with bench.store.reading() as reader, pytest.raises(StaleError, match="area, mark 1"):
        require_consent(reader, dossier_id)


def test_changed_wording_is_shown_until_somebody_was_told(bench, author, dossier_id, step) -> None:
    agreed(bench, author, dossier_id)
    with pytest.raises(RuleError, match="No wording has changed"):
        note_wording(bench, author, dossier_id, told_to="O.", told_on="2026-03-04", note="x")
    write_proposal(bench, author, dossier_id, Proposal(significance="the label"), "")
    with bench.store.reading() as reader:
        (now,) = standings_in(reader, dossier_id)
        require_consent(reader, dossier_id)
    assert [one.where for one in now.changed_wording] == ["significance"]
    note_wording(
        bench, author, dossier_id, told_to="O. Owner", told_on="2026-03-04", note="by letter"
    )
    with bench.store.reading() as reader:
        assert standings_in(reader, dossier_id)[0].changed_wording == ()


def test_a_consent_names_a_paper_that_is_there(bench, author, dossier_id, step) -> None:
    with_paper = replace(YES, paper_number=1, no_paper_because="not known")
    with pytest.raises(InputError, match=r"no paper of that number.*none is attached"):
        record_consent(bench, author, dossier_id, with_paper, shown(bench, dossier_id))
    paper = Paper(1, "signed.pdf", "c" * 64, 10, "signed proposal")
    record_one(
        bench, author, dossier_id=dossier_id, subject_id="paper-1", record=paper, based_on=""
    )
    entry = record_consent(bench, author, dossier_id, with_paper, shown(bench, dossier_id))
    assert record_in(entry).paper_number == 1


def test_a_decline_is_kept_and_a_later_yes_follows_it(bench, author, dossier_id, step) -> None:
    no = replace(YES, decision=Decision.NO)
    record_consent(bench, author, dossier_id, no, shown(bench, dossier_id))
    with bench.store.reading() as reader, pytest.raises(RuleError, match="a respectable end"):
        require_consent(reader, dossier_id)
    agreed(bench, author, dossier_id)
    with bench.store.reading() as reader:
        require_consent(reader, dossier_id)
        assert [one.consent.number for one in standings_in(reader, dossier_id)] == [1, 2]


def test_a_named_person_may_pass_the_consent_for_these_points_only(
    bench, author, dossier_id, step
) -> None:
    about = shown(bench, dossier_id)
    pass_rule(bench, author, dossier_id, Passed(2, about, "owner out of reach", "H. Head"))
    with bench.store.reading() as reader:
        require_consent(reader, dossier_id)
        based_on, proposal = proposal_in(reader, dossier_id)
    write_proposal(bench, author, dossier_id, replace(proposal, limits="only mark 1"), based_on)
    with bench.store.reading() as reader, pytest.raises(RuleError, match="Nobody has consented"):
        require_consent(reader, dossier_id)
