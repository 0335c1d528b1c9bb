"""Which values of the table hold for an object's material in its state of preservation.

A state that the table has no row for has no value: the nearest fresh one never stands in for it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping

from softmend.catalogue.computation import Sourced
from softmend.catalogue.material import sourced
from softmend.services.explain.bench_units import BenchUnit
from softmend.services.explain.own_values import OwnRow, own_rows
from softmend.services.store import Reader
from softmend.tables.materials import material_value, materials

SOUND = "sound: collagen or fibre kept"
MINERAL = "mineral gained, sub-fossil"
LEACHED = "leached or decayed"
BURIED = "from the ground, not closer known"
STATES = (SOUND, MINERAL, LEACHED, BURIED)

UNITS: Mapping[str, BenchUnit] = {
    "modulus_gpa": BenchUnit("GPa", 1e9),
    "poisson": BenchUnit("", 1.0),
    "relaxation": BenchUnit("", 1.0),
    "strength_mpa": BenchUnit("MPa", 1e6),
    "toughness_mpa_m05": BenchUnit("MPa·m^0.5", 1e6),
    "mismatch_percent": BenchUnit("% per %RH", 1e-2),
}
RADIAL_FIRST = "moisture_strain_radial_minus_tangential"
WORDS: Mapping[str, str] = {
    "modulus_gpa": "stiffness across",
    "poisson": "Poisson's ratio",
    "relaxation": "what slow relaxation leaves of the stiffness",
    "strength_mpa": "strength across",
    "toughness_mpa_m05": "toughness",
    "mismatch_percent": "how much more it moves tangentially than radially",
}
# The names under which the house keeps its own values of the same quantities.
HOUSE_NAMES: Mapping[str, tuple[str, ...]] = {
    "modulus_gpa": ("modulus_across", "modulus_tangential", "modulus"),
    "poisson": ("poisson",),
    "relaxation": ("relaxation_factor",),
    "strength_mpa": ("tensile_strength_across", "tensile_strength"),
    "toughness_mpa_m05": ("toughness_design", "toughness", "toughness_across"),
    "mismatch_percent": (RADIAL_FIRST,),
}
Place = tuple[str, str | None]
_OF_COLLAGEN: Mapping[str, Place] = {
    "modulus_gpa": ("modulus_across", None),
    "poisson": ("poisson", None),
    "strength_mpa": ("tensile_strength_across", None),
    "toughness_mpa_m05": ("toughness", None),
}
_OF_WOOD: Mapping[str, Place] = {
    "modulus_gpa": ("modulus_tangential", None),
    "poisson": ("poisson_longitudinal_radial", None),
    "strength_mpa": ("tensile_strength_across", None),
}
ROWS: Mapping[str, Mapping[str, Mapping[str, Place]]] = {
    "elephant ivory": {
        SOUND: {
            **_OF_COLLAGEN,
            "relaxation": ("relaxation_factor", None),
            "toughness_mpa_m05": ("toughness_design", None),
            "mismatch_percent": (RADIAL_FIRST, None),
        }
    },
    "mammoth ivory (sub-fossil)": {
        SOUND: {
            "modulus_gpa": ("modulus_across", "permafrost, well preserved"),
            "poisson": ("poisson", None),
            "toughness_mpa_m05": ("toughness_design", None),
        },
        LEACHED: {
            "modulus_gpa": ("modulus_across", "degraded, dry"),
            "poisson": ("poisson", None),
            "strength_mpa": ("tensile_strength_across", "degraded"),
            "toughness_mpa_m05": ("toughness_design", None),
        },
    },
    "cortical bone (fresh, dry)": {
        SOUND: {**_OF_COLLAGEN, "toughness_mpa_m05": ("toughness_splitting", None)}
    },
    "cortical bone (archaeological)": {BURIED: _OF_COLLAGEN},
    "antler (compact)": {SOUND: _OF_COLLAGEN},
    "horn (keratin)": {SOUND: _OF_COLLAGEN},
    "oak": {SOUND: {**_OF_WOOD, "toughness_mpa_m05": ("toughness_across", "TL or RL")}},
    "lime (Tilia)": {SOUND: {**_OF_WOOD, "toughness_mpa_m05": ("toughness_across", None)}},
}
RELAXED = Sourced.model_validate(
    {
        "value": {"family": "log_normal", "median": 0.55, "cv": 0.35},
        "kind": "estimated",
        "origin": "our general estimate for collagen and wood, days to months",
    }
)


def offered_materials() -> tuple[str, ...]:
    """Return the materials of objects that the table has, sorted."""
    return tuple(one for one in materials("substrate") if one in ROWS)


def matter_values(
    reader: Reader, material: str, preservation: str
) -> tuple[dict[str, Sourced], tuple[str, ...]]:
    """Return what is known of a material in a state and the ids of the entries that say so.

    The bench's own values, kept under the same state, stand before those of the table.
    """
    found: dict[str, Sourced] = {}
    read: list[str] = []
    rows = [row for row in own_rows(reader, material) if row.value.condition == preservation]
    for name, unit in UNITS.items():
        own = _own(rows, name, unit)
        if own is not None:
            found[name] = own[0]
            read.append(own[1])
    for name, (wanted, condition) in ROWS.get(material, {}).get(preservation, {}).items():
        row = material_value(material, wanted, condition)
        if row is not None:
            found.setdefault(name, sourced(row, 1 / UNITS[name].factor))
    wood = _wood_mismatch(material, preservation)
    if wood is not None:
        found.setdefault("mismatch_percent", wood)
    if "modulus_gpa" in found:
        found.setdefault("relaxation", RELAXED)
    return found, tuple(read)


def _own(rows: list[OwnRow], name: str, unit: BenchUnit) -> tuple[Sourced, str] | None:
    for wanted in HOUSE_NAMES[name]:
        for row in rows:
            if row.value.property == wanted:
                value = row.sourced(unit)
                return (_turned(value) if wanted == RADIAL_FIRST else value), row.entry_id
    return None


def _turned(value: Sourced) -> Sourced:
    """Return tangential minus radial of a value kept as radial minus tangential."""
    given = value.value
    if isinstance(given, dict) and set(given) == {"low", "typical", "high"}:
        points = {"low": "high", "typical": "typical", "high": "low"}
        turned = {name: -float(str(given[other])) for name, other in points.items()}
        return value.model_copy(update={"value": turned})
    if isinstance(given, dict) and given.get("family") == "random_sign":
        return value
    mean, sd = value.uncertain().mean, value.uncertain().sd
    return value.model_copy(update={"value": {"family": "normal", "mean": -mean, "sd": sd}})


def _wood_mismatch(material: str, preservation: str) -> Sourced | None:
    """Return tangential minus radial movement of wood, whose sources do not contradict."""
    if material not in ("oak", "lime (Tilia)") or preservation != SOUND:
        return None
    tangential = material_value(material, "moisture_strain_tangential")
    radial = material_value(material, "moisture_strain_radial")
    if tangential is None or radial is None:
        return None
    along, across = (sourced(row, 1e2).uncertain() for row in (tangential, radial))
    return Sourced(
        value={
            "family": "normal",
            "mean": along.mean - across.mean,
            "sd": math.hypot(along.sd, across.sd),
        },
        kind="derived",
        origin=f"{tangential.origin} less {radial.origin}"[:500],
    )
