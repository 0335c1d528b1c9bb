"""The demo's front view laid along its scan, and what of it lies on top set aside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from softmend.records.scan import Place3
from softmend.records.scan_seen import LikePlace, ScanView
from softmend.services.bench import Author, Bench
from softmend.services.examine.views import views_in
from softmend.services.solid.seen_stretches import lay_photograph, set_view_aside

FRONT = "antler-front-normal.jpg"
PICKED = (("crack 1", 0), ("crack 1", -1), ("crack 2", 0), ("crack 2", -1))
"""Ends of cracks, which a person finds on both."""
ON_TOP = "it lies on the front, which is up as the beam is held: no support comes there"


def lay_front_along(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, truth: Mapping[str, Any]
) -> None:
    """Lay the front view along the scan by the ends of two cracks, and set aside what it shows.

    All of it lies on top as the beam is held; the fill that the treatment brings later counts.
    """
    with bench.store.reading() as reader:
        views = {
            view.original_name: entry.subject_id for entry, view in views_in(reader, dossier_id)
        }
    if FRONT not in views:
        # The scans may be laid out in a dossier without photographs.
        return
    view_id = views[FRONT]
    told = json.loads((files("softmend") / "demo" / "truth.json").read_text("utf-8"))
    picture = next(one for one in told["pictures"] if one["file"] == FRONT)
    seen = {one["feature"]: one["points_px"] for one in picture["sightings"]}
    there = {one["name"]: one["places_mm"] for one in truth["cracks"]}
    places = tuple(
        LikePlace((round(seen[name][end][0], 1), round(seen[name][end][1], 1)),
                  _in_metres(there[name][end]))
        for name, end in PICKED
    )  # fmt: skip
    lay_photograph(bench, author, dossier_id, ScanView(scan_id, view_id, places), "")
    set_view_aside(bench, author, dossier_id, scan_id, view_id, ON_TOP)


def _in_metres(at: list[float]) -> Place3:
    x, y, z = (round(each / 1000, 8) for each in at)
    return x, y, z
