"""The house's places and their loggers' records."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.places import bring_in, case, front

PAGES = (
    front,
    bring_in,
    case,
)
