"""The demo's old varnish: a few swabs on the antler, the air over them, and one removal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import Any

from softmend.records.air_question import AirQuestion
from softmend.records.mark import Position
from softmend.records.payload import from_plain
from softmend.records.removal import RemovalWay, SolventItem, Stretch
from softmend.records.shelf import ShelfItem
from softmend.records.spot_test import PatchGrid, SpotTest
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.marks import marks_in
from softmend.services.examine.views import views_in
from softmend.services.propose.air_over import write_air
from softmend.services.propose.removing_off import keep_off
from softmend.services.propose.removing_ways import record_way, way_of
from softmend.services.propose.solvent_shelf import put_solvent
from softmend.services.propose.spot_tests import lay_grid, patch_side_px, record_test
from softmend.services.propose.spot_tests_answer import keep_spot

Told = Mapping[str, Any]


def swab_the_varnish(bench: Bench, author: Author, dossier_ids: Sequence[str]) -> None:
    """Lay out the spot tests of the demo, the air over them, and how its old fill comes off."""
    told = tomllib.loads((files("softmend") / "demo" / "removing.toml").read_text("utf-8"))
    dossier_id = dossier_ids[told["dossier"]]
    for bottle in told["shelf"]:
        put_solvent(bench, author, SolventItem(from_plain(ShelfItem, bottle)))
    write_air(bench, author, dossier_id, from_plain(AirQuestion, told["air"]), "")
    _lay_grid(bench, author, dossier_id, told)
    today = bench_day(bench)
    for test in told["test"]:
        plain = {"number": 0, "grid_number": 1, "done_on": today, **test}
        record_test(bench, author, dossier_id, from_plain(SpotTest, plain))
    keep_spot(bench, author, dossier_id)
    keep_off(bench, author, dossier_id)
    _plan_removal(bench, author, dossier_id, told["way"])


def _lay_grid(bench: Bench, author: Author, dossier_id: str, told: Told) -> None:
    with bench.store.reading() as reader:
        entry, view = next(
            (entry, view)
            for entry, view in views_in(reader, dossier_id)
            if view.original_name == told["view"]
        )
        side = patch_side_px(reader, dossier_id, entry.subject_id, told["patch_mm"])
    across, down = told["begins_share"]
    grid = PatchGrid(
        number=0,
        view_id=entry.subject_id,
        left_px=round(across * view.width_px, 1),
        top_px=round(down * view.height_px, 1),
        patch_px=round(side, 1),
        columns=told["columns"],
        rows=told["rows"],
        because=told["because"],
    )
    lay_grid(bench, author, dossier_id, grid)


def _plan_removal(bench: Bench, author: Author, dossier_id: str, told: Told) -> None:
    with bench.store.reading() as reader:
        removal = way_of(reader, dossier_id, told["removal_number"]).removal
        fill = next(
            mark for _, mark in marks_in(reader, dossier_id) if mark.number in removal.mark_numbers
        )
    seen = fill.sightings[0]
    stretches = _halves(seen.view_id, seen.geometry.parts[0])
    way = from_plain(RemovalWay, told)
    way = RemovalWay(**{**way.__dict__, "stretches": stretches})
    record_way(bench, author, dossier_id, way, "")


def _halves(view_id: str, ring: Sequence[Position]) -> tuple[Stretch, ...]:
    """Return two stretches along the middle of an outline, the left half first."""
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    middle, down = (left + right) / 2, sum(y for _, y in ring) / len(ring)
    ends = ((left, middle, "the proximal half"), (middle, right, "the distal half"))
    return tuple(
        Stretch(view_id, round(start, 1), round(down, 1), round(end, 1), round(down, 1), what)
        for start, end, what in ends
    )
