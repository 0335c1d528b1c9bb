"""The rules of Propose on the fake, SQLite and PostgreSQL alike: refused, and nothing written."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import RuleError, StaleError
from softmend.records.consent import Decision
from softmend.records.dossier import Dossier, Size
from softmend.records.kinds import record_in
from softmend.records.legal import Human, LegalFlag, Topic
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.passing import Passed
from softmend.records.proposal import Coat, Coating, PlanFill, PlanMaterial, PlanStep, Proposal
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import record_mark
from softmend.services.legal_flags import record_flag, remains_caution
from softmend.services.passing import pass_rule
from softmend.services.people import come_to_the_bench
from softmend.services.propose.consents import (
    Answered,
    points_hash,
    record_consent,
    require_consent,
)
from softmend.services.propose.proposals import (
    options_in,
    record_fill,
    record_material,
    record_step,
    write_proposal,
)
from softmend.services.propose.wet_steps import refuse_wet_step
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from softmend.services.store import Store

STEP = PlanStep(0, "softening", "soften the old fill", "stop at the first colour")


@pytest.fixture
def bench(store: Store) -> Bench:
    return Bench(store, zone="Europe/Oslo")


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "A. Conservator").id, "proposal")


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    facts = Dossier("antler beam", "INV 12", "an invented house", "to be shown", Size.FULL, True)
    return open_dossier(bench, author, facts)


@pytest.fixture
def marked(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    view_id = bench.fresh_id()
    record_one(bench, author, dossier_id=dossier_id, subject_id=view_id, record=view, based_on="")
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    return dossier_id


def count(bench: Bench, dossier_id: str) -> int:
    with bench.store.reading() as reader:
        return reader.head(dossier_id).count


def test_no_consent_survives_a_change_of_a_point_it_was_given_to(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    step = record_step(bench, author, dossier_id, STEP)
    yes = Answered(Decision.YES, "O. Owner", "owner", "2026-03-03", no_paper_because="said here")
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    record_consent(bench, author, dossier_id, yes, seen)
    with bench.store.reading() as reader:
        require_consent(reader, dossier_id)
    changed = replace(record_in(step), stop_rule="go on")
    record_step(bench, author, dossier_id, changed, subject_id=step.subject_id, based_on=step.id)
    with bench.store.reading() as reader, pytest.raises(StaleError, match="stop rule was"):
        require_consent(reader, dossier_id)
    before = count(bench, dossier_id)
    with pytest.raises(StaleError, match="given to other points"):
        record_consent(bench, author, dossier_id, yes, seen)
    assert count(bench, dossier_id) == before


def test_every_fill_has_a_warrant_and_a_way_to_be_detected(
    bench: Bench, author: Author, marked: str
) -> None:
    before = count(bench, marked)
    with pytest.raises(RuleError, match="no fill"):
        record_fill(bench, author, marked, PlanFill(0, (1,)))
    assert count(bench, marked) == before
    passed = {"passed_because": "a trial", "passed_by": "C. Curator"}
    record_fill(bench, author, marked, PlanFill(0, (1,)), **passed)
    # The pass and the fill are recorded together.
    assert count(bench, marked) == before + 2


def test_a_percentage_without_basis_is_refused(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    before = count(bench, dossier_id)
    with pytest.raises(RuleError, match="does not say of what"):
        record_material(bench, author, dossier_id, PlanMaterial(0, "resin 20 % in acetone"))
    with pytest.raises(RuleError, match="has no way round"):
        pass_rule(bench, author, dossier_id, Passed(9, "resin", "habit", "A."))
    assert count(bench, dossier_id) == before


def test_the_coating_question_is_answered_with_reasons(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    with pytest.raises(RuleError, match="needs its reasons"):
        write_proposal(bench, author, dossier_id, Proposal(coating=Coating(Coat.NONE)), based_on="")


def test_do_nothing_is_in_every_options_table(bench: Bench, dossier_id: str) -> None:
    with bench.store.reading() as reader:
        _, options = options_in(reader, dossier_id)
    assert [row.name for row in options.rows] == ["do nothing", "do less"]


def test_possibly_human_is_kept_and_law_fields_have_a_date(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    flag = LegalFlag(0, Topic.HUMAN_REMAINS, "asked", "2026-03-01", "R.", human=Human.POSSIBLY)
    with pytest.raises(RuleError, match="dated to the day"):
        record_flag(bench, author, dossier_id, replace(flag, checked_on="last year"))
    record_flag(bench, author, dossier_id, flag)
    with bench.store.reading() as reader:
        assert "possibly human" in remains_caution(reader, dossier_id)


def test_nothing_wet_before_its_questions(bench: Bench, dossier_id: str) -> None:
    with bench.store.reading() as reader, pytest.raises(RuleError, match="first wet step"):
        refuse_wet_step(reader, dossier_id, "consolidation")
