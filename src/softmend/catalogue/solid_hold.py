"""An object as it is to be held: which way is down, its weight, and pads along it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, model_validator

from softmend.catalogue.computation import Asked, Model, Number, Words
from softmend.catalogue.solid_mass import MassInput, Weighty, weighty
from softmend.catalogue.solid_scan import MM_PER_M, At, Place, in_file
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.solid.beam import Beam
    from softmend.science.solid.holding import Holding
    from softmend.science.uncertain import Array

Percent = Annotated[Number, Field(ge=0, le=100)]
PA_PER_KPA = 1e3
PLACES = 60
TOLD_SHARE = 1e-3


class Pad(Model):
    """A pad along the object, by its place in percent from the thicker end, or by a point."""

    at_percent: Percent | None = None
    at: Place | None = None

    @model_validator(mode="after")
    def _once(self) -> Pad:
        if (self.at_percent is None) == (self.at is None):
            raise ValueError("a place: at_percent, or at, and not both")
        return self


class Stretch(Model):
    """A stretch along the object where nothing may press, and why."""

    from_percent: Percent
    to_percent: Percent
    why: Words = "not said"


class HoldInput(MassInput):
    """A scan with its mass, which way is down, and how it is held.

    `down` is a direction in the file's coordinates. Without `pads`, two or three are placed.
    `foam_mpa` is the secant modulus of the pad from the maker's sheet at the load.
    """

    down: Place = Field(default=[0, 0, -1])
    pads: Annotated[list[Pad], Field(min_length=1, max_length=12)] | None = None
    place: Literal[2, 3] = 3
    support: Literal["saddle", "V block", "flat pad"] = "saddle"
    pad_length_mm: Annotated[Number, Field(gt=0, le=1000)] = 60
    half_angle_degrees: Annotated[Number, Field(ge=10, le=85)] = 45
    foam_mpa: Annotated[Number, Field(gt=0, le=100)] = 0.16
    foam_thickness_mm: Annotated[Number, Field(gt=0, le=500)] = 25
    pressure_limit_kpa: Annotated[Number, Field(gt=0, le=10_000)] = 10
    tipping_least: Annotated[Number, Field(ge=0, le=5)] = 0.3
    forbidden: list[Stretch] = Field(default=[], max_length=100)


@dataclass(frozen=True, eq=False)
class OnPads:
    """A beam to be laid on pads: down, weight, centre of gravity, metres to a unit of the file."""

    beam: Beam
    down: Array
    weight: float
    centre: Array
    spread: float
    factor: float

    @property
    def holding(self) -> Holding:
        """The beam over its supports, seen from above."""
        from softmend.science.solid.holding import Holding

        return Holding(self.beam, self.down, self.centre, self.spread)

    def at(self, place: Any) -> At:
        """Return a place [m] in the file's own coordinates."""
        return in_file(place, self.factor)

    def places(self, points: Any) -> Array:
        """Return points of the file in metres."""
        from softmend.science.solid.holding import vectors

        return vectors(points, self.factor)


@dataclass(frozen=True, eq=False)
class Held(OnPads):
    """An object on its supports, with its scan and where it may be touched [m, N]."""

    weighty: Weighty
    free: Array

    @property
    def percents(self) -> Any:
        """The candidates that are free, in percent from the thicker end."""
        return 100 * self.free / self.beam.length


def held(given: HoldInput, asked: Asked) -> Held | tuple[str, ...]:
    """Return an object as it is to be held, or why it cannot be said."""
    from softmend.science.solid.beam import beam_of
    from softmend.science.solid.bending import GRAVITY
    from softmend.science.solid.holding import direction

    found = weighty(given, asked)
    if isinstance(found, tuple):
        return found
    if found.mass is None and given.mass_g is None:
        return ("Its mass is not known: give density_g_per_ml, material or mass_g.",)
    beam = beam_of(found.scan.mesh)
    mass = given.mass_g.uncertain().typical / 1e3 if given.mass_g else None
    mass = mass if mass is not None else found.mass.mass.typical if found.mass else 0.0
    centre = found.mass.centre if found.mass else _mean_centre(found)
    spread = found.mass.spread if found.mass else 0.0
    free = _free(given, beam)
    down = direction(given.down)
    factor = found.scan.unit.factor
    return Held(beam, down, mass * GRAVITY, centre, spread, factor, found, free)


def _mean_centre(found: Weighty) -> Array:
    """Return the centre of what is left of the outer volume, whatever it weighs."""
    from softmend.science.solid.holding import vectors

    outer = found.outer
    if found.hollow is None:
        return vectors(outer.centres[1])
    left = outer.volume.typical - found.hollow.volume.typical
    moment = outer.volume.typical * outer.centres[1]
    return vectors((moment - found.hollow.volume.typical * found.hollow.centres[1]) / left)


def _free(given: HoldInput, beam: Beam) -> Array:
    """Return the places where a pad may stand, clear of forbidden stretches by half its length."""
    from softmend.science.solid.holding import free_places

    stretches = [
        (min(one.from_percent, one.to_percent) / 100, max(one.from_percent, one.to_percent) / 100)
        for one in given.forbidden
    ]
    return free_places(beam.length, PLACES, given.pad_length_mm / MM_PER_M / 2, stretches)


def pad_places(given: HoldInput, held_: OnPads) -> Array:
    """Return the distance of each given pad along the object; refuse one on a forbidden stretch."""
    from softmend.science.solid.holding import vectors

    found = []
    for pad in given.pads or []:
        if pad.at_percent is not None:
            found.append(pad.at_percent / 100 * held_.beam.length)
        else:
            found.append(held_.holding.nearest(held_.places(pad.at)))
    half = given.pad_length_mm / MM_PER_M / 2
    for at in found:
        for one in given.forbidden:
            low, high = sorted((one.from_percent, one.to_percent))
            length = held_.beam.length
            # Places are told to a tenth of a percent: a placed pad must not be refused for that.
            reach = half - TOLD_SHARE * length
            if low / 100 * length - reach < at < high / 100 * length + reach:
                raise InputError(
                    "A pad stands on a stretch that must not be touched",
                    value=f"{100 * at / length:.0f} %",
                    allowed=f"clear of {low:g} to {high:g} % by half a pad ({one.why})",
                    remedy="move the pad",
                )
    return vectors(sorted(found))


def pressure(given: HoldInput, force: float, radius: float) -> float:
    """Return the peak pressure under one support [Pa]."""
    from softmend.science.solid.contact import (
        flat_pad_pressure,
        saddle_pressure,
        v_block_pressure,
    )

    length = given.pad_length_mm / MM_PER_M
    bedding = given.foam_mpa * 1e6 / (given.foam_thickness_mm / MM_PER_M)
    half = math.radians(given.half_angle_degrees)
    if given.support == "saddle":
        return saddle_pressure(force, length, radius, half).peak
    if given.support == "V block":
        return v_block_pressure(force, length, radius, bedding, half)
    return flat_pad_pressure(force, length, radius, bedding)
