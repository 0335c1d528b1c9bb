"""From where the house looks, and a test of one's own eyes: twelve bars, two fields each time."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.looking import FURTHEST_MM, NEAREST_MM, SightDistances
from softmend.services.paints_looking import (
    BAR_PX,
    FIELD_PX,
    GROUND_SRGB,
    LEFT,
    RIGHT,
    RULER_MM,
    RULER_PX,
    USUAL_MM,
    Screen,
    answered_test,
    bars_of_test,
    eyes_of,
    record_distances,
    record_eyes,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
EYES_AT = "/paints/eyes"
Line = Annotated[str, Field(max_length=300)]


class DistancesForm(BaseModel):
    """From where the house looks at its fills."""

    based_on: Annotated[str, Field(max_length=64)] = ""
    far_mm: Line = ""
    near_mm: Line = ""
    note: Line = ""

    def record(self) -> SightDistances:
        """Return what was typed as a record."""
        return SightDistances(
            typed_number(self.far_mm, _("The visitor's distance"), "mm", NEAREST_MM, FURTHEST_MM),
            typed_number(self.near_mm, _("The reading distance"), "mm", NEAREST_MM, FURTHEST_MM),
            known(self.note),
        )


class EyesForm(BaseModel):
    """How a test is looked at and what was answered so far; `said` is the newest answer."""

    test: Annotated[str, Field(max_length=64, pattern="^[0-9a-f-]*$")] = ""
    distance_mm: Line = f"{USUAL_MM:g}"
    ruler_mm: Line = f"{RULER_MM:g}"
    answers: Annotated[str, Field(max_length=40, pattern="^[lr]*$")] = ""
    said: Annotated[str, Field(pattern="^[lr]?$")] = ""

    @property
    def screen(self) -> Screen:
        """Return how the test is looked at."""
        distance = typed_number(self.distance_mm, _("The distance of the eye"), "mm", 200, 5000)
        ruler = typed_number(self.ruler_mm, _("The length of the line"), "mm", 1, 1000)
        return Screen(distance, ruler / RULER_PX)


@router.post("/paints/distances")
def write_distances(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[DistancesForm, Form()]
) -> Response:
    """Record from where the house looks."""
    record_distances(bench, person.author, form.record(), form.based_on)
    return go_on(request, "/paints#distances")


@router.get(EYES_AT)
def eyes(request: Request, bench: BenchHere, person: PersonHere) -> Response:
    """Show what is tested, this person's last result, and how to begin."""
    with bench.store.reading() as reader:
        last = eyes_of(reader, person.author.person_id)
    return render(
        request, "paints/eyes.html", last=last, form=EyesForm(test=bench.fresh_id()),
        ruler_px=RULER_PX,
    )  # fmt: skip


@router.get(f"{EYES_AT}/look")
def look(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    form: Annotated[EyesForm, Query()],
) -> Response:
    """Show the next two fields, or what all answers tell; nothing is recorded."""
    screen, answers = form.screen, form.answers + form.said
    bars = bars_of_test(form.test, screen)
    answers = answers[: len(bars)]
    shown: dict[str, Any] = {"form": form, "answers": answers, "count": len(bars)}
    if len(answers) < len(bars):
        bar = bars[len(answers)]
        return render(
            request, "paints/eyes_look.html", **shown,
            fields=[(side, words, bar.width_px if bar.side == side else 0)
                    for side, words in ((LEFT, _("Left")), (RIGHT, _("Right")))],
            ground=_hex(GROUND_SRGB), bar=_hex(bar.srgb), field_px=FIELD_PX, bar_px=BAR_PX,
        )  # fmt: skip
    answer = answered_test(form.test, screen, answers)
    return render(request, "paints/eyes_told.html", **shown, answer=answer)


@router.post(EYES_AT)
def keep(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[EyesForm, Form()]
) -> Response:
    """Record a finished test as this person's."""
    record_eyes(bench, person.author, form.test, form.screen, form.answers)
    return go_on(request, EYES_AT)


def _hex(srgb: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*srgb)
