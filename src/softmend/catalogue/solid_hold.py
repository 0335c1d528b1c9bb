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
    from softmend.science.solid.bed import Footing
    from softmend.science.solid.holding import Holding, Plumb
    from softmend.science.solid.mesh import Mesh
    from softmend.science.solid.underside import Underside
    from softmend.science.uncertain import Array

Percent = Annotated[Number, Field(ge=0, le=100)]
PA_PER_KPA = 1e3
PLACES = 60
UPRIGHT_DEGREES = 60.0
FOLLOWS = 0.5
"""Share of its padding's thickness by which the surface over a pad may depart from an even one."""
MOST_UNSEEN = 0.2
"""Share of a pad that may meet a hole of the scan or another part, for a place to be taken."""
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

    `down` is a direction in the file's coordinates; left out, the object lies as it most likely
    rests by itself. Without `pads`, two or three are placed.
    `foam_mpa` is the secant modulus of the pad from the maker's sheet at the load. A flat pad
    reaches right across the object unless `pad_width_mm` says less.
    """

    down: Place | None = None
    pads: Annotated[list[Pad], Field(min_length=1, max_length=12)] | None = None
    place: Literal[2, 3] = 3
    support: Literal["saddle", "V block", "flat pad"] = "saddle"
    pad_length_mm: Annotated[Number, Field(gt=0, le=1000)] = 60
    pad_width_mm: Annotated[Number, Field(gt=0, le=2000)] | None = None
    half_angle_degrees: Annotated[Number, Field(ge=10, le=85)] = 45
    foam_mpa: Annotated[Number, Field(gt=0, le=100)] = 0.16
    foam_thickness_mm: Annotated[Number, Field(gt=0, le=500)] = 25
    pressure_limit_kpa: Annotated[Number, Field(gt=0, le=10_000)] = 10
    tipping_least: Annotated[Number, Field(ge=0, le=5)] = 0.3
    forbidden: list[Stretch] = Field(default=[], max_length=500)


@dataclass(frozen=True, eq=False)
class OnPads:
    """A beam to be laid on pads: down, weight, centre of gravity, metres to a unit of the file.

    `undersides` are its real lower surface: straight from below, or at both flanks of a V.
    """

    beam: Beam
    undersides: tuple[Underside, ...]
    down: Array
    weight: float
    centre: Array
    spread: float
    factor: float

    @property
    def holding(self) -> Holding:
        """The beam over its supports, seen from above."""
        from softmend.science.solid.holding import Holding

        return Holding(self.down, self.centre, self.spread, self.beam)

    def at(self, place: Any) -> At:
        """Return a place [m] in the file's own coordinates."""
        return in_file(place, self.factor)

    def places(self, points: Any) -> Array:
        """Return points of the file in metres."""
        from softmend.science.solid.holding import vectors

        return vectors(points, self.factor)


@dataclass(frozen=True, eq=False)
class Held(OnPads):
    """An object on its supports, with its scan, where it may be touched and what stands there."""

    weighty: Weighty
    free: Array
    feet: tuple[Footing, ...]

    @property
    def percents(self) -> Any:
        """The candidates that are free, in percent from the thicker end."""
        return 100 * self.free / self.beam.length


@dataclass(frozen=True, eq=False)
class Weighed:
    """An object with its weight, which way is down, and metres to a unit of the file."""

    weighty: Weighty
    plumb: Plumb
    weight: float
    factor: float

    def at(self, place: Any) -> At:
        """Return a place [m] in the file's own coordinates."""
        return in_file(place, self.factor)


def weighed(given: HoldInput, asked: Asked) -> Weighed | tuple[str, ...]:
    """Return an object with its weight and which way is down, or why there is none."""
    from softmend.science.solid.bending import GRAVITY
    from softmend.science.solid.holding import Plumb, direction
    from softmend.science.solid.poses import resting_poses

    found = weighty(given, asked)
    if isinstance(found, tuple):
        return found
    if found.mass is None and given.mass_g is None:
        return ("Its mass is not known: give density_g_per_ml, material or mass_g.",)
    mass = given.mass_g.uncertain().typical / 1e3 if given.mass_g else None
    mass = mass if mass is not None else found.mass.mass.typical if found.mass else 0.0
    if not mass > 0:
        raise InputError("The mass is not above 0", value=f"{1e3 * mass:g} g")
    centre = found.mass.centre if found.mass else _mean_centre(found)
    spread = found.mass.spread if found.mass else 0.0
    if given.down is not None:
        down = direction(given.down)
    else:
        poses = resting_poses(found.scan.mesh.points, centre, 1)
        down = poses[0].down if poses else direction([0.0, 0.0, -1.0])
    return Weighed(found, Plumb(down, centre, spread), mass * GRAVITY, found.scan.unit.factor)


