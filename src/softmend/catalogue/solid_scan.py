"""A scan as an input: its file, and the one measured length that gives it a unit."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Estimate,
    Model,
    Number,
    Sourced,
    WorkingValue,
    printed,
    worked,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.solid.check import Shape
    from softmend.science.solid.mesh import Mesh

MM_PER_M = 1e3
MICROMETRE = 1e-6
UNITS = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "inch": 0.0254}
UNIT_SHARE = 0.03
"""How far a measured length may differ from the scan's for a named unit to be believed."""
BARE_SD = 0.0025
"""Relative sd of a length typed without an uncertainty: ± 0.5 % (k = 2)."""
LEAST_M, MOST_M = 1e-3, 20.0

ScanFile = Annotated[str, Field(min_length=1, max_length=1000)]
Place = Annotated[list[Number], Field(min_length=3, max_length=3)]
Traced3 = tuple[tuple[float, float, float], ...]
At = tuple[float, float, float]
NOT_LIFTING = (
    "Not a lifting calculation: weigh it; a competent person signs. Two people, the load limits of "
    "the gear and the house's own rules come first."
)


class MeasuredLength(Model):
    """One length measured on the object, which gives the scan its unit.

    `between` are two points of the scan in the file's own coordinates; left out, the length is the
    greatest distance between two points of the object. With `unit` named, the length confirms it.
    """

    length_mm: Sourced
    between: Annotated[list[Place], Field(min_length=2, max_length=2)] | None = None
    unit: Literal["by length", "mm", "cm", "m", "inch"] = "by length"


class ScanInput(Model):
    """A scan (PLY, STL, OBJ or GLB) and the measured length that gives it a unit.

    Points are in the file's own coordinates.
    """

    scan_file: ScanFile
    length: MeasuredLength | None = None


@dataclass(frozen=True, eq=False)
class CheckedScan:
    """A scan that was read and checked before, given in place of its file: it is not checked twice.

    Lengths are in the file's own unit.
    """

    shape: Shape
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Unit:
    """Metres to a unit of the file, the relative sd of it, and what it was agreed by."""

    factor: float
    sd_share: float
    words: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Scanned:
    """A checked scan in metres; places go back to the file's coordinates by `unit`."""

    shape: Shape
    unit: Unit
    notes: tuple[str, ...]

    def at(self, place: Any) -> At:
        """Return a place [m] in the file's own coordinates."""
        return in_file(place, self.unit.factor)

    def places(self, points: Any) -> Any:
        """Return points of the file in metres."""
        from softmend.science.solid.holding import vectors

        return vectors(points, self.unit.factor)

    @property
    def mesh(self) -> Mesh:
        """The object's surface, running one way [m]."""
        return self.shape.mesh


def in_file(place: Any, factor: float) -> At:
    """Return a place [m] in the file's own coordinates, to a thousandth of a millimetre."""
    digits = min(max(math.ceil(math.log10(factor / MICROMETRE)), 0), 9)
    x, y, z = (round(float(one) / factor, digits) + 0.0 for one in place)
    return x, y, z


def checked_scan(asked: Asked, field: str = "scan_file") -> tuple[Shape, tuple[str, ...]]:
    """Return a checked scan in the file's own unit, and what reading it noted."""
    from softmend.science.solid.check import checked_shape

    if field not in asked.files:
        raise InputError(
            f"No scan was given for {field}", allowed="PLY, STL, OBJ or GLB",
            remedy="name a scan file",
        )  # fmt: skip
    scan = asked.files[field]
    if isinstance(scan, CheckedScan):
        return scan.shape, scan.notes
    return checked_shape(scan.points, scan.faces), scan.notes


def told_mm(metres: float) -> str:
    """Return a length in millimetres to four figures, never as a power of ten."""
    return f"{float(f'{MM_PER_M * metres:.4g}'):.15g} mm"


def no_unit(shape: Shape) -> tuple[str, ...]:
    """Return why nothing can be told in mm or g yet: how long it would be under each unit."""
    longest = shape.greatest_length
    guesses = ", ".join(f"{told_mm(longest * unit)} if the file is in {name}"
                        for name, unit in UNITS.items())  # fmt: skip
    return (
        f"The scan has no unit until one length is measured on the object: its greatest length "
        f"would be {guesses}",
        "Give length.length_mm: the greatest length, or the distance between two points (between).",
    )


