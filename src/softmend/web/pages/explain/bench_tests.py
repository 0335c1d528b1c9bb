"""Bench tests as small calculators: bar bending, drying shrinkage, pull-off."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.shelf import OwnValue
from softmend.services.explain.own_values import record_test, test_answer
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.explain.materials import Line, address_of
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Lines = Annotated[list[Line], Field(max_length=20)]
MOST_MM, MOST_G, MOST_N = 10_000.0, 1e6, 1e6


class TestForm(BaseModel):
    """What every bench test is told: of what, in which state, where it is written down."""

    material: Line = ""
    condition: Line = ""
    source: Line = ""
    known_on: Line = ""
    note: Line = ""
    do: Line = "try"

    def blank(self, computation: str) -> OwnValue:
        """Return the own value that the test will fill."""
        return OwnValue(
            self.material.strip(), "", self.condition.strip(), 0, 0, 0, "", "measured",
            self.source.strip(), known(self.known_on), known(self.note), computation=computation,
        )  # fmt: skip


class BendingForm(TestForm):
    """Bars on two supports with masses hung in the middle; rows without a span are left out."""

    span_mm: Lines = []
    breadth_mm: Lines = []
    height_mm: Lines = []
    readings: Lines = []
    expanded_mm: Line = "0.1"
    poisson: Line = "0.3"

    def inputs(self) -> dict[str, Any]:
        """Return what bench.bending takes."""
        off = typed_number(self.expanded_mm, _("The ± of the lengths"), "mm", 0.001, 10)
        rows = zip(self.span_mm, self.breadth_mm, self.height_mm, self.readings, strict=False)
        bars = [
            {
                "span_mm": _length(span, _("The span"), off),
                "breadth_mm": _length(breadth, _("The breadth"), off),
                "height_mm": _length(height, _("The height"), off),
                "readings": _pairs(readings),
            }
            for span, breadth, height, readings in rows
            if span.strip()
        ]
        ratio = typed_number(self.poisson, _("Poisson's ratio"), "", 0.0, 0.49)
        # It moves the answer by a few percent, so a guess of its width is enough.
        spread = {"family": "truncated_normal", "mean": ratio, "sd": 0.05, "least": 0, "most": 0.49}
        value = {"value": spread, "kind": "estimated", "origin": "typed, ± 0.1"}
        return {"bars": _some(bars, _("bar")), "poisson": value}


class ShrinkageForm(TestForm):
    """Bars measured in their mould and when dry; rows without a length are left out."""

    wet_mm: Lines = []
    dry_mm: Lines = []
    expanded_mm: Line = "0.1"

    def inputs(self) -> dict[str, Any]:
        """Return what bench.shrinkage takes."""
        off = typed_number(self.expanded_mm, _("The ± of the lengths"), "mm", 0.001, 10)
        bars = [
            {
                "wet_mm": _length(wet, _("The length in the mould"), off),
                "dry_mm": _length(dry, _("The length when dry"), off),
            }
            for wet, dry in zip(self.wet_mm, self.dry_mm, strict=False)
            if wet.strip()
        ]
        return {"bars": _some(bars, _("bar"))}


class PullOffForm(TestForm):
    """Studs pulled off one bond; rows without a force are left out."""

    force_n: Lines = []
    came_off: Lines = []
    force_expanded_percent: Line = "2"
    diameter_mm: Line = "20"
    made_on: Line = "a stand-in"

    def inputs(self) -> dict[str, Any]:
        """Return what bench.pull_off takes."""
        share = typed_number(self.force_expanded_percent, _("The ± of a force"), "%", 0.1, 50)
        studs = []
        for text, where in zip(self.force_n, self.came_off, strict=False):
            if text.strip():
                force = typed_number(text, _("The force"), "N", 0.01, MOST_N)
                read = {"value": {"value": force, "expanded": force * share / 100}}
                studs.append({"force_n": {**read, "origin": "read off"}, "came_off": where})
        diameter = _length(self.diameter_mm, _("The diameter of the stud"), 0.1)
        return {
            "studs": _some(studs, _("stud")), "diameter_mm": diameter, "made_on": self.made_on,
        }  # fmt: skip


@router.post("/materials/tests/bending")
def bending(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[BendingForm, Form()]
) -> Response:
    """Work out the modulus of a fill from bent bars, or record it."""
    return _answered(request, bench, person, form, "bench.bending", form.inputs())


@router.post("/materials/tests/shrinkage")
def shrinkage(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[ShrinkageForm, Form()]
) -> Response:
    """Work out how far a fill shrinks, or record it."""
    return _answered(request, bench, person, form, "bench.shrinkage", form.inputs())


@router.post("/materials/tests/pull-off")
def pull_off(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[PullOffForm, Form()]
) -> Response:
    """Work out how strong a bond is, or record it."""
    return _answered(request, bench, person, form, "bench.pull_off", form.inputs())


def _answered(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    form: TestForm,
    computation: str,
    inputs: dict[str, Any],
) -> Response:
    if form.do == "record":
        record_test(bench, person.author, form.blank(computation), inputs)
        return go_on(request, address_of(form.material.strip()))
    answer = test_answer(computation, inputs)
    shown = working(computation, form.material, answer)
    return render(request, "explain/part_bench_test.html", answer=answer, work=shown)


def _length(text: str, what: str, expanded: float) -> dict[str, Any]:
    value = typed_number(text, what, "mm", 0.01, MOST_MM)
    return {"value": {"value": value, "expanded": expanded}, "origin": "read off"}


def _pairs(text: str) -> list[dict[str, float]]:
    """Return "0 0, 200 0.21" as readings: a mass and the sag that it made, with commas between."""
    found = []
    for part in text.replace(";", ",").split(","):
        cells = part.split()
        if not cells:
            continue
        if len(cells) != 2:
            raise InputError(
                _("A reading is a mass and a sag"),
                value=part.strip(),
                allowed=_("two numbers with a space between, such as 200 0.21"),
            )
        found.append(
            {
                "mass_g": typed_number(cells[0], _("The mass"), "g", 0, MOST_G),
                "sag_mm": typed_number(cells[1], _("The sag"), "mm", -100, 1000),
            }
        )
    if len(found) < 2:
        raise InputError(
            _("A bar needs two readings"),
            value=text.strip() or _("nothing"),
            allowed=_("two or more, such as 0 0, 200 0.21"),
            remedy=_("Read the sag with nothing hung on it, and with a mass"),
        )
    return found


def _some(rows: list[dict[str, Any]], what: str) -> list[dict[str, Any]]:
    if not rows:
        raise InputError(_("There is no {what} to work with", what=what), allowed=_("one or more"))
    return rows
