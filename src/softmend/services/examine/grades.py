"""Condition: grades with their reasons, the examination in words, and answers "not done"."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError
from softmend.records.bookkeeping import NotDone
from softmend.records.condition import Grade, Overall, checked_grade, overall_grade
from softmend.records.entry import Entry
from softmend.records.examination import Examination
from softmend.records.view import NotExamined
from softmend.services.bench import Author, Bench
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.store import Reader


def grade_place(
    bench: Bench, author: Author, dossier_id: str, grade: Grade, based_on: str
) -> Entry:
    """Record the grade of a zone, a mark or a part; the reason is part of it."""
    checked_grade(grade.grade)
    if not grade.because.strip():
        raise InputError("A grade needs its reason", remedy="Say in a few words why this grade")
    if grade.of_kind == "part":
        subject_id = f"{dossier_id}:{grade.of_id}"
    else:
        with bench.store.reading() as reader:
            current_record(reader, dossier_id, grade.of_kind, grade.of_id)
        subject_id = grade.of_id
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id,
        record=grade,
        based_on=based_on,
    )


def grades_in(reader: Reader, dossier_id: str) -> tuple[list[tuple[Entry, Grade]], Overall | None]:
    """Return every grade and the overall one, which is the worst (rule 4)."""
    grades = current_records(reader, dossier_id, "grade")
    return grades, overall_grade(grade for _, grade in grades)


def write_examination(
    bench: Bench, author: Author, dossier_id: str, examination: Examination, based_on: str
) -> Entry:
    """Record the words of the examination."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=examination,
        based_on=based_on,
    )


def record_not_examined(bench: Bench, author: Author, dossier_id: str, place: NotExamined) -> Entry:
    """Record a place that was not examined, and why; as good an answer as a photograph."""
    if not place.place.strip() or not place.because.strip():
        raise InputError(
            "A place not examined needs its name and the reason",
            remedy="For example: underside; cannot be turned safely",
        )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=place,
        based_on="",
    )


def answer_not_done(
    bench: Bench, author: Author, dossier_id: str, asked: str, because: str, based_on: str
) -> Entry:
    """Answer something that the dossier's size asks for with: not done, because."""
    if not because.strip():
        raise InputError("“Not done” needs its reason", remedy="Say why in a few words")
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=f"{dossier_id}:{asked}",
        record=NotDone(asked=asked, because=because),
        based_on=based_on,
    )
