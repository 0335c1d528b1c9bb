"""One scan at the bench: the picture to turn and pick on, and the list that says the same."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from softmend.pictures.stretches_along import stretches_along
from softmend.records.scan import MOST_FILLS, ScanMatter, ScanUnitName, VoidMouth
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import scales_in
from softmend.services.examine.views import views_in
from softmend.services.examine.vocabulary import term
from softmend.services.explain.crack_void import asked_of_voids
from softmend.services.solid.asking import answered, answers_wait, open_questions
from softmend.services.solid.fill_of_void import materials_with_density
from softmend.services.solid.inputs import LENGTH, SUPPORTS, VOID
from softmend.services.solid.measuring_mesh import found_in, scan_folder
from softmend.services.solid.pads import axis_of, laid_of
from softmend.services.solid.scans import OnScan, on_scan, scans_in
from softmend.services.solid.scans_steps import scan_step
from softmend.services.solid.seen_stretches import seen_on_scan
from softmend.services.solid.shown import scan_shown
from softmend.services.solid.stills import LOOKS
from softmend.services.store import Reader
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.solid.forms import typed_places, typed_stretches
from softmend.web.pages.solid.front import ENDED, MADE_HOW
from softmend.web.pages.solid.said import ON_SCREEN
from softmend.web.rendering import render

router = APIRouter()
AT = "/dossiers/{dossier_id}/scans/{scan_id}"
Word = Annotated[str, Query(max_length=40)]


@router.get(AT)
def scan(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    at: Word = "",
    job: Word = "",
) -> Response:
    """Show a scan with everything that was said and computed of it."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        row = reader.job(job) if job else None
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "step": scan_step(reader, dossier_id, scan_id),
            "scans": scans_in(reader, dossier_id),
            "said": scan_shown(reader, dossier_id, on),
            "waits": answers_wait(bench, reader, dossier_id, on),
            "open": open_questions(reader, dossier_id, on),
            "marks": [
                (entry.subject_id, f"{mark.number} · {term(mark.term_id).term}")
                for entry, mark in marks_in(reader, dossier_id)
            ],
            "gives_first": asked_of_voids(reader, dossier_id),
            "data": _data(bench, reader, dossier_id, on),
            "seen_on": seen_on_scan(reader, dossier_id, on),
            "views_to_lay": _views_to_lay(reader, dossier_id, on),
        }
    matter = on.matter[1] if on.matter else ScanMatter()
    return render(
        request,
        "solid/scan.html",
        here="scans",
        on=on,
        at=at,
        is_read=found_in(scan_folder(bench, on.scan.original_sha256)) is not None,
        row=row if row and row.state not in ENDED else None,
        failed=row.message if row and row.state in ENDED and row.state != "done" else "",
        matter=matter,
        held=on.held,
        based_on={
            name: one[0].id if one else ""
            for name, one in (("length", on.length), ("matter", on.matter),
                              ("holding", on.holding))
        },
        between=typed_places(on.length[1].between) if on.length else "",
        mouth=typed_places(matter.hollow_mouth),
        most_fills=MOST_FILLS,
        typed_places=typed_places,
        forbidden=typed_stretches(on.held.forbidden),
        bar=_bar(shown["data"]),
        units=list(ScanUnitName),
        mouths=list(VoidMouth),
        looks=[ON_SCREEN, *LOOKS],
        made_how=MADE_HOW,
        substances=materials_with_density("substrate"),
        fills=materials_with_density("hard fill", "reversible fill"),
        **shown,
    )  # fmt: skip


def _data(bench: Bench, reader: Reader, dossier_id: str, on: OnScan) -> dict[str, Any]:
    """Return what the picture needs: where its copy lies, and what is drawn on it."""
    here = f"/dossiers/{dossier_id}/scans/{on.scan_id}"
    laid = laid_of(bench, on)
    held = answered(reader, dossier_id, SUPPORTS, on.scan_id)
    outputs = held.outputs if held else {}
    axis = axis_of(laid) if laid else []
    forbidden = laid.forbidden if laid else []
    return {
        "glb": f"{here}/display.glb",
        "snap": f"/api/v1{here}/snap",
        "pads_url": f"/api/v1{here}/pads",
        "lines": _lines(reader, dossier_id, on),
        "centre": outputs.get("centre"),
        "pads": [
            pad["at_percent"] for pad in outputs.get("pads", ()) if pad["at_percent"] is not None
        ],
        "axis": axis,
        "down": list(on.held.down),
        "forbidden": forbidden,
        "clear": [
            [at["under"] for at in axis
             if one["from_percent"] <= at["at_percent"] <= one["to_percent"]]
            for one in forbidden
        ],
    }  # fmt: skip


def _views_to_lay(reader: Reader, dossier_id: str, on: OnScan) -> list[tuple[str, int, str]]:
    """Return the photographs that have a scale and are not laid along this scan yet."""
    laid = {one.laid.view_id for one in on.seen}
    scaled = scales_in(reader, dossier_id)
    return [
        (entry.subject_id, view.number, view.shows)
        for entry, view in views_in(reader, dossier_id)
        if entry.subject_id in scaled and entry.subject_id not in laid
    ]


def _bar(data: dict[str, Any]) -> str:
    """Return the bar of what nothing may press, or "" where there is none."""
    stretches = [(one["from_percent"], one["to_percent"]) for one in data["forbidden"]]
    return stretches_along(stretches, data["pads"]) if stretches else ""


def _lines(reader: Reader, dossier_id: str, on: OnScan) -> list[dict[str, Any]]:
    found = []
    for entry, line in on.lines:
        kept = answered(reader, dossier_id, LENGTH, entry.subject_id)
        path = kept.outputs["path"] if kept and kept.outputs["path"] else line.picks
        found.append({"name": f"{line.number}", "points": list(path), "closed": False})
    for entry, void in on.voids:
        kept = answered(reader, dossier_id, VOID, entry.subject_id)
        rim = kept.outputs["rim_found"] if kept and kept.outputs["rim_found"] else void.rim
        found.append({"name": f"V{void.number}", "points": list(rim), "closed": True})
    return found
