"""The whole answer on an object's place in a process of its own: how far it is, and a stop.

What was answered once stands on the disk under its inputs; only what is not there is computed.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.intake.logger_kept import keep_answer
from softmend.services.bench import Bench
from softmend.services.jobs import Jobs, Report
from softmend.services.places.nearest import record_for
from softmend.services.places.plans import questions_of
from softmend.services.places.record import Record, answer_folder, answer_key, is_answered
from softmend.services.places.tied import tied_in
from softmend.services.store import Reader

JOB_KIND = "climate"
_UNDER_WAY = ("waiting", "running")


@dataclass(frozen=True)
class Waiting:
    """What is still to be computed: the record, and each question's plan, name and inputs."""

    record: Record
    questions: tuple[tuple[str, str, dict[str, Any]], ...]


def waiting_for(bench: Bench, reader: Reader, dossier_id: str) -> Waiting | None:
    """Return what of the whole answer is not on the disk yet, or None when all of it is."""
    tied = tied_in(reader, dossier_id)
    if tied.place is None or tied.said is None:
        return None
    record = record_for(bench, reader, tied)
    if record is None:
        return None
    asked = questions_of(record, tied.said, tied.case.case if tied.case else None)
    missing = tuple(
        (one.plan, one.name, one.asked)
        for one in asked
        if not is_answered(bench, record, one.name, one.asked)
    )
    return Waiting(record, missing) if missing else None


def answer_later(jobs: Jobs, bench: Bench, dossier_id: str, waiting: Waiting) -> str:
    """Start the job that answers the whole, and return its id; one under way is taken up again."""
    with bench.store.reading() as reader:
        for row in reader.jobs(dossier_id):
            if row.kind == JOB_KIND and row.state in _UNDER_WAY:
                return row.id
    record = waiting.record
    work = [
        (plan, name, asked, answer_key(record, name, asked))
        for plan, name, asked in waiting.questions
    ]
    folder = str(answer_folder(bench, record))
    return jobs.start(JOB_KIND, dossier_id, answered_apart, record.payload(), work, folder)


def answered_apart(
    _folder: Path,
    report: Report,
    readings: dict[str, Any],
    work: list[tuple[str, str, dict[str, Any], str]],
    into: str,
) -> str:
    """Answer each question on the readings and keep it; what is done stays when it is stopped."""
    for at, (plan, name, asked, key) in enumerate(work):
        report(at, len(work), f"the object {plan}, hour by hour")
        keep_answer(Path(into), key, catalogue.run(name, {**readings, **asked}))
    report(len(work), len(work), "done")
    return "answered"
