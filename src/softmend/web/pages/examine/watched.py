"""The folder where a camera or phone drops photographs: asked every few seconds while shown."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response

from softmend.errors import NotAllowedError
from softmend.services.examine.folder_watch import Watch
from softmend.services.examine.watched_folder import (
    Found,
    Lies,
    bring_in_lying,
    bring_in_next,
    lying_in_folder,
    watch_folder,
    watch_nothing,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.examine.front import finish_later
from softmend.web.rendering import is_partial, render
from softmend.web.security import is_from_this_machine

router = APIRouter()

AT = "/dossiers/{dossier_id}/watched"
Line = Annotated[str, Form(max_length=2000)]
EntryId = Annotated[str, Form(max_length=40)]


@router.get(AT)
def lying(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, seen: str = ""
) -> Response:
    """Show what lies in the folder; nothing is sent while that is what the page shows already."""
    found = lying_in_folder(bench, dossier_id, _watch(request))
    if seen == found.fingerprint:
        return Response(status_code=204)
    return _shown(request, dossier_id, found)


@router.post(f"{AT}/folder")
def name_folder(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    folder: Line = "",
    based_on: EntryId = "",
    nothing: Line = "",
) -> Response:
    """Record which folder the house watches, or that it watches none."""
    _watch(request)
    if nothing:
        watch_nothing(bench, person.author, based_on)
    else:
        watch_folder(bench, person.author, folder, based_on)
    return _anew(request, dossier_id)


@router.post(f"{AT}/file")
def bring_in(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, name: Line
) -> Response:
    """Bring in the one file that was pressed."""
    entry = bring_in_lying(bench, person.author, dossier_id, _watch(request), name)
    finish_later(request, bench, entry)
    return _anew(request, dossier_id)


@router.post(f"{AT}/all")
def bring_all_in(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id
) -> Response:
    """Bring in the file that waited longest; the page asks for the next until none is left."""
    watch = _watch(request)
    entry = bring_in_next(bench, person.author, dossier_id, watch)
    if entry is not None:
        finish_later(request, bench, entry)
    found = lying_in_folder(bench, dossier_id, watch)
    if not found.ready:
        return _anew(request, dossier_id)
    return _shown(request, dossier_id, found, is_going_on=True)


def _watch(request: Request) -> Watch:
    """Return the looks so far, for a person who sits at the machine whose disk is looked at."""
    if not is_from_this_machine(request):
        raise NotAllowedError(
            "A folder is watched only from the machine on which Softmend runs",
            remedy="Sit at that machine, or add the photographs from yours",
        )
    watch: Watch = request.app.state.watch
    return watch


def _shown(
    request: Request, dossier_id: str, found: Found, *, is_going_on: bool = False
) -> Response:
    return render(
        request,
        "examine/part_watched_files.html",
        dossier_id=dossier_id,
        found=found,
        is_going_on=is_going_on,
        Lies=Lies,
    )


def _anew(request: Request, dossier_id: str) -> Response:
    """Return the answer that shows the page anew, where the person stands on it."""
    if is_partial(request):
        return Response(status_code=204, headers={"HX-Refresh": "true"})
    return go_on(request, f"/dossiers/{dossier_id}/examine")
