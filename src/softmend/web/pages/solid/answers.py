"""What a scan's page fetches: the copy for the eye, stills, and the keeping of answers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import FileResponse, Response

from softmend.errors import NotFoundError
from softmend.services.recording import current_record
from softmend.services.solid.asking import keep_answers
from softmend.services.solid.change_shown import change_shown
from softmend.services.solid.measuring_mesh import DISPLAY, scan_folder
from softmend.services.solid.pair import pair_of
from softmend.services.solid.scans import on_scan
from softmend.services.solid.stills import stills_shown
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere

router = APIRouter()
AT = "/dossiers/{dossier_id}/scans/{scan_id}"
Word = Annotated[str, Query(max_length=40)]


@router.get(f"{AT}/display.glb")
def display(bench: BenchHere, person: PersonHere, dossier_id: Id, scan_id: Id) -> Response:
    """Give the copy of a scan for the eye."""
    with bench.store.reading() as reader:
        _entry, scan = current_record(reader, dossier_id, "scan", scan_id)
    path = scan_folder(bench, scan.original_sha256) / DISPLAY
    if not path.is_file():
        raise NotFoundError(
            "This scan was not read on this machine yet", remedy="Read its original again"
        )
    return FileResponse(
        path, media_type="model/gltf-binary", headers={"cache-control": "private, max-age=3600"}
    )


@router.get(f"{AT}/stills/{{still_id}}.svg")
def still(
    bench: BenchHere, person: PersonHere, dossier_id: Id, scan_id: Id, still_id: Id
) -> Response:
    """Give one still with what stands on the scan drawn over it."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        _entry, wanted = current_record(reader, dossier_id, "scan_still", still_id)
        if wanted.later_scan_id:
            pair = pair_of(reader, dossier_id, scan_id, wanted.later_scan_id)
            shown = change_shown(reader, dossier_id, pair, bench.store.files).stills
        else:
            shown = stills_shown(reader, dossier_id, on, bench.store.files)
    for one in shown:
        if one.number == wanted.number:
            return Response(one.svg, media_type="image/svg+xml")
    raise NotFoundError("There is no such still")


@router.post(f"{AT}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    scan_id: Id,
    at: Word = "",
) -> Response:
    """Keep what was computed as runs, with all that went in; the part that was open stays open."""
    keep_answers(bench, person.author, dossier_id, scan_id)
    page = f"/dossiers/{dossier_id}/scans/{scan_id}"
    return go_on(request, f"{page}?{urlencode({'at': at})}" if at else page)
