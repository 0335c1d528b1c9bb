"""How far long work has come; a page asks once a second."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter
from pydantic import BaseModel

from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id

router = APIRouter(prefix="/jobs", tags=["jobs"], responses=Refusals)


class JobProgress(BaseModel):
    """One job: waiting, running, done, failed, stopped or interrupted."""

    job_id: str
    kind: str
    state: str
    done: int
    total: int
    message: str


@router.get("/{job_id}")
def progress(bench: BenchHere, job_id: Id) -> JobProgress:
    """Say how far a job has come."""
    with bench.store.reading() as reader:
        row = reader.job(job_id)
    return JobProgress(
        job_id=row.id,
        kind=row.kind,
        state=row.state,
        done=row.done,
        total=row.total,
        message=row.message,
    )
