"""Consents: recorded as reported, on the points as they stood, and what has changed since."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError, RuleError, StaleError
from softmend.records.canonical import canonical_json
from softmend.records.consent import (
    Consent,
    Decision,
    Plan,
    Standing,
    WordingNoted,
    checked_consent,
    hash_of,
    hash_of_points,
    listed_points,
    refuse_without_consent,
    standing,
    wording,
)
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.services.bench import Author, Bench
from softmend.services.numbered import append_numbered
from softmend.services.passing import passings_in
from softmend.services.propose.proposals import plan_in
from softmend.services.recording import append_record, current_records
from softmend.services.store import Reader


@dataclass(frozen=True)
class Answered:
    """What the owner, or who stands for the owner, answered, as it was reported."""

    decision: Decision
    given_by: str
    role: str
    decided_on: str
    limits: str = NOT_KNOWN
    paper_number: int | None = None
    no_paper_because: str = NOT_KNOWN


def points_hash(reader: Reader, dossier_id: str) -> str:
    """Return the hash of the points that a consent would be given to now."""
    return hash_of_points(plan_in(reader, dossier_id))


def record_consent(
    bench: Bench, author: Author, dossier_id: str, answered: Answered, seen_hash: str
) -> Entry:
    """Record an answer to the points whose hash was printed or shown; StaleError if they moved."""
    with bench.store.writing() as writer:
        plan = plan_in(writer, dossier_id)
        _refuse_empty(plan)
        points, words = listed_points(plan), wording(plan)
        if hash_of(points) != seen_hash.strip().lower():
            raise StaleError(
                "The answer was given to other points than those that stand now",
                value=seen_hash.strip()[:64] or "no hash",
                remedy="Compare the hash on the paper, and ask again for the points as they stand",
            )
        _refuse_unknown_paper(writer, dossier_id, answered.paper_number)
        consent = Consent(
            number=0,
            decision=answered.decision,
            given_by=answered.given_by,
            role=answered.role,
            decided_on=answered.decided_on,
            points_hash=hash_of(points),
            points_json=canonical_json(points),
            wording_hash=hash_of(words),
            wording_json=canonical_json(words),
            limits=answered.limits,
            paper_number=answered.paper_number,
            no_paper_because=answered.no_paper_because,
        )
        entry = append_numbered(bench, writer, author, dossier_id, checked_consent(consent))
        writer.commit()
    return entry


def note_wording(
    bench: Bench, author: Author, dossier_id: str, *, told_to: str, told_on: str, note: str
) -> Entry:
    """Note that somebody was told of a change of wording; the consent stands."""
    if not told_to.strip() or not told_on.strip():
        raise InputError("A note of changed wording says who was told, and when")
    with bench.store.writing() as writer:
        standings = standings_in(writer, dossier_id)
        if not standings or not standings[-1].changed_wording:
            raise RuleError("No wording has changed since the consent", rule=2)
        number = standings[-1].consent.number
        words = wording(plan_in(writer, dossier_id))
        subject_id = f"{dossier_id}:consent {number}"
        before = writer.latest("wording_noted", subject_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=WordingNoted(
                consent_number=number,
                wording_hash=hash_of(words),
                wording_json=canonical_json(words),
                told_to=told_to.strip(),
                told_on=told_on.strip(),
                note=note,
            ),
            based_on=before.id if before else "",
        )
        writer.commit()
    return entry


def standings_in(reader: Reader, dossier_id: str, plan: Plan | None = None) -> list[Standing]:
    """Return every consent and where it stands today, the newest last."""
    plan = plan or plan_in(reader, dossier_id)
    noted = [note for _, note in current_records(reader, dossier_id, "wording_noted")]
    consents = [consent for _, consent in current_records(reader, dossier_id, "consent")]
    now = hash_of_points(plan) if consents else ""
    return [standing(consent, plan, noted, now) for consent in consents]


def require_consent(reader: Reader, dossier_id: str) -> None:
    """Refuse work on a proposal that nobody consented to as it stands (rule 2)."""
    refuse_without_consent(
        standings_in(reader, dossier_id),
        points_hash(reader, dossier_id),
        passings_in(reader, dossier_id),
    )


def _refuse_empty(plan: Plan) -> None:
    if not plan.steps and plan.options.chosen == NOT_KNOWN:
        raise RuleError(
            "There is nothing to consent to yet",
            rule=2,
            remedy="Choose an option, “do nothing” included, or write the first step",
        )


def _refuse_unknown_paper(reader: Reader, dossier_id: str, number: int | None) -> None:
    papers = [paper.number for _, paper in current_records(reader, dossier_id, "paper")]
    if number is not None and number not in papers:
        raise InputError(
            "There is no paper of that number in this dossier",
            value=number,
            allowed=", ".join(map(str, papers)) or "none is attached",
            remedy="Attach the signed paper among the views first",
        )
