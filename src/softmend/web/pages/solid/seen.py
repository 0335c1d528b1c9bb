"""A photograph laid along a scan: the same places picked on both, and stretches set aside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.kinds import record_in
from softmend.records.mark import Position
from softmend.records.scan_seen import MOST_PLACES, LikePlace, ScanView
from softmend.services.dossiers import opened
from softmend.services.examine.quantities import scales_in
from softmend.services.recording import current_record
from softmend.services.solid.asking import keep_answers, measure_later
from softmend.services.solid.measuring_mesh import found_in, scan_folder
from softmend.services.solid.scans import OnScan, on_scan, strike_on_scan
from softmend.services.solid.seen import drawn_on
from softmend.services.solid.seen_picture import outline_points, picture_tiles
from softmend.services.solid.seen_stretches import (
    count_stretch_again,
    laid_entry,
    lay_photograph,
    set_stretch_aside,
    set_view_aside,
)
from softmend.services.solid.shown import scan_name
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import typed_number
from softmend.web.pages.solid.forms import Line, Maybe, Picks, places, typed_places
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
SCAN = "/dossiers/{dossier_id}/scans/{scan_id}"
AT = f"{SCAN}/photographs/{{view_id}}"


class LaidForm(BaseModel):
    """The same places on both, one a line and in the same order, and how exactly they are known."""

    based_on: Maybe = ""
    on_photograph: Picks = ""
    on_scan: Picks = ""
    clear_mm: Line = "20"
    pick_mm: Line = "3"
    pick_px: Line = "4"

    def record(self, scan_id: str, view_id: str) -> ScanView:
        """Return it as a record."""
        pixels = pixels_in(self.on_photograph)
        points = places(self.on_scan, _("Places on the scan"))
        if len(pixels) != len(points):
            raise InputError(
                _("The places on both do not pair"),
                value=f"{len(pixels)} on the photograph, {len(points)} on the scan",
                allowed=_("as many on one as on the other, in the same order"),
                remedy=_("Pick the missing one, or take the last away"),
            )
        return ScanView(
            scan_id,
            view_id,
            tuple(LikePlace(px, at) for px, at in zip(pixels, points, strict=True)),
            typed_number(self.clear_mm, _("How far supports stay clear"), "mm", 0, 2000),
            typed_number(self.pick_mm, _("How far off a pick on the scan may lie"), "mm", 0.1, 100),
            typed_number(
                self.pick_px, _("How far off a pick on the photograph may lie"), "px", 0.1, 100
            ),
        )


class AsideForm(BaseModel):
    """A stretch that is set aside or counts again, and why; no mark: all of the photograph."""

    view_id: Annotated[str, Field(max_length=40)]
    drawn_id: Annotated[str, Field(max_length=40)] = ""
    because: Line = ""


def pixels_in(text: str) -> tuple[Position, ...]:
    """Return the places of a text, two numbers a line, in pixels of the photograph."""
    found: list[Position] = []
    for line in text.splitlines():
        words = line.replace(",", " ").split()
        if not words:
            continue
        if len(words) != 2:
            raise InputError(
                _("Places on the photograph: a line is no place"), value=line.strip()[:80],
                allowed=_("two numbers, x and y from the top left corner, one place a line"),
                remedy=_("Correct the line, or pick on the photograph"),
            )  # fmt: skip
        x, y = (
            round(typed_number(one, _("A place on the photograph"), "px", 0, 1e6), 2)
            for one in words
        )
        found.append((x, y))
    return tuple(found)


@router.get(AT)
def photograph(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, scan_id: Id, view_id: Id
) -> Response:
    """Show a photograph beside the scan, to pick the same places on both."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        _entry, view = current_record(reader, dossier_id, "view", view_id)
        standing = laid_entry(reader, dossier_id, scan_id, view_id)
        drawn = drawn_on(reader, dossier_id, view_id)
        has_scale = view_id in scales_in(reader, dossier_id)
        dossier = opened(reader, dossier_id)
    laid: ScanView = record_in(standing) if standing else ScanView(scan_id, view_id, ())
    return render(
        request,
        "solid/photograph.html",
        here="scans",
        dossier=dossier,
        on=on,
        name=scan_name(on),
        view=view,
        view_id=view_id,
        has_scale=has_scale,
        is_read=found_in(scan_folder(bench, on.scan.original_sha256)) is not None,
        tiles=picture_tiles(view),
        outlines=[(one.name, outline_points(one)) for one in drawn],
        laid=laid,
        standing=standing,
        pixels="\n".join(f"{one.at_px[0]:g} {one.at_px[1]:g}" for one in laid.places),
        points=typed_places(tuple(one.at for one in laid.places)),
        most=MOST_PLACES,
        data=_data(dossier_id, on),
    )


def _data(dossier_id: str, on: OnScan) -> dict[str, Any]:
    here = f"/dossiers/{dossier_id}/scans/{on.scan_id}"
    return {
        "glb": f"{here}/display.glb",
        "snap": f"/api/v1{here}/snap",
        "lines": [],
        "centre": None,
        "pads": [],
        "axis": [],
        "down": list(on.held.down),
    }


@router.post(AT)
def lay(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    view_id: Id,
    form: Annotated[LaidForm, Form()],
) -> Response:
    """Record the places, and compute where the marks of the photograph lie along the object."""
    record = form.record(scan_id, view_id)
    lay_photograph(bench, person.author, dossier_id, record, form.based_on)
    return _computed(request, bench, person.author, dossier_id, scan_id)


@router.post(f"{AT}/off")
def off(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    view_id: Id,
    because: Annotated[Line, Form()] = "",
) -> Response:
    """Take a photograph off the scan; its marks keep no support away any more."""
    with bench.store.reading() as reader:
        standing = laid_entry(reader, dossier_id, scan_id, view_id)
    subject = standing.subject_id if standing else ""
    strike_on_scan(bench, person.author, dossier_id, "scan_view", subject, because)
    return _computed(request, bench, person.author, dossier_id, scan_id)


@router.post(f"{SCAN}/stretches/aside")
def aside(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[AsideForm, Form()],
) -> Response:
    """Set a stretch, or all of one photograph, aside with a reason, and compute again."""
    here = (bench, person.author, dossier_id, scan_id, form.view_id)
    if form.drawn_id:
        set_stretch_aside(*here, form.drawn_id, form.because)
    else:
        set_view_aside(*here, form.because)
    return _computed(request, bench, person.author, dossier_id, scan_id)


@router.post(f"{SCAN}/stretches/again")
def again(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[AsideForm, Form()],
) -> Response:
    """Let a stretch count again, with a reason, and compute the supports again."""
    here = (bench, person.author, dossier_id, scan_id, form.view_id)
    count_stretch_again(*here, form.drawn_id, form.because)
    return _computed(request, bench, person.author, dossier_id, scan_id)


def _computed(
    request: Request, bench: BenchHere, author: Any, dossier_id: str, scan_id: str
) -> Response:
    job = measure_later(bench, request.app.state.jobs, dossier_id, scan_id)
    if not job:
        keep_answers(bench, author, dossier_id, scan_id)
    address = f"/dossiers/{dossier_id}/scans/{scan_id}?at=supports"
    return go_on(request, address + (f"&job={job}" if job else ""))
