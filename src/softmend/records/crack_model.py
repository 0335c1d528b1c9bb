"""What is said of one crack so that its mechanics can be asked: shape, matter, climate, fills.

Width and depth are the mark's own; a value that is not said here is looked up, or is not known.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN


class BodyAround(Enum):
    """What a crack runs into, as far as a simple shape can say it."""

    CYLINDER = "round shaft"
    HOLLOW = "hollow shaft"
    PLANE = "flat side"
    NOT_KNOWN = "not known"


class Basis(Enum):
    """What kind of number a person typed."""

    MEASURED = "measured"
    HANDBOOK = "handbook"
    MAKER = "maker's sheet"
    RECALLED = "recalled"
    ESTIMATED = "estimated"


@dataclass(frozen=True)
class Told:
    """A value as a person gives it: its 5, 50 and 95 % points, its kind, and what it rests on."""

    low: float
    typical: float
    high: float
    basis: Basis = Basis.ESTIMATED
    grounds: str = NOT_KNOWN


@dataclass(frozen=True)
class CrackModel:
    """What is said of one crack beside what is marked: `subject` is the mark's own id.

    `material` is a name of the table or the house's own; with `preservation` it decides which
    values hold. `mismatch_percent` is how much more the object moves tangentially than radially,
    in % for each %RH (of a flat side, how much is held back); positive opens on drying. Falls and
    rises are the largest that the object itself feels in a usual year.
    """

    body: BodyAround = BodyAround.NOT_KNOWN
    radius_mm: Told | None = None
    inner_radius_mm: Told | None = None
    material: str = NOT_KNOWN
    preservation: str = NOT_KNOWN
    modulus_gpa: Told | None = None
    poisson: Told | None = None
    relaxation: Told | None = None
    strength_mpa: Told | None = None
    toughness_mpa_m05: Told | None = None
    mismatch_percent: Told | None = None
    fall_percent: Told | None = None
    rise_percent: Told | None = None
    old_fill: str = NOT_KNOWN
    old_fill_grounds: str = NOT_KNOWN
    new_fill: str = NOT_KNOWN


# Field -> words, unit, least, most.
LIMITS: dict[str, tuple[str, str, float, float]] = {
    "radius_mm": ("The outer radius", "mm", 0.5, 5000),
    "inner_radius_mm": ("The inner radius", "mm", 0.1, 5000),
    "modulus_gpa": ("The stiffness", "GPa", 1e-4, 100),
    "poisson": ("Poisson's ratio", "", 0, 0.49),
    "relaxation": ("What relaxation leaves", "", 0.01, 1),
    "strength_mpa": ("The strength", "MPa", 0.01, 1000),
    "toughness_mpa_m05": ("The toughness", "MPa m^0.5", 0.001, 50),
    "mismatch_percent": ("The mismatch, tangential less radial", "% for each %RH", -0.5, 0.5),
    "fall_percent": ("The fall of humidity", "%RH", 0, 90),
    "rise_percent": ("The rise of humidity", "%RH", 0, 90),
}


def checked_model(model: CrackModel) -> CrackModel:
    """Return what was said of a crack if every value is possible and in order."""
    for name, (words, unit, least, most) in LIMITS.items():
        told: Told | None = getattr(model, name)
        if told is None:
            continue
        points = (told.low, told.typical, told.high)
        shown = f"{told.low:g}, {told.typical:g}, {told.high:g} {unit}".strip()
        if not all(math.isfinite(point) and least <= point <= most for point in points):
            raise InputError(
                f"{words} is outside what is possible",
                value=shown,
                allowed=f"{least:g} to {most:g} {unit}".strip(),
                remedy="Correct the number",
            )
        if not told.low < told.typical < told.high:
            raise InputError(
                f"{words} needs three points that rise: low, typical, high",
                value=shown,
                allowed="low below typical, typical below high",
                remedy="Nobody knows it exactly: say how far off you may be",
            )
    if model.body is BodyAround.HOLLOW and model.radius_mm and model.inner_radius_mm:
        ratio = model.inner_radius_mm.typical / model.radius_mm.typical
        if not 0 < ratio <= 0.9:
            raise InputError(
                "The hollow is not inside the shaft",
                value=f"{model.inner_radius_mm.typical:g} of {model.radius_mm.typical:g} mm",
                allowed="an inner radius of at most nine tenths of the outer",
            )
    return model
