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
    objects,
    pictures,
    who,
    words,
)

router = APIRouter(include_in_schema=False)
for page in (who, dossiers, objects, hazards, words, condition, examine, pictures, journal):
    router.include_router(page.router)
