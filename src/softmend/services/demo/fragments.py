"""The demo's tray: losses marked close up, flakes outlined, two of them looked for in the losses.

Both photographs are drawn (tools/demo/tray.py); what is true of them stands in truth.json beside.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from importlib.resources import as_file, files
from itertools import pairwise
from math import dist
from random import Random
from typing import Any

from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Position, Shape, Sighting
from softmend.records.seat import SeatSearch, Verdict
from softmend.records.tray import Tray, TrayGround
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import describe_view, import_photograph
from softmend.services.treat.seats import (
    found_seats,
    look_for_seats,
    record_look,
    record_search,
    seats_asked,
)
from softmend.services.treat.trays import (
    OnTray,
    answer_outline,
    ask_of_tray,
    find_outlines,
    flakes_on,
    found_on,
    number_from_tray,
    tray_asked,
)

Truth = Mapping[str, Any]

CLICK_EVERY_PX, CLICK_SD_PX = 18.0, 0.8
FOUND_BY = "Ida Invented"
SEEN = {
    "1": ("on the tray, from the cloth beside the burr", Verdict.FITS, "the whole edge follows"),
    "5": ("on the tray, from the crate", Verdict.DOES_NOT_FIT, "only one side runs along"),
}
"""The flakes that were numbered and looked for, where each was found, and what was seen of it."""


def fragments_truth() -> Truth:
    """Return what is true of the tray and of the losses."""
    text = (files("softmend") / "demo" / "fragments" / "truth.json").read_text("utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def lay_out_fragments(bench: Bench, author: Author, dossier_id: str) -> str:
    """Lay out the tray and the losses of the antler; return the id of the tray's view."""
    author = replace(author, purpose="treatment")
    truth = fragments_truth()
    surface_id = _bring_in(bench, author, dossier_id, truth["surface"], "during treatment")
    for name, ring in truth["surface"]["losses"].items():
        drawn = Geometry(Shape.AREA, (_clicked(ring, name),))
        seen = "outer layer gone, porous bone open; sharp edges"
        mark = Mark(0, "loss", (Sighting(surface_id, drawn),), part="beam", note_observed=seen)
        record_mark(bench, author, dossier_id, mark)
    tray_id = _bring_in(bench, author, dossier_id, truth["tray"], "during treatment")
    ask_of_tray(bench, author, dossier_id, Tray(tray_id, TrayGround.DARK))
    with bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, tray_id)
    if question is not None:
        find_outlines(None, bench, dossier_id, question)
    with bench.store.reading() as reader:
        lying = flakes_on(reader, dossier_id, tray_id, found_on(bench, question))
    for name, (where, verdict, seen) in SEEN.items():
        flake = flake_named(truth, lying, name)
        number = number_from_tray(bench, author, dossier_id, flake.outline, where, FOUND_BY)
        answer_outline(bench, author, dossier_id, replace(flake.outline, fragment_id=number), "")
        _look(bench, author, dossier_id, number, verdict, seen)
    return tray_id


def flake_named(truth: Truth, lying: list[OnTray], name: str) -> OnTray:
    """Return the outline on the tray that is a flake of the truth."""
    x, y = _middle(truth["tray"]["flakes"][name])
    return min(lying, key=lambda one: dist(_middle(one.outline.outline_px), (x, y)))


def _look(
    bench: Bench, author: Author, dossier_id: str, fragment_id: str, verdict: Verdict, seen: str
) -> None:
    """Look for the seats of one fragment and at every overlay, as a person would."""
    record_search(bench, author, dossier_id, SeatSearch(fragment_id))
    with bench.store.reading() as reader:
        question = seats_asked(reader, dossier_id, SeatSearch(fragment_id))
    look_for_seats(None, bench, dossier_id, question)
    answer = found_seats(bench, question) or {"candidates": ()}
    at = (bench, author, dossier_id, question)
    for one in answer["candidates"]:
        loss = question.loss(one["number"]).entry.subject_id
        record_look(*at, mark_id=loss, verdict=verdict, seen_observed=seen)
    if verdict is Verdict.DOES_NOT_FIT:
        none = "no edge follows all round at any loss"
        record_look(*at, mark_id="", verdict=Verdict.FITS, seen_observed=none)


def _bring_in(bench: Bench, author: Author, dossier_id: str, told: Truth, stage: str) -> str:
    with as_file(files("softmend") / "demo" / "fragments" / told["file"]) as source:
        entry = import_photograph(bench, author, dossier_id, source, told["file"])
    described = replace(
        record_in(entry),
        shows=told["shows"],
        made_by="a script that draws invented objects",
        taken_on=bench_day(bench),
        stage=stage,
    )
    describe_view(bench, author, dossier_id, entry.subject_id, described, based_on=entry.id)
    end_a, end_b = told["scale_bar"]["ends_px"]
    inputs = {
        "method": "two_clicks",
        "end_a_px": [end_a],
        "end_b_px": [end_b],
        "length_mm": _measured(told["scale_bar"]["length_mm"], 0.1),
        "stand": {
            "offset_mm": _measured(0.0, 1.0),
            "camera_distance_mm": _measured(400.0, 40.0),
        },
    }
    set_scale(bench, author, dossier_id, entry.subject_id, inputs, based_on="")
    return entry.subject_id


def _measured(value: float, expanded: float) -> dict[str, Any]:
    return {"value": {"value": value, "expanded": expanded}, "kind": "measured", "origin": "typed"}


def _clicked(ring: list[list[float]], seed: str) -> tuple[Position, ...]:
    """Return an outline as a hand clicks it close up: every so often, and a little off."""
    hand = Random(seed)  # noqa: S311
    kept, gone = [ring[0]], 0.0
    for before, point in pairwise(ring):
        gone += dist(before, point)
        if gone >= CLICK_EVERY_PX:
            kept.append(point)
            gone = 0.0
    return tuple(
        (round(x + hand.gauss(0, CLICK_SD_PX), 2), round(y + hand.gauss(0, CLICK_SD_PX), 2))
        for x, y in kept
    )


def _middle(ring: Any) -> tuple[float, float]:
    xs, ys = zip(*ring, strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)
