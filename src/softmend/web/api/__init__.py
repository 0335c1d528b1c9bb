"""The API that programs and our own scripts call: JSON in, JSON out, one error body."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter

from softmend.web.api import (
    compute,
    dossiers,
    drafts,
    jobs,
    marks,
    measure,
    scales,
    scans,
    suggest,
    trace,
    zones,
)

router = APIRouter(prefix="/api/v1")
for part in (dossiers, drafts, marks, zones, scales, scans, measure, trace, suggest, compute, jobs):
    router.include_router(part.router)
