"""Why a coating lifts: the stack to scale, what pulls and what holds, sliders, plain words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.coating import LIMITS, CoatingModel, UnderFlakes
from softmend.records.crack_model import Basis
from softmend.services.explain.binding_matter import STATES, offered_materials
from softmend.services.explain.coating import (
    QUICK,
    BoundCoating,
    bound_coating,
    coated_place,
    coated_places,
    keep_coating,
    kept_coating,
    middle_of,
    say_of_coating,
)
from softmend.services.explain.coating_page import coating_shown
from softmend.services.explain.material_rows import by_group
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.explain.frame import frame
from softmend.web.pages.told_form import Line, ToldForm, told_rows
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/explain/coating"
HINTS = {
    "coating_thickness_um": _("A flake on edge under magnification, or a range."),
    "stretch_percent": _("Along the surface, since it set; left empty, drying alone pulls."),
    "adhesion_j_per_m2": _("Measured quickly; what lasts of it over years is told below."),
    "lasting_share": _("Left empty: one tenth to one half (an estimate)."),
    "coating_toughness_j_per_m2": _("Left empty, whether the coating itself cracks is not known."),
    "layer_adhesion_j_per_m2": _("To what lies below it."),
}


class TryForm(BaseModel):
    """What the sliders say; left out is as recorded."""

    thickness: Annotated[float | None, Field(gt=0, le=5000)] = None
    tension: Annotated[float | None, Field(gt=0, le=200)] = None
    stretch: Annotated[float | None, Field(ge=0, le=5)] = None

    def tried(self) -> dict[str, float]:
        """Return the middles that are tried out, by field."""
        given = {
            "coating_thickness_um": self.thickness,
            "coating_stress_mpa": self.tension,
            "stretch_percent": self.stretch,
        }
        return {name: value for name, value in given.items() if value is not None}


class SaidForm(ToldForm):
    """What is said of a coated place."""

    coating: Line = ""
    coating_grounds: Line = ""
    layer: Line = ""
    body: Line = ""
    preservation: Line = ""
    seen_under_flakes: UnderFlakes = UnderFlakes.NOT_KNOWN

    def record(self) -> CoatingModel:
        """Return what was typed as a record."""
        return CoatingModel(
            coating=known(self.coating),
            coating_grounds=known(self.coating_grounds),
            layer=known(self.layer),
            body=known(self.body),
            preservation=known(self.preservation),
            seen_under_flakes=self.seen_under_flakes,
            **self.told(LIMITS),
        )


@router.get(AT)
def coatings(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """List the coated places, or show how one comes to be."""
    with bench.store.reading() as reader:
        places = coated_places(reader, dossier_id)
        told = [coating_shown(bound_coating(reader, dossier_id, place), QUICK) for place in places]
        around = frame(bench, reader, dossier_id, "explain/coating")
    return render(
        request, "explain/coatings.html", **around, places=list(zip(places, told, strict=True))
    )


@router.get(f"{AT}/{{subject_id}}")
def coating(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, subject_id: Id
) -> Response:
    """Show one coated place: its stack, the sliders, what is said of it."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "explain/coating")
        shown = _page(reader, dossier_id, subject_id)
    return render(request, "explain/coating.html", **around, **shown)


@router.get(f"{AT}/{{subject_id}}/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    subject_id: Id,
    asked: Annotated[TryForm, Query()],
) -> Response:
    """Give the picture and the words for what is tried out; nothing is recorded."""
    with bench.store.reading() as reader:
        place = coated_place(reader, dossier_id, subject_id)
        bound = bound_coating(reader, dossier_id, place, asked.tried())
    return render(
        request,
        "explain/coating_answer.html",
        shown=coating_shown(bound, QUICK),
        is_tried=bool(asked.tried()),
    )


@router.post(f"{AT}/{{subject_id}}/said")
def record_said(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    subject_id: Id,
    form: Annotated[SaidForm, Form()],
) -> Response:
    """Record what is said of a coated place."""
    at = (bench, person.author, dossier_id)
    say_of_coating(*at, subject_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/explain/coating/{subject_id}")


@router.post(f"{AT}/{{subject_id}}/keep")
def keep(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, subject_id: Id
) -> Response:
    """Keep which layer lets go with everything that was read."""
    keep_coating(bench, person.author, dossier_id, subject_id)
    return go_on(request, f"/dossiers/{dossier_id}/explain/coating/{subject_id}")


def _page(reader: Reader, dossier_id: str, subject_id: str) -> dict[str, Any]:
    place = coated_place(reader, dossier_id, subject_id)
    bound = bound_coating(reader, dossier_id, place)
    kept = kept_coating(reader, dossier_id, subject_id)
    groups = by_group(reader)
    return {
        "place": place,
        "bound": bound,
        "model": bound.model,
        "shown": coating_shown(bound),
        "is_tried": False,
        "sliders": [] if bound.missing else _sliders(bound),
        "rows": told_rows(bound.model, LIMITS, HINTS, _taken(bound)),
        "bases": list(Basis),
        "coatings": [*groups["coating"], *groups["own"]],
        "bodies": [*offered_materials(), *groups["own"]],
        "states": STATES,
        "under_flakes": list(UnderFlakes),
        "kept": kept,
    }


def _sliders(bound: BoundCoating) -> list[tuple[str, str, str, float, float, float, float, str]]:
    """Return each slider: name, words, unit, middle, least, most, step, and what is recorded."""
    found = []
    for name, field, words, unit, most in (
        ("thickness", "coating_thickness_um", _("Thickness of the coating"), "µm", None),
        ("tension", "coating_stress_mpa", _("Tension that drying left"), "MPa", None),
        ("stretch", "stretch_percent", _("The ground has outgrown it by"), "%", 1.0),
    ):
        middle = middle_of(bound, field)
        value = float(f"{middle or 0.0:.3g}")
        value = int(value) if value.is_integer() else value
        end = most or float(f"{4 * value:.2g}")
        least = 0.0 if name == "stretch" else float(f"{value / 10:.2g}")
        step = float(f"{end / 200:.1g}")
        about = _("recorded: {value}", value=_about(bound, field, unit))
        found.append((name, words, unit, value, least, max(end, value), step, about))
    return found


def _about(bound: BoundCoating, field: str, unit: str) -> str:
    from softmend.catalogue.joint_answer import banded

    value = bound.values.get(field)
    return _("nothing said") if value is None else banded(value.uncertain().band, unit)


def _taken(bound: BoundCoating) -> dict[str, str]:
    from softmend.catalogue.joint_answer import banded

    return {
        name: f"{banded(value.uncertain().band, LIMITS[name][1])}, {value.kind}"
        for name, value in bound.values.items()
        if name in LIMITS
    }
