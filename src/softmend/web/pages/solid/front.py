"""The scans of a dossier: bring one in, watch it being read, take it in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import NotFoundError
from softmend.services.dossiers import opened
from softmend.services.jobs import Jobs
from softmend.services.next_steps import next_steps
from softmend.services.solid.all_open import all_open, compute_all, keep_all
from softmend.services.solid.asking import keep_answers, measure_later
from softmend.services.solid.attaching import (
    AboutScan,
    begin_reading,
    read_again,
    take_in,
)
from softmend.services.solid.measuring_mesh import found_in, scan_folder
from softmend.services.solid.pair import pairs_asked
from softmend.services.solid.scans import scans_in
from softmend.services.solid.scans_steps import scan_step
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.rendering import render
from softmend.web.uploads import received

router = APIRouter()
AT = "/dossiers/{dossier_id}/scans"
SHA256 = "^[0-9a-f]{64}$"
MADE_HOW = ("photogrammetry", "structured light", "laser line", "computed tomography", "not known")
Line = Annotated[str, Field(max_length=2000)]
Sha = Annotated[str, Query(pattern=SHA256)]
Name = Annotated[str, Query(max_length=200)]
MaybeJob = Annotated[str, Query(max_length=40)]
ENDED = ("done", "failed", "stopped", "interrupted")


class AboutForm(BaseModel):
    """What a person says of a scan."""

    shows: Line = ""
    made_by: Line = ""
    made_on: Line = ""
    made_how: Line = ""

    def about(self) -> AboutScan:
        """Return it as the service takes it."""
        return AboutScan(
            known(self.shows), known(self.made_by), known(self.made_on), known(self.made_how)
        )


class TakeInForm(AboutForm):
    """The form that takes a scan in that was read."""

    original: Annotated[str, Field(pattern=SHA256)]
    name: Annotated[str, Field(max_length=200)] = "scan"


@router.get(AT)
def scans(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the scans of a dossier, and a form to bring one in."""
    with bench.store.reading() as reader:
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "steps": next_steps(reader, dossier_id),
            "scans": [
                (entry, scan, scan_step(reader, dossier_id, entry.subject_id))
                for entry, scan in scans_in(reader, dossier_id)
            ],
            "open": all_open(bench, reader, dossier_id),
            "pairs": pairs_asked(reader, dossier_id),
        }
    return render(request, "solid/front.html", here="scans", **shown)


@router.post(AT)
def bring_in(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, scan: UploadFile
) -> Response:
    """Keep a scan's original and begin to read it in a job that can be stopped."""
    jobs: Jobs | None = request.app.state.jobs
    name = (scan.filename or "scan")[-200:]
    with received(bench, scan) as path:
        begun = begin_reading(bench, jobs, dossier_id, path, name)
    asked = urlencode({"original": begun.original_sha256, "name": name, "job": begun.job_id})
    return go_on(request, f"/dossiers/{dossier_id}/scans/reading?{asked}")


@router.post(f"{AT}/compute")
def compute(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Compute everything that is asked of the scans and has no answer that holds."""
    compute_all(bench, person.author, request.app.state.jobs, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/scans")


@router.post(f"{AT}/keep")
def keep(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Keep what was computed on the scans, with all that went in."""
    keep_all(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/scans")


@router.get(f"{AT}/reading")
def reading(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    original: Sha,
    name: Name = "scan",
    job: MaybeJob = "",
) -> Response:
    """Show how far a scan is read; once it is, what was found, and ask what it shows."""
    found = found_in(scan_folder(bench, original)) if bench.store.files.has(original) else None
    with bench.store.reading() as reader:
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "steps": next_steps(reader, dossier_id),
            "row": reader.job(job) if job else None,
        }
    return render(
        request,
        "solid/reading.html",
        here="scans",
        original=original,
        name=name,
        job=job,
        found=found,
        made_how=MADE_HOW,
        **shown,
    )


@router.get(f"{AT}/reading/{{job_id}}")
def under_way(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, job_id: Id, back: Line
) -> Response:
    """Say how far a job on a scan is; when it has ended its page is shown anew."""
    with bench.store.reading() as reader:
        row = reader.job(job_id)
    if row.state in ENDED:
        if not back.startswith(f"/dossiers/{dossier_id}/scans"):
            raise NotFoundError("There is no such page to go back to")
        return Response(status_code=204, headers={"HX-Redirect": back})
    return render(request, "solid/working.html", row=row, dossier_id=dossier_id, back=back, total=4)


@router.post(f"{AT}/stop/{{job_id}}")
def stop(request: Request, person: PersonHere, dossier_id: Id, job_id: Id) -> Response:
    """Stop a job on a scan; nothing of it is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        jobs.stop(job_id)
    return go_on(request, f"/dossiers/{dossier_id}/scans")


@router.post(f"{AT}/taken")
def take(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[TakeInForm, Form()],
) -> Response:
    """Record a scan that was read."""
    entry = take_in(bench, person.author, dossier_id, form.original, form.name, form.about())
    scan_id = entry.subject_id
    job = measure_later(bench, request.app.state.jobs, dossier_id, scan_id)
    if not job:
        keep_answers(bench, person.author, dossier_id, scan_id)
    address = f"/dossiers/{dossier_id}/scans/{scan_id}"
    return go_on(request, f"{address}?job={job}" if job else address)


@router.post(f"{AT}/{{scan_id}}/again")
def again(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, scan_id: Id
) -> Response:
    """Read a scan's original again where its copies are not on this machine."""
    from softmend.services.recording import current_record

    with bench.store.reading() as reader:
        _entry, scan = current_record(reader, dossier_id, "scan", scan_id)
    job = read_again(bench, request.app.state.jobs, dossier_id, scan.original_sha256)
    return go_on(
        request, f"/dossiers/{dossier_id}/scans/{scan_id}" + (f"?job={job}" if job else "")
    )
