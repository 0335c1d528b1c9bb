"""The bench's own paints, lamps and readings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.paints import bring_in, front, looking

PAGES = (
    front,
    bring_in,
    looking,
)
