"""The pages that people see; none of them is part of the described API."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter

from softmend.web.pages import (
    condition,
    dossiers,
    examine,
    hazards,
    journal,
    marks,
    objects,
    pictures,
    quantities,
    reports,
    scales,
    views,
    who,
    words,
    zones,
)

router = APIRouter(include_in_schema=False)
_PAGES = (
    who,
    dossiers,
    objects,
    hazards,
    words,
    condition,
    examine,
    views,
    marks,
    zones,
    scales,
    pictures,
    quantities,
    reports,
    journal,
)
for page in _PAGES:
    router.include_router(page.router)
