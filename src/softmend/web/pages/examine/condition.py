"""Condition grades, each given with the four written definitions in sight."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.condition import Grade, GradeBasis
from softmend.services.dossiers import OpenDossier, opened
from softmend.services.examine.grades import grade_place, grades_in
from softmend.services.examine.marks import marks_in
from softmend.services.examine.report_content import condition_report
from softmend.services.examine.vocabulary import grade_definitions, term
from softmend.services.next_steps import next_steps
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

WHOLE_OBJECT = "whole object"


@dataclass(frozen=True)
class Place:
    """Something that can be graded, in words, with its grade if it has one."""

    of_kind: str
    of_id: str
    words: str
    grade: Grade | None = None
    entry_id: str = ""

    @property
    def key(self) -> str:
        """Return the place as it stands in an address."""
        return f"{self.of_kind}:{self.of_id}"


class GradeForm(BaseModel):
    """The form of one grade."""

    place: str = Field("", max_length=2100)
    based_on: str = Field("", max_length=40)
    grade: int = Field(0, ge=0, le=9)
    because: str = Field("", max_length=2000)
    basis: GradeBasis = GradeBasis.SEEN

    def record(self) -> Grade:
        """Return what was chosen as a record."""
        of_kind, _colon, of_id = self.place.partition(":")
        if of_kind not in ("part", "mark", "body_zone") or not of_id:
            raise InputError(
                "This place cannot be graded", value=self.place, allowed="a zone, a mark or a part"
            )
        return Grade(of_kind, of_id, self.grade, self.because.strip(), self.basis)


@router.get("/dossiers/{dossier_id}/condition")
def condition(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    place: Annotated[str, Query(max_length=2100)] = "",
) -> Response:
    """Show the places, their grades, and the form for one of them."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        places = _places(reader, dossier)
        _grades, overall = grades_in(reader, dossier_id)
        extent = condition_report(reader, dossier_id).overall_extent if overall else ""
        steps = next_steps(reader, dossier_id)
    ungraded = [one for one in places if one.grade is None]
    chosen = next((one for one in places if one.key == place), (ungraded or places)[0])
    return render(
        request,
        "examine/condition.html",
        here="condition",
        dossier=dossier,
        steps=steps,
        places=places,
        chosen=chosen,
        overall=overall,
        extent=extent,
        definitions=grade_definitions(),
        bases=list(GradeBasis),
    )


@router.post("/dossiers/{dossier_id}/condition")
def record_grade(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[GradeForm, Form()],
) -> Response:
    """Record the grade of one place."""
    grade_place(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/condition")


def _places(reader: Reader, dossier: OpenDossier) -> list[Place]:
    """Return what can be graded: the whole, its parts, zones of its body, and marks."""
    dossier_id = dossier.dossier_id
    parts = dict.fromkeys([WHOLE_OBJECT, *(one.part for one in dossier.object_head.materials)])
    places = [Place("part", part, part) for part in parts if part != "not known"]
    places += [
        Place(
            "body_zone",
            entry.subject_id,
            _("Zone {name}: {body}", name=zone.name, body=zone.body.value),
        )
        for entry, zone in current_records(reader, dossier_id, "body_zone")
    ]
    places += [
        Place(
            "mark",
            entry.subject_id,
            _("Mark {n}: {term}", n=mark.number, term=term(mark.term_id).term),
        )
        for entry, mark in marks_in(reader, dossier_id)
    ]
    graded = {
        (grade.of_kind, grade.of_id): (grade, entry.id)
        for entry, grade in current_records(reader, dossier_id, "grade")
    }
    return [
        Place(one.of_kind, one.of_id, one.words, *graded.get((one.of_kind, one.of_id), (None, "")))
        for one in places
    ]
