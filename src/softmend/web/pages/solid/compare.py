"""Two scans of two dates: laid on one another, coloured by what went and came."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import FileResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import NotFoundError
from softmend.records.scan import ChangedPatch, ScanComparison
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.solid.asking import Answered
from softmend.services.solid.change_shown import change_shown, levels_of_others
from softmend.services.solid.change_stills import colour_range, take_change_still
from softmend.services.solid.comparing import (
    colours_path,
    compare_scans_later,
    compared,
    comparison_waits,
    keep_comparison,
    record_scan_comparison,
)
from softmend.services.solid.measuring_mesh import found_in, scan_folder
from softmend.services.solid.pair import Pair, pair_of
from softmend.services.solid.shown import scan_name
from softmend.services.solid.stills import LOOKS
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import maybe_number, typed_number
from softmend.web.pages.solid.forms import Line, Picks, places, typed_places
from softmend.web.pages.solid.front import ENDED
from softmend.web.pages.solid.said import ON_SCREEN, StillForm
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/scans/compare"
ScanId = Annotated[str, Field(pattern=ID_PATTERN)]
InAddress = Annotated[str, Query(pattern=ID_PATTERN)]


class PairForm(BaseModel):
    """Which two scans."""

    earlier: ScanId
    later: ScanId

    def address(self, dossier_id: str) -> str:
        """Return the address of their comparison."""
        return f"/dossiers/{dossier_id}/scans/compare?earlier={self.earlier}&later={self.later}"


class CompareForm(PairForm):
    """What is asked of two scans."""

    noise_mm: Line = "0.05"
    level_mm: Line = ""
    changed: Picks = ""
    radius_mm: Line = "10"
    earlier_picks: Picks = ""
    later_picks: Picks = ""

    def record(self) -> ScanComparison:
        """Return it as a record."""
        radius = typed_number(self.radius_mm, _("The radius of a patch"), "mm", 0.1, 5000)
        return ScanComparison(
            self.earlier,
            self.later,
            typed_number(self.noise_mm, _("The noise of the scans"), "mm", 0.001, 20),
            maybe_number(self.level_mm, _("The level"), "mm", 0, 50),
            tuple(
                ChangedPatch(at, radius) for at in places(self.changed, _("What may have changed"))
            ),
            places(self.earlier_picks, _("Like points on the earlier scan")),
            places(self.later_picks, _("Like points on the later scan")),
        )


class ChangeStillForm(PairForm, StillForm):
    """A still of what changed."""


@router.get(AT)
def compare(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    earlier: InAddress,
    later: InAddress,
    job: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show what changed between two scans, and the form that asks for it."""
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, earlier, later)
        found = compared(reader, dossier_id, pair)
        told = change_shown(reader, dossier_id, pair)
        others = levels_of_others(reader, dossier_id, pair)
        row = reader.job(job) if job else None
        dossier = opened(reader, dossier_id)
    said = pair.asked[1] if pair.asked else ScanComparison(earlier, later)
    here = PairForm(earlier=earlier, later=later).address(dossier_id)
    return render(
        request,
        "solid/compare.html",
        here="scans",
        dossier=dossier,
        pair=pair,
        names=(scan_name(pair.earlier), scan_name(pair.later)),
        answer=found,
        told=told,
        others=others,
        stills=[
            (entry, still)
            for entry, still in pair.earlier.stills
            if still.later_scan_id == pair.later.scan_id
        ],
        said=said,
        changed=typed_places([list(one.middle) for one in said.changed]),
        radius=said.changed[0].radius_mm if said.changed else 10.0,
        earlier_picks=typed_places(said.earlier_picks),
        later_picks=typed_places(said.later_picks),
        here_address=here,
        waits=comparison_waits(bench, pair, found),
        is_read=found_in(scan_folder(bench, pair.earlier.scan.original_sha256)) is not None,
        row=row if row and row.state not in ENDED else None,
        failed=row.message if row and row.state in ENDED and row.state != "done" else "",
        data=_data(bench, dossier_id, pair, found),
        looks=[ON_SCREEN, *LOOKS],
    )


@router.post(AT)
def ask(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[CompareForm, Form()],
) -> Response:
    """Record what is compared and begin; the page shows how far it is, and a stop."""
    record_scan_comparison(bench, person.author, dossier_id, form.record())
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, form.earlier, form.later)
    job = compare_scans_later(bench, request.app.state.jobs, dossier_id, pair)
    if not job:
        keep_comparison(bench, person.author, dossier_id, pair)
    return go_on(request, form.address(dossier_id) + (f"&job={job}" if job else ""))


@router.post(f"{AT}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PairForm, Form()],
) -> Response:
    """Keep what was found, with all that went in."""
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, form.earlier, form.later)
    keep_comparison(bench, person.author, dossier_id, pair)
    return go_on(request, form.address(dossier_id))


@router.post(f"{AT}/still")
def still(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ChangeStillForm, Form()],
) -> Response:
    """Take a still of what changed, as it is turned on the screen or along an axis."""
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, form.earlier, form.later)
    take_change_still(bench, person.author, dossier_id, pair, form.shows, form.taken())
    return go_on(request, form.address(dossier_id) + "#stills")


@router.get(f"{AT}/colours.f32")
def colours(
    bench: BenchHere, person: PersonHere, dossier_id: Id, earlier: InAddress, later: InAddress
) -> Response:
    """Give the distance at each corner of the copy for the eye, in mm, four bytes each."""
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, earlier, later)
    path = colours_path(bench, pair)
    if path is None:
        raise NotFoundError("These scans were not compared as things stand now")
    return FileResponse(path, media_type="application/octet-stream")


def _data(bench: Bench, dossier_id: str, pair: Pair, found: Answered | None) -> dict[str, Any]:
    scans = f"/dossiers/{dossier_id}/scans"
    scan = f"{scans}/{pair.earlier.scan_id}"
    outputs: dict[str, Any] = found.outputs if found else {}
    is_coloured = bool(outputs.get("most_mm")) and colours_path(bench, pair) is not None
    query = f"?earlier={pair.earlier.scan_id}&later={pair.later.scan_id}"
    said = pair.asked[1] if pair.asked else ScanComparison("", "")
    level, full = colour_range(said.noise_mm, said.level_mm, outputs)
    return {
        "glb": f"{scan}/display.glb",
        "snap": f"/api/v1{scan}/snap",
        "colours": f"{scans}/compare/colours.f32{query}" if is_coloured else "",
        "level_mm": level,
        "full_mm": full,
        "toward": _first_look(pair),
        "lines": [],
        "centre": None,
        "pads": [],
        "axis": [],
        "down": list(pair.earlier.held.down),
    }


def _first_look(pair: Pair) -> list[float] | None:
    """Return the look of the first still of the change: the picture opens facing what went."""
    for _entry, still in pair.earlier.stills:
        if still.later_scan_id == pair.later.scan_id:
            return list(still.toward)
    return None
