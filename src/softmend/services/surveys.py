"""Surveys: a journal of their own with a sample, its grades, and what the count says of all."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
import math
import random
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend.errors import InputError, NotFoundError
from softmend.exchange.tables_csv import table_csv
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.survey import (
    MOST_OBJECTS,
    SampledObject,
    SampleList,
    Survey,
    SurveyGrade,
    checked_sample,
    checked_survey,
    checked_survey_grade,
    counts_by_grade,
    graded_twice,
)
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.recording import append_record, current_record, current_records, record_one
from softmend.services.store import DossierRow, Reader

LONGEST_PASTE = 2_000_000
UNSTABLE = "grade 3 or 4, unstable"
_NOT_GRADED = {"", "-", "?"}
_HEADINGS = {"object", "number", "object_number"}


@dataclass(frozen=True)
class OpenSurvey:
    """A survey as its page shows it: what is asked, the sample, the grades, the end of it."""

    survey_id: str
    survey: Survey
    survey_entry_id: str
    sample: SampleList | None
    sample_entry_id: str
    grades: tuple[SurveyGrade, ...]
    grade_entry_ids: dict[tuple[str, int], str]

    def left_to_grade(self, grading: int) -> list[SampledObject]:
        """Return the objects that have no answer in a grading yet, in the order of the sample."""
        done = {one.object_number for one in self.grades if one.grading == grading}
        objects = self.sample.objects if self.sample else ()
        return [one for one in objects if one.object_number not in done]


@dataclass(frozen=True)
class SurveyResult:
    """What a survey says: how many to grade, shares of the collection, agreement of gradings.

    `shares` and `agreement` are None while there is nothing to say.
    """

    size: Outcome
    shares: Outcome | None
    agreement: Outcome | None
    graded: int
    not_graded: int
    plain_words: tuple[str, ...]


def open_survey(bench: Bench, author: Author, survey: Survey) -> str:
    """Open a survey, a journal of its own beside the dossiers; return its id."""
    survey_id = bench.fresh_id()
    with bench.store.writing() as writer:
        append_record(
            bench,
            writer,
            author,
            dossier_id=survey_id,
            subject_id=survey_id,
            record=checked_survey(survey),
            based_on="",
        )
        writer.commit()
    return survey_id


def survey_list(bench: Bench) -> list[DossierRow]:
    """Return the surveys of the house, newest change first."""
    with bench.store.reading() as reader:
        return reader.surveys()


def opened_survey(reader: Reader, survey_id: str) -> OpenSurvey:
    """Return a survey with its sample and its grades; NotFoundError when there is none."""
    entry, survey = current_record(reader, survey_id, "survey", survey_id)
    samples = current_records(reader, survey_id, "sample_list")
    grades = current_records(reader, survey_id, "survey_grade")
    return OpenSurvey(
        survey_id=survey_id,
        survey=survey,
        survey_entry_id=entry.id,
        sample=samples[0][1] if samples else None,
        sample_entry_id=samples[0][0].id if samples else "",
        grades=tuple(grade for _, grade in grades),
        grade_entry_ids={(one.object_number, one.grading): entry.id for entry, one in grades},
    )


def describe_survey(
    bench: Bench, author: Author, survey_id: str, survey: Survey, based_on: str
) -> Entry:
    """Record a further version of what a survey asks."""
    with bench.store.reading() as reader:
        _check_fits(survey, opened_survey(reader, survey_id).sample)
    return record_one(
        bench,
        author,
        dossier_id=survey_id,
        subject_id=survey_id,
        record=checked_survey(survey),
        based_on=based_on,
    )


def record_sample(
    bench: Bench, author: Author, survey_id: str, sample: SampleList, based_on: str
) -> Entry:
    """Record the sample; grades of objects that it no longer holds stay in the journal."""
    with bench.store.reading() as reader:
        _check_fits(opened_survey(reader, survey_id).survey, sample)
    return record_one(
        bench,
        author,
        dossier_id=survey_id,
        subject_id=survey_id,
        record=checked_sample(sample),
        based_on=based_on,
    )


def drawn_by_lot(objects: Iterable[SampledObject], count: int, seed: int) -> SampleList:
    """Return a sample drawn by lot from a list of the collection; the same seed, the same lot."""
    all_of_them = checked_sample(SampleList(tuple(objects), "whole list")).objects
    if not 1 <= count <= len(all_of_them):
        raise InputError(
            "So many objects cannot be drawn",
            value=count,
            allowed=f"1 to {len(all_of_them)}, the length of the list",
        )
    lot = random.Random(seed).sample(range(len(all_of_them)), count)  # noqa: S311
    return SampleList(
        objects=tuple(all_of_them[index] for index in sorted(lot)),
        drawn_how="by lot from a list of the collection",
        drawn_from_count=len(all_of_them),
        seed=seed,
    )


def grade_object(
    bench: Bench, author: Author, survey_id: str, given: SurveyGrade, based_on: str
) -> Entry:
    """Record the grade of one object, or why it could not be graded."""
    with bench.store.reading() as reader:
        checked_survey_grade(given, _sample(opened_survey(reader, survey_id)))
    return record_one(
        bench,
        author,
        dossier_id=survey_id,
        subject_id=_subject(survey_id, given),
        record=given,
        based_on=based_on,
    )


def paste_grades(
    bench: Bench, author: Author, survey_id: str, text: str, grading: int
) -> list[Entry]:
    """Record every grade of a pasted table in one transaction, or none of them.

    Columns: object number, grade, reason. A grade that stands and says the same is left alone.
    """
    rows = grades_from_csv(text, grading)
    with bench.store.writing() as writer:
        survey = opened_survey(writer, survey_id)
        standing = {(one.object_number, one.grading): one for one in survey.grades}
        entries = [
            append_record(
                bench,
                writer,
                author,
                dossier_id=survey_id,
                subject_id=_subject(survey_id, given),
                record=checked_survey_grade(given, _sample(survey)),
                based_on=survey.grade_entry_ids.get((given.object_number, grading), ""),
            )
            for given in rows
            if standing.get((given.object_number, grading)) != given
        ]
        writer.commit()
    return entries


def sample_from_csv(text: str) -> list[SampledObject]:
    """Return the objects of a pasted table: number, then shelf or box if it is known."""
    return [
        SampledObject(cells[0], cells[1] if len(cells) > 1 and cells[1] else NOT_KNOWN)
        for cells in _rows(text)
    ]


def grades_from_csv(text: str, grading: int) -> list[SurveyGrade]:
    """Return the grades of a pasted table: number, grade or nothing, reason."""
    found = []
    for cells in _rows(text):
        number, grade, because = (*cells, "", "")[:3]
        if grade not in _NOT_GRADED and grade not in ("1", "2", "3", "4"):
            raise InputError(
                f"The grade of “{number}” is none",
                value=grade,
                allowed="1, 2, 3, 4, or nothing with a reason",
            )
        value = None if grade in _NOT_GRADED else int(grade)
        found.append(SurveyGrade(number, value, because or NOT_KNOWN, grading))
    twice = {one.object_number for one in found}
    if len(twice) < len(found):
        raise InputError("An object is graded twice in this table", allowed="one row an object")
    return found


def survey_csv(survey: OpenSurvey) -> bytes:
    """Return the sample and its grades as a table: a row an object and grading."""
    given: dict[str, list[SurveyGrade]] = {}
    for grade in survey.grades:
        given.setdefault(grade.object_number, []).append(grade)
    rows: list[list[Any]] = []
    for one in survey.sample.objects if survey.sample else ():
        known = [one.object_number, one.place]
        grades = given.get(one.object_number, [])
        rows += [[*known, grade.grading, grade.grade, grade.because] for grade in grades]
        rows += [] if grades else [[*known, None, None, None]]
    return table_csv(("object_number", "place", "grading", "grade", "because"), rows)


def survey_result(survey: OpenSurvey) -> SurveyResult:
    """Return what a survey says so far, in numbers and in plain words."""
    in_sample = {one.object_number for one in survey.sample.objects} if survey.sample else set()
    grades = [one for one in survey.grades if one.object_number in in_sample]
    first = [one for one in grades if one.grading == 1]
    graded = sum(one.grade is not None for one in first)
    size = outcome("survey.size", _size_inputs(survey.survey))
    shares = _shares(survey.survey, grades, graded) if graded else None
    twice = graded_twice(grades)
    has_second = any(sum(grade is not None for grade in given) > 1 for _, given in twice)
    agreement = _agreement(twice) if has_second else None
    return SurveyResult(
        size=size,
        shares=shares,
        agreement=agreement,
        graded=graded,
        not_graded=len(first) - graded,
        plain_words=tuple(_plain_words(survey, first, size, shares)),
    )


def _check_fits(survey: Survey, sample: SampleList | None) -> None:
    if sample is None or survey.collection_count is None:
        return
    if len(sample.objects) > survey.collection_count:
        raise InputError(
            "The sample has more objects than the collection",
            value=f"{len(sample.objects)} of {survey.collection_count}",
            allowed="at most all of them",
            remedy="Correct the size of the collection, or the list",
        )


def _subject(survey_id: str, given: SurveyGrade) -> str:
    return f"{survey_id}:{given.grading}:{given.object_number}"


def _sample(survey: OpenSurvey) -> SampleList:
    if survey.sample is None:
        raise NotFoundError(
            "This survey has no sample yet", remedy="Paste the objects that are to be graded"
        )
    return survey.sample


def _rows(text: str) -> list[list[str]]:
    """Return the rows of a pasted table; comma, semicolon or tab, a heading is left out."""
    if len(text) > LONGEST_PASTE:
        raise InputError(
            "The pasted table is too long",
            value=f"{len(text)} characters",
            allowed=f"up to {LONGEST_PASTE}",
        )
    first_line = text.strip().partition("\n")[0]
    between = max("\t;,", key=first_line.count)
    try:
        read = list(csv.reader(io.StringIO(text.strip()), delimiter=between, strict=True))
    except csv.Error as unread:
        raise InputError(
            "The pasted table cannot be read", value=str(unread), allowed="one row an object"
        ) from unread
    rows = [[cell.strip().removeprefix("'") for cell in row] for row in read if any(row)]
    if rows and rows[0][0].casefold() in _HEADINGS:
        rows = rows[1:]
    if not 1 <= len(rows) <= MOST_OBJECTS:
        raise InputError(
            "The pasted table has too few or too many rows",
            value=len(rows),
            allowed=f"1 to {MOST_OBJECTS}",
        )
    return rows


def _size_inputs(survey: Survey) -> dict[str, Any]:
    return {
        "half_width_percent": survey.half_width_percent,
        "expected_percent": survey.expected_percent,
        **_drawn_from(survey),
    }


def _drawn_from(survey: Survey) -> dict[str, Any]:
    given: dict[str, Any] = {}
    if survey.collection_count is not None:
        given["collection"] = survey.collection_count
    if survey.objects_on_a_shelf is not None:
        given["clusters"] = {
            "objects_on_a_shelf": survey.objects_on_a_shelf,
            "likeness": survey.likeness,
        }
    return given


def _shares(survey: Survey, grades: list[SurveyGrade], graded: int) -> Outcome:
    counts = counts_by_grade(grades)
    named = {UNSTABLE: counts[3] + counts[4]}
    named |= {f"grade {grade}": count for grade, count in counts.items()}
    return outcome(
        "survey.interval",
        {
            "counts": [
                {"name": name, "found": found, "graded": graded} for name, found in named.items()
            ],
            **_drawn_from(survey),
        },
    )


def _agreement(twice: list[tuple[str, list[int | None]]]) -> Outcome:
    return outcome(
        "survey.agreement",
        {"objects": [{"object": number, "grades": given} for number, given in twice]},
    )


def _plain_words(
    survey: OpenSurvey, first: list[SurveyGrade], size: Outcome, shares: Outcome | None
) -> Iterable[str]:
    if shares is None:
        yield size["text"]
        return
    counts = counts_by_grade(first)
    graded = sum(counts.values())
    low, high = _outwards(shares["shares"][0]["low_percent"], shares["shares"][0]["high_percent"])
    of = "of this collection" if survey.survey.collection_count else "of such objects"
    yield (
        f"Between {low} and {high} in 100 {of} are unstable (grade 3 or 4): "
        f"{counts[3] + counts[4]} of the {graded} graded."
    )
    if graded < size["objects"]:
        yield (
            f"{size['objects']} are needed for ± {survey.survey.half_width_percent:g} points; "
            "until then the range is wider."
        )
    if len(first) > graded:
        yield (
            f"{len(first) - graded} could not be graded. If they differ from the others, the "
            "range does not hold for them."
        )
    if survey.sample is not None and survey.sample.seed is None:
        yield (
            f"Drawn: {survey.sample.drawn_how}. Only a draw by lot speaks for the whole collection."
        )


def _outwards(low: float, high: float) -> tuple[int, int]:
    return math.floor(low + 1e-9), math.ceil(high - 1e-9)