def held(given: HoldInput, asked: Asked) -> Held | tuple[str, ...]:
    """Return an object as it is to be held along its middle line, or why it cannot be said."""
    found = weighed(given, asked)
    return found if isinstance(found, tuple) else lying(given, found)


def lying(given: HoldInput, found: Weighed) -> Held:
    """Return an object lying along its middle line; refuse one that has none or stands on end."""
    from softmend.science.solid.beam import beam_of

    mesh, plumb = found.weighty.scan.mesh, found.plumb
    beam = beam_of(mesh)
    rise = math.degrees(math.asin(min(float(abs(beam.along @ plumb.down).mean()), 1.0)))
    if rise > UPRIGHT_DEGREES and not is_long(beam):
        raise InputError(
            "It is no long body to be held along a middle line",
            value="; ".join(beam.reasons) or f"{MM_PER_M * beam.length:.0f} mm",
            allowed="5 diameters or more",
        )
    if rise > UPRIGHT_DEGREES:
        raise InputError(
            "Its middle line stands upright with this direction down",
            value=f"{rise:.0f} degrees from level",
            allowed=f"0 to {UPRIGHT_DEGREES:g} degrees for pads along it",
            remedy="name the direction down in which it lies, or leave it out",
        )
    undersides = undersides_of(given, mesh, beam, plumb.down)
    free, feet = _standing_places(given, undersides, _free(given, beam))
    return Held(
        beam, undersides, plumb.down, found.weight, plumb.centre, plumb.spread, found.factor,
        found.weighty, free, feet,
    )  # fmt: skip


def is_long(beam: Beam) -> bool:
    """Say whether a body is long enough for pads one after the other along it."""
    from softmend.science.solid.beam import SLENDER

    return beam.length >= SLENDER * 2 * float(sorted(beam.radii)[int(0.9 * len(beam.radii))])


def undersides_of(given: HoldInput, mesh: Mesh, beam: Beam, down: Array) -> tuple[Underside, ...]:
    """Return the real lower surface as the supports meet it: from below, or at both flanks."""
    from softmend.science.solid.underside import underside_of

    if given.support != "V block":
        return (underside_of(mesh, beam, down),)
    lean = math.pi / 2 - math.radians(given.half_angle_degrees)
    return underside_of(mesh, beam, down, lean), underside_of(mesh, beam, down, -lean)


def footing(given: HoldInput, undersides: tuple[Underside, ...], at: float) -> Footing:
    """Return what one support meets at a distance along the object [m]."""
    from softmend.science.solid.footing import flat_footing, saddle_footing, v_footing

    length = given.pad_length_mm / MM_PER_M
    bedding = given.foam_mpa * 1e6 / (given.foam_thickness_mm / MM_PER_M)
    half = math.radians(given.half_angle_degrees)
    if given.support == "saddle":
        return saddle_footing(undersides[0], at, length, half, bedding)
    if given.support == "V block":
        return v_footing((undersides[0], undersides[1]), at, length, half, bedding)
    width = given.pad_width_mm / MM_PER_M / 2 if given.pad_width_mm else None
    return flat_footing(undersides[0], at, length, bedding, width)


def _standing_places(
    given: HoldInput, undersides: tuple[Underside, ...], free: Array
) -> tuple[Array, tuple[Footing, ...]]:
    """Return the free places over which the scan shows the object's own underside, and feet."""
    from softmend.science.solid.holding import vectors

    found = []
    for at in free:
        try:
            foot = footing(given, undersides, float(at))
        except InputError:
            continue
        if foot.other <= MOST_UNSEEN and foot.unseen <= MOST_UNSEEN:
            found.append((float(at), foot))
    # A knob or a dip that the padding cannot follow is no place for a pad while others are left.
    follows = FOLLOWS * given.foam_thickness_mm / MM_PER_M
    even = [(at, foot) for at, foot in found if foot.uneven <= follows]
    found = even if len(even) >= 2 * given.place else found
    return vectors([at for at, _foot in found]), tuple(foot for _at, foot in found)


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
