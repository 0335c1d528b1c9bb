"""Surveys: what is asked of a collection, the sample, grading one by one or pasted, the result."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.canonical import sha256_text
from softmend.records.survey import (
    MOST_GRADINGS,
    SampledObject,
    SampleList,
    Survey,
    SurveyGrade,
)
from softmend.services.examine.vocabulary import grade_definitions
from softmend.services.surveys import (
    LONGEST_PASTE,
    OpenSurvey,
    describe_survey,
    drawn_by_lot,
    grade_object,
    open_survey,
    opened_survey,
    paste_grades,
    record_sample,
    sample_from_csv,
    survey_csv,
    survey_list,
    survey_result,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.journal import lines_of
from softmend.web.rendering import render

router = APIRouter()

ENTRIES_SHOWN = 100

Line = Annotated[str, Field(max_length=2000)]
Pasted = Annotated[str, Field(max_length=LONGEST_PASTE)]
Grading = Annotated[int, Field(ge=1, le=MOST_GRADINGS)]


class SurveyForm(BaseModel):
    """The form of what a survey asks."""

    based_on: str = Field("", max_length=40)
    title: Line = ""
    question: Line = ""
    collection_count: Line = ""
    half_width_percent: Line = "10"
    expected_percent: Line = "50"
    objects_on_a_shelf: Line = ""
    likeness: Line = ""
    is_invented: bool = False

    def record(self) -> Survey:
        """Return what was typed as a record."""
        count = maybe_number(self.collection_count, "The size of the collection", "", 1, 1e8)
        return Survey(
            title=self.title.strip(),
            question=known(self.question),
            collection_count=None if count is None else int(count),
            half_width_percent=typed_number(
                self.half_width_percent, "How exact a share is wanted", "%", 0, 50
            ),
            expected_percent=typed_number(
                self.expected_percent, "The share that is expected", "%", 0, 100
            ),
            objects_on_a_shelf=maybe_number(
                self.objects_on_a_shelf, "The objects on a shelf", "", 1, 1e6
            ),
            likeness=maybe_number(self.likeness, "How alike the objects of a shelf are", "", 0, 1),
            is_invented=self.is_invented,
        )


class SampleForm(BaseModel):
    """The form of a sample: a pasted list, taken as it is or drawn from by lot."""

    based_on: str = Field("", max_length=40)
    pasted: Pasted = ""
    draw: str = Field("", max_length=20)
    drawn_how: Line = ""

    def record(self, survey_id: str) -> SampleList:
        """Return what was pasted as a sample; the lot's seed comes from the survey and its list."""
        objects = sample_from_csv(self.pasted)
        if not self.draw.strip():
            return SampleList(tuple(objects), self.drawn_how.strip())
        count = typed_number(self.draw, "How many to draw", "", 1, len(objects))
        return drawn_by_lot(objects, int(count), _seed(survey_id, objects))


class GradeForm(BaseModel):
    """The form of one grade of the survey."""

    based_on: str = Field("", max_length=40)
    object_number: Line = ""
    grade: str = Field("", max_length=1)
    because: Line = ""
    grading: Grading = 1

    def record(self) -> SurveyGrade:
        """Return what was chosen as a record; a reason alone is not taken for “not graded”."""
        if not self.grade.isdecimal():
            raise InputError(
                f"No grade is chosen for “{self.object_number}”",
                allowed="1, 2, 3, 4, or could not be graded",
                remedy="Read the four definitions and choose one",
            )
        grade = int(self.grade) or None
        return SurveyGrade(self.object_number, grade, known(self.because), self.grading)


@router.get("/surveys")
def surveys(request: Request, bench: BenchHere, person: PersonHere) -> Response:
    """List the surveys, and ask what a new one is to find out."""
    return render(request, "surveys.html", rows=survey_list(bench), blank=Survey(""))


@router.post("/surveys")
def open_new_survey(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[SurveyForm, Form()]
) -> Response:
    """Open a survey and show its page."""
    return go_on(request, f"/surveys/{open_survey(bench, person.author, form.record())}")


