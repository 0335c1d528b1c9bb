"""Pictures for the eye: tiles and overviews; and how far a photograph being read has come."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import FileResponse, JSONResponse, Response

from softmend.errors import NotAllowedError
from softmend.records.view import View
from softmend.services.bench import Bench
from softmend.services.examine.views import overview_path, tile_path
from softmend.services.legal_flags import remains_caution
from softmend.services.recording import current_record
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.uploads import Uploads

router = APIRouter()

Level = Annotated[int, Path(ge=0, le=20)]
Place = Annotated[int, Path(ge=0, le=9999)]
# A tile is made from a file that never changes; the browser may keep it to itself.
_KEEP = {"cache-control": "private, max-age=31536000, immutable"}


@router.get("/dossiers/{dossier_id}/views/{view_id}/small.jpg")
def overview(bench: BenchHere, dossier_id: Id, view_id: Id) -> Response:
    """Give the whole picture at its smallest; none of what may be human (rule 16)."""
    with bench.store.reading() as reader:
        caution = remains_caution(reader, dossier_id)
    if caution:
        raise NotAllowedError(
            "Small pictures of what may be human are not shown",
            value=caution,
            remedy="Open the view itself, or say who identified the remains",
        )
    return _jpeg(overview_path(bench, _view(bench, dossier_id, view_id)))


@router.get("/dossiers/{dossier_id}/views/{view_id}/tiles/{level}/{column}_{row}.jpg")
def tile(
    bench: BenchHere, dossier_id: Id, view_id: Id, level: Level, column: Place, row: Place
) -> Response:
    """Give one tile."""
    view = _view(bench, dossier_id, view_id)
    return _jpeg(tile_path(bench, view.canonical_sha256, f"{level}/{column}_{row}.jpg"))


@router.get("/uploads/{upload_id}")
def progress(request: Request, person: PersonHere, upload_id: Id) -> Response:
    """Say how far a photograph has come, or nothing while it is not being read."""
    uploads: Uploads = request.app.state.uploads
    upload = uploads.find(upload_id)
    if upload is None:
        return Response(status_code=204)
    return JSONResponse({"doing": upload.doing, "share": upload.share})


@router.post("/uploads/{upload_id}/stop", status_code=204)
def stop(request: Request, person: PersonHere, upload_id: Id) -> None:
    """Stop reading a photograph; nothing of it is kept."""
    uploads: Uploads = request.app.state.uploads
    upload = uploads.find(upload_id)
    if upload is not None:
        upload.cancel.set()


def _view(bench: Bench, dossier_id: str, view_id: str) -> View:
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
    found: View = view
    return found


def _jpeg(path: FilePath) -> Response:
    return FileResponse(path, media_type="image/jpeg", headers=_KEEP)
