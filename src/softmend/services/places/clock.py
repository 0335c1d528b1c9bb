"""Moments inside a sentence, told by the clock on the wall of a place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from datetime import UTC, datetime

from softmend.services.places.drawn import zone_named

# Files that were confirmed earlier keep their moments with a T and a Z.
_MOMENT = re.compile(r"(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(?:Z| UTC)(?: (to) (?=\d{4}-))?")


def by_clock(text: str, zone: str) -> str:
    """Return a text with its moments in UTC told by the clock of a zone, which is named."""
    there = zone_named(zone)
    name = "UTC" if there is UTC else zone

    def told(found: re.Match[str]) -> str:
        utc = datetime.fromisoformat(f"{found[1]} {found[2]}").replace(tzinfo=UTC)
        shown = f"{utc.astimezone(there):%Y-%m-%d %H:%M}"
        # A stretch names its zone once, at its end.
        return f"{shown} to " if found[3] else f"{shown} {name}"

    return _MOMENT.sub(told, text)
