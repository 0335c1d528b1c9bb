"""The width of a traced crack, and what a second tracing says of the hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.pictures.width_profile import (
    WidthProfile,
    WidthStretch,
    width_profile_svg,
    width_profile_words,
)
from softmend.records.mark import Mark, Shape
from softmend.services.dossiers import opened
from softmend.services.examine.quantities import measured_drawing, scales_in
from softmend.services.examine.vocabulary import term
from softmend.services.examine.widths import (
    BlurWay,
    WidthKept,
    line_on,
    measure_width,
    put_on_mark,
    second_tracing,
    stretches_along,
    width_kept,
)
from softmend.services.next_steps import next_steps
from softmend.services.recording import current_record
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import typed_number
from softmend.web.rendering import render
from softmend.web.viewing import view_name
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/marks/{mark_id}/width"
AnId = Annotated[str, Field(max_length=40)]
Edge = Annotated[list[Annotated[str, Field(max_length=20)]], Field(max_length=4)]


class WidthForm(BaseModel):
    """The form that measures a width: on which view, and how the blur is known."""

    view_id: AnId
    blur: Annotated[str, Field(pattern="^(markers|edge|unknown)$")] = "markers"
    edge_px: Edge = []
    assume_depth: bool = False

    def way(self) -> BlurWay:
        """Return how the blur is known, as it was said."""
        if self.blur != "edge":
            return BlurWay(is_by_markers=self.blur == "markers")
        if len(self.edge_px) != 4:
            raise InputError(_("An edge has two ends"), remedy=_("Give both, across and down"))
        x, y, u, v = (
            typed_number(one, _("The place of an end of the edge"), "px", 0, 30_000)
            for one in self.edge_px
        )
        return BlurWay(is_by_markers=False, edge_px=(x, y, u, v))


class PutForm(BaseModel):
    """The form that puts the measured widths on the mark."""

    view_id: AnId
    based_on: AnId


@router.get(AT)
def width(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    view: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show the width of a crack along it, and the form that measures it."""
    with bench.store.reading() as reader:
        entry, mark = current_record(reader, dossier_id, "mark", mark_id)
        lines = _lines(mark)
        view_id = view or lines[0]
        _view_entry, shown_view = current_record(reader, dossier_id, "view", view_id)
        kept = width_kept(reader, dossier_id, mark_id, view_id)
        scale = scales_in(reader, dossier_id).get(view_id)
        again = second_tracing(reader, mark_id, view_id)
        names = [
            (one, view_name(current_record(reader, dossier_id, "view", one)[1])) for one in lines
        ]
        around: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "steps": next_steps(reader, dossier_id),
        }
    seen = line_on(mark, view_id)
    length = measured_drawing(seen.geometry, scale).mean
    return render(
        request,
        "examine/width.html",
        **around,
        here="mark",
        entry=entry,
        mark=mark,
        term=term(mark.term_id),
        view_id=view_id,
        view=shown_view,
        views=names,
        seen=seen,
        kept=kept,
        again=again,
        has_scale=scale is not None,
        **(_answer(kept, length, mark.number) if kept else {}),
    )


@router.post(AT)
def measure(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[WidthForm, Form()],
) -> Response:
    """Measure the width along the crack and keep it."""
    measure_width(
        bench,
        person.author,
        dossier_id,
        mark_id,
        form.view_id,
        form.way(),
        assume_depth=form.assume_depth,
    )
    return go_on(request, f"/dossiers/{dossier_id}/marks/{mark_id}/width?view={form.view_id}")


@router.post(f"{AT}/mark")
def put(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[PutForm, Form()],
) -> Response:
    """Record the measured widths on the mark, where Explain and the report read them."""
    put_on_mark(bench, person.author, dossier_id, mark_id, form.view_id, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/marks/{mark_id}/width?view={form.view_id}")


def _lines(mark: Mark) -> list[str]:
    views = [seen.view_id for seen in mark.sightings if seen.geometry.shape is Shape.LINE]
    if not views:
        raise InputError(
            _("Only a line has a width along it"),
            value=f"mark {mark.number}",
            remedy=_("Trace the crack as a line first"),
        )
    return list(dict.fromkeys(views))


def _answer(kept: WidthKept, length_mm: float | None, number: int) -> dict[str, Any]:
    outputs = kept.run.outputs
    stretches = stretches_along(outputs, length_mm)
    profile = _profile(outputs, stretches)
    unit = profile.unit if profile else "px"
    return {
        "outputs": outputs,
        "rows": [{"along": along, **one} for along, one in stretches],
        "along_unit": "mm" if length_mm else "px",
        "unit": unit,
        "drawing": width_profile_svg(profile) if profile else "",
        "drawing_words": width_profile_words(profile) if profile else "",
        "work": working("photo.width", f"mark {number}", outputs, kept.stale),
        "measured": sum(1 for _along, one in stretches if one["width_mm"]),
    }


def _profile(
    outputs: dict[str, Any], stretches: list[tuple[float, dict[str, Any]]]
) -> WidthProfile | None:
    """Return what is drawn: in millimetres where every number can be, else in pixels."""
    if not stretches:
        return None
    known = [one for _along, one in stretches if one["width_mm"]]
    per_px = [one["width_mm"]["mean"] / one["median_px"] for one in known]
    mm = sum(per_px) / len(per_px) if per_px else None
    each = stretches[0][0] / ((stretches[0][1]["from_px"] + stretches[0][1]["to_px"]) / 2 or 1.0)
    along = each if mm else 1.0
    wide = mm or 1.0
    return WidthProfile(
        stretches=[
            WidthStretch(
                one["from_px"] * along,
                one["to_px"] * along,
                None if one["median_px"] is None else one["median_px"] * wide,
                (one["median_expanded_px"] or 0.0) * wide,
            )
            for _at, one in stretches
        ],
        stations=[
            (one["along_px"] * along, one["mouth_px"] * wide)
            for one in outputs["stations"]
            if one["mouth_px"] is not None
        ],
        limit=outputs["limit_px"] * wide,
        unit="mm" if mm else "px",
    )
