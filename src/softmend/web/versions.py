"""Two versions of one drawing, laid over the picture that they were drawn on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.errors import NotFoundError
from softmend.pictures.svg import area_path, line_path
from softmend.services.bench import Bench
from softmend.services.recording import current_record

_MARGIN = 0.15


@dataclass(frozen=True)
class BothDrawn:
    """What a page needs to show both: the picture, the part of it in sight, and two paths."""

    picture: str
    width_px: int
    height_px: int
    sight: str
    theirs: str
    yours: str


def both_drawn(bench: Bench, dossier_id: str, yours: Any, theirs: Any) -> BothDrawn | None:
    """Return both drawings of a mark where they differ on one view, or None."""
    for mine in (yours or {}).get("sightings", ()):
        for other in (theirs or {}).get("sightings", ()):
            if mine["view_id"] == other["view_id"] and mine["geometry"] != other["geometry"]:
                return _over_view(bench, dossier_id, mine, other)
    return None


def _over_view(
    bench: Bench, dossier_id: str, mine: dict[str, Any], other: dict[str, Any]
) -> BothDrawn | None:
    view_id = mine["view_id"]
    try:
        with bench.store.reading() as reader:
            _entry, view = current_record(reader, dossier_id, "view", view_id)
    except NotFoundError:
        return None
    return BothDrawn(
        picture=f"/dossiers/{dossier_id}/views/{view_id}/small.jpg",
        width_px=view.width_px,
        height_px=view.height_px,
        sight=_sight(mine["geometry"]["parts"] + other["geometry"]["parts"]),
        theirs=_path(other["geometry"]),
        yours=_path(mine["geometry"]),
    )


def _path(geometry: dict[str, Any]) -> str:
    parts = [[(x, y) for x, y in part] for part in geometry["parts"]]
    if geometry["shape"] == "Polygon":
        return area_path(parts)
    (part,) = parts
    # A path of one point draws nothing; a short stroke shows where it is.
    return line_path(part) if len(part) > 1 else line_path([part[0], (part[0][0], part[0][1] + 1)])


def _sight(parts: list[list[list[float]]]) -> str:
    xs = [x for part in parts for x, _y in part]
    ys = [y for part in parts for _x, y in part]
    side = max(max(xs) - min(xs), max(ys) - min(ys), 40.0) * _MARGIN
    left, top = min(xs) - side, min(ys) - side
    return f"{left:.1f} {top:.1f} {max(xs) - left + side:.1f} {max(ys) - top + side:.1f}"
