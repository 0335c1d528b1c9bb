"""A survey of many objects: what is asked, the sample, and the grade of each object in it.

A survey is a journal of its own beside the dossiers: the entry "survey" opens it. It has no
object, so it stands in no list of objects. Who graded is the author of an entry and nothing else;
a second, independent grading is a number.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.condition import checked_grade
from softmend.records.dossier import NOT_KNOWN

MOST_OBJECTS = 5000
MOST_GRADINGS = 9
LONGEST_NUMBER = 200


@dataclass(frozen=True)
class Survey:
    """What a survey asks of which collection, and how exactly it is to be known.

    Whole shelves tell less than single objects: then `objects_on_a_shelf` is their mean size and
    `likeness` (0 to 1) how alike the objects of one shelf are.
    """

    title: str
    question: str = NOT_KNOWN
    collection_count: int | None = None
    half_width_percent: float = 10.0
    expected_percent: float = 50.0
    objects_on_a_shelf: float | None = None
    likeness: float | None = None
    is_invented: bool = False


@dataclass(frozen=True)
class SampledObject:
    """One object of the sample: its number, and the shelf or box that it is found on."""

    object_number: str
    place: str = NOT_KNOWN


@dataclass(frozen=True)
class SampleList:
    """The objects to be graded, in order, and how they were drawn."""

    objects: tuple[SampledObject, ...]
    drawn_how: str
    drawn_from_count: int | None = None
    seed: int | None = None


@dataclass(frozen=True)
class SurveyGrade:
    """The grade of one object in one grading; None with a reason when it could not be graded."""

    object_number: str
    grade: int | None
    because: str = NOT_KNOWN
    grading: int = 1


def checked_survey(survey: Survey) -> Survey:
    """Return a survey if it has a title and asks for something that can be known."""
    if not survey.title.strip():
        raise InputError("A survey needs a title", remedy="Say in a few words what is surveyed")
    if survey.collection_count is not None and not 1 <= survey.collection_count <= 100_000_000:
        raise InputError(
            "The collection has a size that is not possible",
            value=survey.collection_count,
            allowed="1 to 100 000 000, or not known",
        )
    for name, value in (
        ("How exact a share is wanted", survey.half_width_percent),
        ("The share that is expected", survey.expected_percent),
    ):
        most = 50 if value is survey.half_width_percent else 100
        if not 0 < value < most:
            raise InputError(
                f"{name} is out of range", value=f"{value:g} %", allowed=f"0 to {most} %"
            )
    if (survey.objects_on_a_shelf is None) != (survey.likeness is None):
        raise InputError(
            "Shelves need both their size and how alike their objects are",
            remedy="Give both, or leave both out when objects are drawn one by one",
        )
    if survey.likeness is not None and not 0 <= survey.likeness <= 1:
        raise InputError(
            "How alike the objects of a shelf are is a share",
            value=survey.likeness,
            allowed="0 (not at all) to 1 (all the same)",
        )
    if survey.objects_on_a_shelf is not None and not 1 <= survey.objects_on_a_shelf <= 1_000_000:
        raise InputError(
            "A shelf has a size that is not possible",
            value=survey.objects_on_a_shelf,
            allowed="1 or more objects",
        )
    return survey


def checked_sample(sample: SampleList) -> SampleList:
    """Return a sample list if each object stands in it once."""
    if not 1 <= len(sample.objects) <= MOST_OBJECTS:
        raise InputError(
            "A sample has too few or too many objects",
            value=len(sample.objects),
            allowed=f"1 to {MOST_OBJECTS}",
        )
    if not sample.drawn_how.strip():
        raise InputError(
            "A sample says how it was drawn",
            remedy="For example: by lot; every tenth; those that were easy to reach",
        )
    numbers = Counter(one.object_number for one in sample.objects)
    wrong = [number for number in numbers if not 0 < len(number.strip()) <= LONGEST_NUMBER]
    if wrong:
        raise InputError(
            "An object of the sample has no number that can be read",
            value=wrong[0][:50],
            allowed=f"1 to {LONGEST_NUMBER} characters",
        )
    twice = [number for number, count in numbers.items() if count > 1]
    if twice:
        raise InputError(
            "An object stands in the sample twice",
            value=", ".join(twice[:5]),
            allowed="each object once",
        )
    return sample


def checked_survey_grade(given: SurveyGrade, sample: SampleList) -> SurveyGrade:
    """Return a grade of the survey if its object is in the sample; no grade needs a reason."""
    if given.object_number not in {one.object_number for one in sample.objects}:
        raise InputError(
            "This object is not in the sample",
            value=given.object_number,
            allowed="the numbers of the sample list",
            remedy="Grade what was drawn; what is easy to reach tells nothing of the others",
        )
    if not 1 <= given.grading <= MOST_GRADINGS:
        raise InputError(
            "There is no grading of that number",
            value=given.grading,
            allowed=f"1 to {MOST_GRADINGS}",
        )
    if given.grade is not None:
        checked_grade(given.grade)
    elif given.because in ("", NOT_KNOWN):
        raise InputError(
            f"“{given.object_number}” has neither a grade nor a reason",
            remedy="Give a grade from 1 to 4, or say why it could not be graded",
        )
    return given


def counts_by_grade(grades: Iterable[SurveyGrade]) -> dict[int, int]:
    """Return how many objects got each grade in the first grading, 1 to 4."""
    counted = Counter(one.grade for one in grades if one.grading == 1 and one.grade is not None)
    return {grade: counted[grade] for grade in (1, 2, 3, 4)}


def graded_twice(grades: Sequence[SurveyGrade]) -> list[tuple[str, list[int | None]]]:
    """Return the grades of each object by grading, None where there is none."""
    gradings = range(1, max((one.grading for one in grades), default=0) + 1)
    by_object: dict[str, dict[int, int | None]] = {}
    for one in grades:
        by_object.setdefault(one.object_number, {})[one.grading] = one.grade
    return [
        (number, [given.get(grading) for grading in gradings])
        for number, given in by_object.items()
    ]
