"""How a drawing came about: by hand, traced with help, or suggested and accepted by hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.records.mark import BY_HAND, Geometry, Sighting
from softmend.services.examine.tracing import TRACE_VERSION, TRACED

MOVED = "then moved by hand"


def traced_sighting(view_id: str, geometry: Geometry) -> Sighting:
    """Return the sighting of a line that was traced with help, with what its points may be off."""
    from softmend.catalogue.eyes_trace import TRACED_SD_PX

    how = f"{TRACED}, version {TRACE_VERSION}"
    return Sighting(view_id, geometry, drawn_how=how, drawn_sd_px=TRACED_SD_PX)


def suggested_sighting(
    view_id: str, geometry: Geometry, method: str, version: str, sensitivity: float
) -> Sighting:
    """Return the sighting of a crack that was suggested and accepted by hand."""
    from softmend.catalogue.eyes_trace import TRACED_SD_PX

    how = f"suggested ({method}, version {version}, sensitivity {sensitivity:g}), accepted by hand"
    return Sighting(view_id, geometry, drawn_how=how, drawn_sd_px=TRACED_SD_PX)


def moved_by_hand(seen: Sighting, geometry: Geometry) -> Sighting:
    """Return a sighting drawn anew; what the machine had helped with says that it was moved."""
    how = seen.drawn_how
    if how != BY_HAND and not how.endswith(MOVED):
        how = f"{how}, {MOVED}"
    return replace(seen, geometry=geometry, drawn_how=how)
