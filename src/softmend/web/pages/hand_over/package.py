"""A package for a custodian: made in a job with progress and a stop, logged when it is taken."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import FileResponse, Response
from starlette.background import BackgroundTask

from softmend.errors import NotFoundError
from softmend.services.bench import Bench
from softmend.services.deposit.apart import Packages
from softmend.services.deposit.copies import give_copy
from softmend.services.dossiers import opened
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.hand_over.frame import file_name
from softmend.web.rendering import render

router = APIRouter()

Typed = Annotated[str, Form(max_length=2000)]


@router.post("/dossiers/{dossier_id}/return/closing/package")
def package(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    to_whom: Typed = "",
    carried_how: Typed = "",
) -> Response:
    """Begin the whole package for a custodian; without jobs, make it, log it and give it."""
    packages: Packages | None = request.app.state.packages
    if packages is not None:
        packages.start(dossier_id, to_whom, known(carried_how))
        return go_on(request, f"/dossiers/{dossier_id}/return/closing")
    with ExitStack() as kept:
        folder = kept.enter_context(bench.store.files.working_folder())
        out = folder / "package.zip"
        give_copy(bench, person.author, dossier_id, out, to_whom, known(carried_how))
        # The folder goes when the last byte is sent.
        later = BackgroundTask(kept.pop_all().close)
    return _file(bench, dossier_id, out, later)


@router.get("/dossiers/{dossier_id}/return/closing/packages")
def packages_here(request: Request, person: PersonHere, dossier_id: Id) -> Response:
    """Show how far each package has come; the page asks again while one is being made."""
    packages: Packages | None = request.app.state.packages
    lines = packages.lines(dossier_id) if packages is not None else []
    return render(
        request,
        "part_packages.html",
        lines=lines,
        at=f"/dossiers/{dossier_id}/return/closing/packages",
        is_under_way=any(line.is_under_way for line in lines),
    )


@router.post("/dossiers/{dossier_id}/return/closing/packages/{job_id}/stop")
def stop(request: Request, person: PersonHere, dossier_id: Id, job_id: Id) -> Response:
    """Stop a package; nothing of it is kept."""
    _packages(request).stop(job_id)
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")


@router.post("/dossiers/{dossier_id}/return/closing/packages/{job_id}/take")
def take(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, job_id: Id
) -> Response:
    """Log that the custodian has the package, and give its file."""
    return _file(bench, dossier_id, _packages(request).take(person.author, job_id))


def _packages(request: Request) -> Packages:
    packages: Packages | None = request.app.state.packages
    if packages is None:
        raise NotFoundError("This package is not made here", remedy="Make it again")
    return packages


def _file(
    bench: Bench, dossier_id: str, path: Path, background: BackgroundTask | None = None
) -> Response:
    with bench.store.reading() as reader:
        name = file_name(opened(reader, dossier_id).dossier.number, "package", ".zip")
    return FileResponse(path, media_type="application/zip", filename=name, background=background)
