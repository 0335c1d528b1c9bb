"""The unit in which each property of a material is shown and typed at the bench."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from softmend.errors import NotFoundError
from softmend.tables import table
from softmend.tables.materials import NAME

SECONDS_A_DAY = 86400.0


@dataclass(frozen=True)
class BenchUnit:
    """A unit as people write it, and how many of the table's unit make one of it."""

    text: str
    factor: float


MPA, GPA = BenchUnit("MPa", 1e6), BenchUnit("GPa", 1e9)
_OF_UNIT = {
    "1/%RH": BenchUnit("% per %RH", 1e-2),
    "1/K": BenchUnit("10⁻⁶/K", 1e-6),
    "J/m2": BenchUnit("J/m²", 1.0),
    "Pa": MPA,
    "Pa·m^0.5": BenchUnit("MPa·m^0.5", 1e6),
    "degC": BenchUnit("°C", 1.0),
    "kg/kg": BenchUnit("%", 1e-2),
    "kg/m3": BenchUnit("g/mL", 1e3),
    "m2/s": BenchUnit("mm²/d", 1e-6 / SECONDS_A_DAY),
    "pH": BenchUnit("pH", 1.0),
}
# Shares that are spoken of in percent; the other plain numbers stay plain.
_IN_PERCENT = {
    "elongation",
    "solids",
    "volumetric_shrinkage",
    "linear_setting_expansion",
    "porosity",
    "shrinkage_green_to_dry_radial",
    "shrinkage_green_to_dry_tangential",
    "total_change_along",
    "total_change_radial",
    "total_change_tangential",
    "total_shrinkage_across",
    "water_content",
    "water_uptake",
    "drying_strain_per_water_lost",
}
_OF_A_FILL = {"hard fill", "reversible fill", "own fill"}


@cache
def properties() -> dict[str, str]:
    """Return every property of the table of materials and its unit there, in order."""
    found = {str(row["property"]): str(row["unit"]) for row in table(NAME).rows}
    return dict(sorted(found.items()))


def unit_of(property_name: str, group: str = "") -> BenchUnit:
    """Return the unit of a property: fills are soft and keep MPa where bodies take GPa."""
    unit = properties().get(property_name)
    if unit is None:
        raise NotFoundError(
            "There is no property of that name",
            value=property_name,
            allowed=", ".join(properties()),
        )
    if unit == "Pa" and "modulus" in property_name and group not in _OF_A_FILL:
        return GPA
    if unit == "1":
        return BenchUnit("%", 1e-2) if property_name in _IN_PERCENT else BenchUnit("", 1.0)
    return _OF_UNIT[unit]


def unit_named(property_name: str, text: str) -> BenchUnit:
    """Return the unit of a property that is written so; MPa and GPa are both known."""
    known = [unit_of(property_name)]
    if properties()[property_name] == "Pa":
        known = [MPA, GPA]
    for unit in known:
        if unit.text == text:
            return unit
    raise NotFoundError(
        f"The {property_name.replace('_', ' ')} is not written in that unit",
        value=text,
        allowed=" or ".join(unit.text or "a plain number" for unit in known),
    )
