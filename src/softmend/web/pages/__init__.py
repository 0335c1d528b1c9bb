"""The pages that people see, by stage; none of them is part of the described API."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter

from softmend.web.pages import (
    board,
    dossiers,
    examine,
    explain,
    hand_over,
    hours,
    journal,
    objects,
    paints,
    places,
    propose,
    quantities,
    reports,
    revisit,
    sheets,
    short_job,
    solid,
    surveys,
    treat,
    who,
    withdrawal,
)

router = APIRouter(include_in_schema=False)
for page in (
    who,
    dossiers,
    objects,
    *examine.PAGES,
    *solid.PAGES,
    quantities,
    *explain.PAGES,
    hours,
    reports,
    *propose.PAGES,
    *hand_over.PAGES,
    *revisit.PAGES,
    sheets,
    short_job,
    journal,
    withdrawal,
    board,
    surveys,
    *treat.PAGES,
    *paints.PAGES,
    *places.PAGES,
):
    router.include_router(page.router)
