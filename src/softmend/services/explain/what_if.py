"""What if the crack were wider, deeper, the winter drier: the same spread round another middle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from softmend.catalogue.computation import Sourced

ORIGIN = "tried out on the page; the spread is that of the recorded value"


@dataclass(frozen=True)
class Tried:
    """What is tried out instead of what is recorded; None leaves the record as it is."""

    fall_percent: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None


ALIKE = 0.005
"""A slider stands where the record does when it is nearer than its own steps can tell."""

PLACES = {"fall_percent": "climate", "width_mm": "crack", "depth_mm": "crack"}


def with_tried(payload: Mapping[str, Any], tried: Tried) -> dict[str, Any]:
    """Return a payload in which the middles are those tried out, each spread in proportion."""
    changed = {name: dict(part) for name, part in payload.items()}
    for name, part in PLACES.items():
        middle = getattr(tried, name)
        if middle is not None and name in changed[part]:
            changed[part][name] = _moved(changed[part][name], middle)
    return changed


def typical(payload: Mapping[str, Any], name: str) -> float:
    """Return the middle of one of the values that can be tried out."""
    return Sourced.model_validate(payload[PLACES[name]][name]).uncertain().typical


def _moved(value: dict[str, Any], middle: float) -> dict[str, Any]:
    found = Sourced.model_validate(value)
    before = found.uncertain().typical
    if abs(middle - before) <= ALIKE * abs(before):
        return value
    scaled: Any = middle
    if before > 0:
        scaled = found.uncertain().scaled(middle / before).to_json()
    return {"value": scaled, "kind": "estimated", "origin": ORIGIN}