@router.get("/surveys/{survey_id}")
def survey(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    survey_id: Id,
    grading: Annotated[Grading, Query()] = 1,
    object_number: Annotated[str, Query(max_length=200)] = "",
    after: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Show what the survey says, the next object to grade, and the table of the sample."""
    with bench.store.reading() as reader:
        opened = opened_survey(reader, survey_id)
        journal = lines_of(reader, reader.entries(survey_id)[-ENTRIES_SHOWN:])
    chosen = _chosen(opened, grading, object_number)
    standing = {(one.object_number, one.grading): one for one in opened.grades}
    return render(
        request,
        "survey.html",
        opened=opened,
        result=survey_result(opened),
        grading=grading,
        after=standing.get((after, grading)),
        left=opened.left_to_grade(grading),
        chosen=chosen,
        given=standing.get((chosen.object_number, grading)) if chosen else None,
        standing=standing,
        given_entry=opened.grade_entry_ids.get((chosen.object_number, grading), "")
        if chosen
        else "",
        definitions=grade_definitions(),
        journal=journal,
    )


@router.post("/surveys/{survey_id}")
def ask_otherwise(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    survey_id: Id,
    form: Annotated[SurveyForm, Form()],
) -> Response:
    """Record a further version of what the survey asks."""
    describe_survey(bench, person.author, survey_id, form.record(), form.based_on)
    return go_on(request, f"/surveys/{survey_id}")


@router.post("/surveys/{survey_id}/sample")
def take_sample(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    survey_id: Id,
    form: Annotated[SampleForm, Form()],
) -> Response:
    """Record the objects that are to be graded."""
    record_sample(bench, person.author, survey_id, form.record(survey_id), form.based_on)
    return go_on(request, f"/surveys/{survey_id}")


@router.post("/surveys/{survey_id}/grade")
def grade_one(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    survey_id: Id,
    form: Annotated[GradeForm, Form()],
) -> Response:
    """Record one grade and go on to the next object."""
    grade_object(bench, person.author, survey_id, form.record(), form.based_on)
    # The address names what was just graded: a browser does not load the same one again.
    asked = urlencode({"grading": form.grading, "after": form.object_number})
    return go_on(request, f"/surveys/{survey_id}?{asked}#grade")


@router.post("/surveys/{survey_id}/grades")
def take_grades(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    survey_id: Id,
    pasted: Annotated[str, Form(max_length=LONGEST_PASTE)] = "",
    grading: Annotated[int, Form(ge=1, le=MOST_GRADINGS)] = 1,
) -> Response:
    """Record every grade of a pasted table."""
    paste_grades(bench, person.author, survey_id, pasted, grading)
    return go_on(request, f"/surveys/{survey_id}?grading={grading}")


@router.get("/surveys/{survey_id}/grades.csv")
def grades_csv(request: Request, bench: BenchHere, person: PersonHere, survey_id: Id) -> Response:
    """Give the sample and its grades as a table to take away."""
    with bench.store.reading() as reader:
        opened = opened_survey(reader, survey_id)
    named = {"content-disposition": 'attachment; filename="survey.csv"'}
    return Response(survey_csv(opened), media_type="text/csv; charset=utf-8", headers=named)


def _chosen(opened: OpenSurvey, grading: int, object_number: str) -> SampledObject | None:
    if object_number and opened.sample is not None:
        for one in opened.sample.objects:
            if one.object_number == object_number:
                return one
        raise InputError("This object is not in the sample", value=object_number)
    left = opened.left_to_grade(grading)
    return left[0] if left else None


def _seed(survey_id: str, objects: list[SampledObject]) -> int:
    """Return a seed that nobody chose: the same list gives the same lot, however often drawn."""
    numbers = "\n".join(sorted(one.object_number for one in objects))
    return int(sha256_text(f"{survey_id}\n{numbers}")[:12], 16)
