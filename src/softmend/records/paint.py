"""Paints, whites, binders and pulps of a bench, with every reading as it was made.

They belong to the house, like the shelf. The program ships none: a reading is the bench's own.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

LONGEST_NAME = 200


class PaintRole(Enum):
    """What a line of the paints is for."""

    PAINT = "paint"
    WHITE = "white"
    BINDER = "binder"
    PULP = "pulp"


class ReadingOf(Enum):
    """What lay under the instrument."""

    OVER_BLACK = "film over black"
    OVER_WHITE = "film over white"
    BARE_BLACK = "bare black"
    BARE_WHITE = "bare white"
    THICK = "thick pad or hiding film"
    MASSTONE = "masstone"
    TINT = "tint with white"
    WHITE_THICK = "the white alone, hiding"
    PULP_AND_SKIN = "pulp and clear skin"
    OTHER = "something else"


class Fades(Enum):
    """Whether a paint fades in light."""

    NO = "no"
    YES = "yes"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Reading:
    """One curve of reflectance, in shares of the light, and how it was measured.

    `file_sha256` is the file that it came from, kept as it was; "" for a curve that was typed.
    """

    name: str
    of: ReadingOf
    wavelengths_nm: tuple[float, ...]
    values: tuple[float, ...]
    geometry: str = NOT_KNOWN
    specular: str = NOT_KNOWN
    uv: str = NOT_KNOWN
    backing: str = NOT_KNOWN
    aperture_mm: float | None = None
    readings: int | None = None
    file_name: str = NOT_KNOWN
    file_sha256: str = ""

    @property
    def way(self) -> str:
        """Return how it was measured, in one line."""
        parts = [f"geometry {self.geometry}", f"specular {self.specular}", f"UV {self.uv}"]
        if self.aperture_mm is not None:
            parts.append(f"aperture {self.aperture_mm:g} mm")
        if self.readings is not None:
            parts.append(f"mean of {self.readings}")
        return ", ".join(parts)


@dataclass(frozen=True)
class PaintStock:
    """A bottle: dry paint and dry binder in it, and the mass of one drop, if it is dropped."""

    name: str
    paint_percent: float
    binder_percent: float = 0.0
    drop_g: float | None = None


@dataclass(frozen=True)
class Paint:
    """One paint, white, binder or pulp of this bench.

    `thickness_um` is the dry thickness of the films that were read, `paint_percent` the share of
    dry paint in them, `paint_in_tint_percent` that in the tint with white. `cards_are_matte` says
    that the bare black and white under the films were matte when they were read, not lacquered.
    """

    name: str
    role: PaintRole
    readings: tuple[Reading, ...] = ()
    thickness_um: float | None = None
    paint_percent: float = 100.0
    paint_in_tint_percent: float | None = None
    stocks: tuple[PaintStock, ...] = ()
    fades: Fades = Fades.NOT_KNOWN
    is_invented: bool = False
    note: str = NOT_KNOWN
    cards_are_matte: bool = False

    def reading(self, of: ReadingOf) -> Reading | None:
        """Return the newest reading of something, or None."""
        return next((one for one in reversed(self.readings) if one.of is of), None)


def checked_paint(paint: Paint) -> Paint:
    """Return a paint if it has a name, possible numbers, and readings that go together."""
    if not 0 < len(paint.name.strip()) <= LONGEST_NAME:
        raise InputError(
            "A paint needs a name",
            value=paint.name[:50],
            allowed=f"1 to {LONGEST_NAME} characters",
            remedy="Name it as you name it at the bench",
        )
    for stock in paint.stocks:
        _check_stock(paint.name, stock)
    for one in paint.readings:
        _check_reading(one)
    check_specular(paint.readings)
    return paint


def check_specular(readings: tuple[Reading, ...]) -> None:
    """Refuse readings with and without the surface light side by side; they never mix silently."""
    known = {one.specular: one.name for one in readings if one.specular != NOT_KNOWN}
    if len(known) > 1:
        raise InputError(
            "Readings with and without the specular part are mixed",
            value="; ".join(f"{name}: {way}" for way, name in known.items()),
            allowed="one way for all that are used together",
            remedy="Measure again in one way: surface light alone can move L* by 2 to 8",
        )


def ways_in_words(readings: tuple[Reading, ...]) -> tuple[str, ...]:
    """Return a sentence for each way of measuring in which the readings differ or is not told."""
    words = []
    for field, label in (("geometry", "geometry"), ("uv", "UV setting"), ("specular", "specular")):
        found = sorted({str(getattr(one, field)) for one in readings})
        if len(found) > 1:
            words.append(f"The readings differ in {label}: {', '.join(found)}.")
        elif found == [NOT_KNOWN]:
            words.append(f"The {label} of the readings is not known.")
    return tuple(words)


def _check_stock(name: str, stock: PaintStock) -> None:
    total = stock.paint_percent + stock.binder_percent
    if not (0 < stock.paint_percent <= 100 and stock.binder_percent >= 0 and total <= 100):
        raise InputError(
            f"The bottle “{stock.name}” of {name} holds an impossible share",
            value=f"{stock.paint_percent:g} % paint, {stock.binder_percent:g} % binder",
            allowed="paint above 0 %, both together at most 100 %",
        )
    if stock.drop_g is not None and not 0 < stock.drop_g <= 1:
        raise InputError(
            f"A drop of “{stock.name}” has an impossible mass",
            value=f"{stock.drop_g:g} g",
            allowed="above 0 to 1 g",
            remedy="Weigh 20 drops and divide by 20",
        )


def _check_reading(one: Reading) -> None:
    if len(one.wavelengths_nm) != len(one.values) or len(one.values) < 2:
        raise InputError(
            f"“{one.name}” is no curve",
            value=f"{len(one.values)} values, {len(one.wavelengths_nm)} wavelengths",
            allowed="one value for each of two wavelengths or more",
        )
    if not all(math.isfinite(value) and -0.01 <= value <= 1.5 for value in one.values):
        raise InputError(
            f"A reflectance of “{one.name}” is out of range",
            value=f"{min(one.values):.3g} to {max(one.values):.3g}",
            allowed="0 to 1 as shares of the light",
            remedy="Say on the import page whether the file is in percent",
        )
