"""Examine: photographs, marks, zones, condition, hazards and the law."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.examine import (
    condition,
    front,
    hazards,
    law,
    marks,
    pictures,
    scales,
    trace,
    views,
    watched,
    words,
    zones,
)

PAGES = (
    hazards,
    words,
    condition,
    front,
    watched,
    trace,
    views,
    marks,
    zones,
    scales,
    pictures,
    law,
)
