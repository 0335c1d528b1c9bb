"""Openings over dates: each mark's most moved stretch at every later date, with the air beside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from softmend.pictures.growth import Growth, GrowthLine, GrowthPoint
from softmend.services.revisit.front import Pair


def growth_of(pairs: Sequence[Pair]) -> Growth | None:
    """Return what the kept comparisons with one first view say of each mark over the dates.

    The first view with most later dates is taken; None where nothing was kept that has a number.
    """
    by_first: dict[str, list[Pair]] = {}
    for pair in pairs:
        if pair.moved is not None and not pair.moved.stale:
            by_first.setdefault(pair.earlier[0].subject_id, []).append(pair)
    if not by_first:
        return None
    many = max(len(found) for found in by_first.values())
    most = next(found for found in by_first.values() if len(found) == many)
    chosen = sorted(most, key=lambda pair: pair.later[1].taken_on)
    first = chosen[0]
    if first.moved is None:
        return None
    air = [(first.earlier[1].taken_on, _percent(first.moved.run.inputs, "earlier_percent"))]
    lines: dict[int, list[GrowthPoint]] = {}
    floors = []
    for pair in chosen:
        if pair.moved is None:
            continue
        day = pair.later[1].taken_on
        air.append((day, _percent(pair.moved.run.inputs, "later_percent")))
        for one in pair.cracks:
            point = _point(day, one.answer)
            if point is not None:
                lines.setdefault(one.mark.number, []).append(point)
                floors += [s["threshold_px"] * _mm_per_px(s) for s in one.answer["stretches"]]
    if not lines:
        return None
    return Growth(
        first_on=first.earlier[1].taken_on,
        lines=tuple(GrowthLine(number, tuple(points)) for number, points in lines.items()),
        floor_mm=max(floors),
        air=tuple(air),
    )


def _point(day: str, answer: dict[str, Any]) -> GrowthPoint | None:
    stretches = [one for one in answer["stretches"] if one["opening_mm"]]
    if not stretches:
        return None
    most = max(stretches, key=lambda one: abs(one["opened_px"]))
    wide = most["opening_mm"]
    return GrowthPoint(day, wide["mean"], wide["expanded"], most["is_shown"])


def _mm_per_px(stretch: dict[str, Any]) -> float:
    wide = stretch["opening_mm"]
    if not wide or not stretch["opened_px"]:
        return 0.0
    return float(abs(wide["mean"] / stretch["opened_px"]))


def _percent(inputs: dict[str, Any], name: str) -> float | None:
    value = (inputs.get(name) or {}).get("value")
    if isinstance(value, dict):
        value = value.get("value")
    return float(value) if isinstance(value, int | float) else None