def unit_of(shape: Shape, length: MeasuredLength) -> Unit:
    """Return the unit that a measured length gives a scan; refuse a named unit that it belies."""
    measured = length.length_mm.uncertain()
    typical = measured.typical / MM_PER_M
    if not typical > 0:
        raise InputError("The measured length is not above 0", value=f"{1e3 * typical:g} mm")
    if length.between is None:
        own = shape.greatest_length
    else:
        from softmend.science.solid.holding import vectors

        ends = shape.mesh.nearest_points(vectors(length.between))[2]
        own = float(((ends[0] - ends[1]) ** 2).sum() ** 0.5)
    if not own > 0:
        raise InputError(
            "The two points of the measured length fall together", value="0 of the file's units",
            remedy="pick two points further apart",
        )  # fmt: skip
    found = typical / own
    sd = max(measured.sd / MM_PER_M / typical, 0.0)
    sd = sd if sd > 0 else BARE_SD
    words = [f"1 of the file's units is {MM_PER_M * found:.5g} mm by the measured length"]
    near = [name for name, unit in UNITS.items() if abs(found / unit - 1) < UNIT_SHARE]
    if length.unit != "by length":
        named = UNITS[length.unit]
        apart = abs(found / named - 1)
        if apart > max(UNIT_SHARE, 3 * sd):
            raise InputError(
                f"The measured length does not fit a scan in {length.unit}",
                value=f"{told_mm(typical)} measured, {told_mm(own * named)} scanned",
                allowed=f"within {100 * max(UNIT_SHARE, 3 * sd):.0f} %",
                remedy="leave the unit to the length, or measure again",
            )
        words = [f"in {length.unit}; the measured length agrees within {100 * apart:.2f} %"]
        found = named
    elif near:
        apart = abs(found / UNITS[near[0]] - 1)
        words.append(f"this fits a file in {near[0]} within {100 * apart:.2f} %")
    _check_size(shape.greatest_length * found)
    return Unit(found, sd, tuple(words))


def _check_size(size: float) -> None:
    if not LEAST_M <= size <= MOST_M:
        raise InputError(
            "The measured length makes the object too small or too large",
            value=f"{told_mm(size)} long",
            allowed="1 mm to 20 m",
            remedy="check the length and its two points",
        )


def scanned(given: ScanInput, asked: Asked) -> Scanned | tuple[str, ...]:
    """Return a scan in metres, or why it has no unit yet."""
    shape, notes = checked_scan(asked)
    if given.length is None:
        return no_unit(shape)
    unit = unit_of(shape, given.length)
    return Scanned(in_metres(shape, unit.factor), unit, notes)


def in_metres(shape: Shape, factor: float) -> Shape:
    """Return a checked scan with every length multiplied."""
    from dataclasses import replace

    return replace(
        shape,
        mesh=shape.mesh.scaled(factor),
        as_it_came=shape.as_it_came.scaled(factor),
        rims=tuple(
            replace(
                rim, length=rim.length * factor, across=rim.across * factor,
                centre=rim.centre * factor, cap_area=rim.cap_area * factor**2,
            )
            for rim in shape.rims
        ),
        shells=tuple(
            replace(
                shell, area=shell.area * factor**2, volume=shell.volume * factor**3,
                centre=shell.centre * factor,
            )
            for shell in shape.shells
        ),
    )  # fmt: skip


def length_working(given: ScanInput, scan: Scanned) -> tuple[WorkingValue, ...]:
    """Return the measured length and what it makes of the file's unit as lines of the working."""
    return unit_working(given, scan.unit)


def unit_working(given: ScanInput, unit: Unit) -> tuple[WorkingValue, ...]:
    """Return the measured length and the unit that it gives as lines of the working."""
    if given.length is None:
        return ()
    line = worked("length measured on the object", given.length.length_mm, "mm")
    words = "; ".join(unit.words)
    return line, WorkingValue(name="unit of the scan", text=words, kind="measured", origin="typed")


def ranged(low: float, typical: float, high: float, factor: float, unit: str) -> Estimate:
    """Return a range as an estimate in a bench unit, `factor` of which make the SI unit."""
    from softmend.science.uncertain import Band

    band = Band(low, typical, high).scaled(factor)
    half = max(band.high - band.typical, band.typical - band.low)
    expanded = half * 2 / 1.6449
    return Estimate(
        low=band.low,
        typical=band.typical,
        high=band.high,
        mean=band.typical,
        expanded=expanded,
        text=printed(band, band.typical, expanded, unit),
    )


class ScanAnswer(Answer):
    """What every answer about a scan tells: its states in words."""

    states: tuple[str, ...] = ()
