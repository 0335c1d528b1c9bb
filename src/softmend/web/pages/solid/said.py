"""What people say on a scan: unit, matter, holding, lines, voids, stills; then it is computed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.services.bench import Bench
from softmend.services.solid.asking import keep_answers, measure_later
from softmend.services.solid.attaching import describe_scan
from softmend.services.solid.scans import (
    confirm_length,
    link_void,
    record_line,
    record_void,
    say_holding,
    say_matter,
    strike_on_scan,
)
from softmend.services.solid.stills import LOOKS, Look, take_still
from softmend.web.answering import go_on
from softmend.web.caller import AtTheBench, BenchHere, Id, PersonHere
from softmend.web.pages.solid.forms import (
    HoldingForm,
    LengthForm,
    Line,
    LineForm,
    MatterForm,
    VoidForm,
    places,
)
from softmend.web.pages.solid.front import AboutForm
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/scans/{scan_id}"
ON_SCREEN = "as it is turned on the screen"


class AboutAgain(AboutForm):
    """What a person says of a scan that is in the dossier."""

    based_on: Annotated[str, Field(max_length=40)] = ""


class StillForm(BaseModel):
    """A still: its words, the look by name, or the look on the screen as numbers."""

    shows: Line = ""
    look: Line = ON_SCREEN
    toward: Line = ""
    up: Line = ""
    middle: Line = ""
    span: Annotated[float, Field(ge=0, le=1e12)] = 0.0
    for_mount_maker: bool = False

    def taken(self) -> Look:
        """Return the look that is asked for."""
        if self.look in LOOKS:
            return Look(*LOOKS[self.look])
        told = [places(one, _("The look")) for one in (self.toward, self.up, self.middle)]
        if self.look != ON_SCREEN or any(len(one) != 1 for one in told) or not self.span > 0:
            raise InputError(
                _("The look on the screen did not come with the form"),
                remedy=_("Choose a look along an axis: it needs no picture on the screen"),
            )
        return Look(told[0][0], told[1][0], told[2][0], self.span)


class LinkForm(BaseModel):
    """The mark on the photographs that a void is the same loss as; empty for none."""

    based_on: Annotated[str, Field(max_length=40)] = ""
    mark_id: Annotated[str, Field(max_length=40)] = ""


class Struck(BaseModel):
    """Taking something off a scan, with its reason."""

    kind: Annotated[str, Field(max_length=20)]
    subject_id: Annotated[str, Field(max_length=40)]
    because: Line = ""


@router.post(f"{AT}/about")
def about(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[AboutAgain, Form()],
) -> Response:
    """Record what a scan shows, who made it, when and how."""
    describe_scan(bench, person.author, dossier_id, scan_id, form.about(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/scans/{scan_id}")


@router.post(f"{AT}/length")
def length(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[LengthForm, Form()],
) -> Response:
    """Confirm the unit of a scan by one measured length, and compute what can be told."""
    confirm_length(bench, person.author, dossier_id, scan_id, form.record(), form.based_on)
    return _computed(request, bench, person, dossier_id, scan_id, "volume")


@router.post(f"{AT}/matter")
def matter(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[MatterForm, Form()],
) -> Response:
    """Record what it is made of, its hollow and its weighing, and compute mass and centre."""
    say_matter(bench, person.author, dossier_id, scan_id, form.record(), form.based_on)
    return _computed(request, bench, person, dossier_id, scan_id, "mass")


@router.post(f"{AT}/holding")
def holding(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[HoldingForm, Form()],
) -> Response:
    """Record how it is to be held, and compute pads, tipping and bending."""
    say_holding(bench, person.author, dossier_id, scan_id, form.record(), form.based_on)
    return _computed(request, bench, person, dossier_id, scan_id, "supports")


@router.post(f"{AT}/lines")
def line(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[LineForm, Form()],
) -> Response:
    """Record a crack or join on the scan and measure it over the surface."""
    record_line(bench, person.author, dossier_id, form.record(scan_id))
    return _computed(request, bench, person, dossier_id, scan_id, "lines")


@router.post(f"{AT}/voids")
def void(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[VoidForm, Form()],
) -> Response:
    """Record a void on the scan and compute what fills it."""
    record_void(bench, person.author, dossier_id, form.record(scan_id))
    return _computed(request, bench, person, dossier_id, scan_id, "voids")


@router.post(f"{AT}/voids/{{void_id}}/mark")
def link(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    void_id: Id,
    form: Annotated[LinkForm, Form()],
) -> Response:
    """Link a void with its mark, or take the link away, and compute it again."""
    link_void(bench, person.author, dossier_id, void_id, form.mark_id, form.based_on)
    return _computed(request, bench, person, dossier_id, scan_id, "voids")


@router.post(f"{AT}/stills")
def still(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[StillForm, Form()],
) -> Response:
    """Take a still of the scan for the report and the mount-maker."""
    take_still(
        bench,
        person.author,
        dossier_id,
        scan_id,
        form.shows,
        form.taken(),
        for_mount_maker=form.for_mount_maker,
    )
    return go_on(request, f"/dossiers/{dossier_id}/scans/{scan_id}#stills")


@router.post(f"{AT}/strike")
def strike(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    form: Annotated[Struck, Form()],
) -> Response:
    """Take a line, a void or a still out of what stands."""
    strike_on_scan(bench, person.author, dossier_id, form.kind, form.subject_id, form.because)
    return go_on(request, f"/dossiers/{dossier_id}/scans/{scan_id}")


@router.post(f"{AT}/measure")
def measure(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, scan_id: Id
) -> Response:
    """Compute what is asked of the scan and not answered yet."""
    return _computed(request, bench, person, dossier_id, scan_id, "volume")


def _computed(
    request: Request,
    bench: Bench,
    person: AtTheBench,
    dossier_id: str,
    scan_id: str,
    part: str,
) -> Response:
    """Start what there is to compute and go back to the page, which shows how far it is."""
    job = measure_later(bench, request.app.state.jobs, dossier_id, scan_id)
    if not job:
        keep_answers(bench, person.author, dossier_id, scan_id)
    address = f"/dossiers/{dossier_id}/scans/{scan_id}"
    return go_on(request, f"{address}?at={part}" + (f"&job={job}" if job else ""))
