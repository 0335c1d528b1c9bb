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
    law,
    marks,
    objects,
    pictures,
    propose_consent,
    propose_fills,
    propose_front,
    propose_limits,
    propose_materials,
    propose_print,
    propose_secure,
    propose_steps,
    quantities,
    reports,
    scales,
    treat_batches,
    treat_fragments,
    treat_joins,
    treat_log,
    treat_look_up,
    treat_record,
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
    law,
    propose_front,
    propose_steps,
    propose_materials,
    propose_fills,
    propose_limits,
    propose_consent,
    propose_secure,
    propose_print,
    journal,
    treat_log,
    treat_batches,
    treat_fragments,
    treat_joins,
    treat_record,
    treat_look_up,
)
for page in _PAGES:
    router.include_router(page.router)
