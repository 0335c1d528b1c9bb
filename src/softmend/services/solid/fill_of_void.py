"""The fill that a void on a scan takes: grams, layers and hours, each with what it rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import Any

from softmend.records.dossier import NOT_KNOWN
from softmend.records.scan import ScanVoid


def materials_with_density(*groups: str) -> list[str]:
    """Return the materials of some groups of the table whose density it has."""
    from softmend.tables.materials import material_value, materials

    return [
        name
        for group in groups
        for name in materials(group)
        if material_value(name, "density") is not None
    ]


def fill_facts(void: ScanVoid, told: dict[str, Any]) -> list[tuple[str, str]]:
    """Return grams, layers and hours of the fill as text; what was not said is not made up."""
    volume = _volume_ml(void, told)
    if volume is None:
        return []
    low, high = volume
    return [
        ("Grams of fill", _grams(void, low, high)),
        ("Layers", _layers_words(void, told)),
        ("Hours", _hours(void, told)),
    ]


def _volume_ml(void: ScanVoid, told: dict[str, Any]) -> tuple[float, float] | None:
    """Return the least and most of what is to be filled: to a depth, else to the rim."""
    if void.fill_below_rim_mm is not None and told["part_fills"]:
        part = told["part_fills"][0]["volume_ml"]
        return part, part
    if told["volume_ml"]:
        return told["volume_ml"]["low"], told["volume_ml"]["high"]
    return None


def _grams(void: ScanVoid, low_ml: float, high_ml: float) -> str:
    from softmend.tables.materials import material_value

    if void.material == NOT_KNOWN:
        return "the fill is not chosen yet"
    found = material_value(void.material, "density")
    if found is None:
        return f"the table has no density of {void.material}"
    least, most = low_ml * found.low / 1000, high_ml * found.high / 1000
    return f"{least:.2g} – {most:.2g} g of {void.material} ({found.kind}: {found.source})"


def layers_of(void: ScanVoid, told: dict[str, Any]) -> int | None:
    """Return how many layers the fill takes, or None where the thickness is not said."""
    if void.layer_mm is None or told["deepest_mm"] is None:
        return None
    depth: float = told["deepest_mm"] - (void.fill_below_rim_mm or 0.0)
    return max(math.ceil(round(depth / void.layer_mm, 3)), 1)


def _layers_words(void: ScanVoid, told: dict[str, Any]) -> str:
    layers = layers_of(void, told)
    if layers is None:
        return "the thickness of a layer is not said"
    return f"{layers}, of at most {void.layer_mm:g} mm"


def _hours(void: ScanVoid, told: dict[str, Any]) -> str:
    layers = layers_of(void, told)
    if layers is None or void.hours_a_layer is None:
        return "the hours a layer are not said"
    each = void.hours_a_layer
    low, typical, high = (layers * x for x in (each.low, each.typical, each.high))
    return f"{low:.2g} – {high:.2g} h, likely {typical:.2g} h ({each.basis.value}, drying apart)"
