"""An object standing on given supports: what each carries and presses, how high it stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import Model, Number
from softmend.catalogue.solid_hold import PA_PER_KPA, HoldInput, OnPads, footing
from softmend.catalogue.solid_scan import MM_PER_M, At
from softmend.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from softmend.science.solid.bed import Footing
    from softmend.science.solid.support import Reactions

PA_PER_MPA, MM2_PER_M2 = 1e6, 1e6
SEEN_HOLE, UNEVEN_MM = 0.02, 1.0
"""A hole over more than this share of a pad is told; so is unevenness of this and of two edges."""


class SupportsInput(HoldInput):
    """An object as it is held, how slippery the pads are, and where it may be pushed."""

    friction: Annotated[Number, Field(gt=0, le=2)] = 0.4
    push_height_mm: Annotated[Number, Field(gt=0, le=5000)] | None = None


class PadFound(Model):
    """One pad: where, what it carries on springs and at worst, how hard it presses, how high it is.

    `height_mm` is that of its lowest line, loaded, above the lowest of the pads; unloaded it
    stands higher by `sinks_mm`. `under` is the middle of what touches, `contact_mm2` how much.
    `uneven_mm` is how far the surface over it departs from an even one, high to low.
    """

    at_percent: float
    at: At
    force_n: float
    least_n: float
    most_n: float
    pressure_kpa: float
    worst_pressure_kpa: float
    under: At
    height_mm: float
    sinks_mm: float
    contact_mm2: float
    slope_degrees: float
    uneven_mm: float


def standing_on_pads(
    given: SupportsInput, found: OnPads, at: Any
) -> tuple[dict[str, Any], list[str]] | str:
    """Return what the pads carry and how far it is from tipping, or why it does not stand."""
    from softmend.science.solid.bending import bending_stress

    holding = found.holding
    try:
        feet = [footing(given, found.undersides, float(one)) for one in at]
    except InputError as refused:
        return refused.sentence()
    carried = holding.carried(feet, found.weight)
    if not carried.stands:
        return (
            "It tips: the plumb line of its centre of gravity falls outside these supports. Move a "
            "support beyond it."
        )
    push = given.push_height_mm / MM_PER_M if given.push_height_mm else None
    margin = holding.tipping(feet, carried.forces, push)
    told: dict[str, Any] = {
        "pads": _pads(found, at, feet, carried),
        "tipping_share": float(f"{margin.least:.2g}"),
        "tilt_degrees": round(margin.tilt_deg, 1),
        "tips_towards_degrees": round(margin.direction_deg),
        "slides_first": margin.least > given.friction,
        "slip_share": given.friction,
    }
    if not found.beam.reasons:
        length = given.pad_length_mm / MM_PER_M
        stress = bending_stress(
            found.beam, holding.supports(at, carried.forces, length), found.weight, found.down
        )
        told["stress_mpa"] = float(f"{stress.largest / PA_PER_MPA:.2g}")
        told["stress_at_percent"] = round(100 * stress.worst_at / found.beam.length)
    rolls = _rolls(found, feet) if given.support == "flat pad" else []
    return told, [*_notes(given, told, carried), *rolls, *_surface_notes(given, found, told, feet)]


def _pads(
    found: OnPads, at: Any, feet: Sequence[Footing], carried: Reactions
) -> tuple[PadFound, ...]:
    lines = [float(foot.apex @ found.down) for foot in feet]
    return tuple(
        _pad(found, (float(at[k]), foot, max(lines) - lines[k]), carried, k)
        for k, foot in enumerate(feet)
    )


def _pad(
    found: OnPads, standing: tuple[float, Footing, float], carried: Reactions, k: int
) -> PadFound:
    at, foot, height = standing
    force, most = float(carried.forces[k]), float(carried.high[k])
    places, area = foot.touched(max(force, 1e-9))
    return PadFound(
        at_percent=round(100 * at / found.beam.length, 1),
        at=found.at(found.beam.place(at)),
        force_n=float(f"{force:.3g}"),
        least_n=float(f"{carried.low[k]:.3g}"),
        most_n=float(f"{most:.3g}"),
        pressure_kpa=float(f"{foot.peak(force) / PA_PER_KPA:.3g}"),
        worst_pressure_kpa=float(f"{foot.peak(max(most, force)) / PA_PER_KPA:.3g}"),
        under=found.at(places.mean(axis=0)),
        height_mm=round(MM_PER_M * height, 1),
        sinks_mm=float(f"{MM_PER_M * foot.sink(force):.2g}"),
        contact_mm2=float(f"{MM2_PER_M2 * area:.2g}"),
        slope_degrees=round(math.degrees(foot.slope), 1),
        uneven_mm=float(f"{MM_PER_M * foot.uneven:.2g}"),
    )


def _notes(given: SupportsInput, told: dict[str, Any], carried: Reactions) -> list[str]:
    notes = []
    loose = [pad.at_percent for pad in told["pads"] if pad.force_n <= 1e-6]
    if loose:
        notes.append(f"The pad at {loose[0]:g} % carries nothing: the object lifts off it.")
    if (carried.high - carried.low).max() > 0.02 * carried.forces.sum():
        notes.append(
            "With these pads statics leaves a range: where pads are hard or not level, each may "
            "carry anything from its least to its most."
        )
    hard = [pad for pad in told["pads"] if pad.worst_pressure_kpa > given.pressure_limit_kpa]
    if hard:
        notes.append(
            f"The pad at {hard[0].at_percent:g} % may press with {hard[0].worst_pressure_kpa:g} "
            f"kPa, above {given.pressure_limit_kpa:g} kPa."
        )
    if told["tipping_share"] < given.tipping_least:
        notes.append(
            f"It tips at a push of {told['tipping_share']:g} of its weight, less than "
            f"{given.tipping_least:g}: tie it down or widen the supports."
        )
    return notes


def _surface_notes(
    given: SupportsInput, found: OnPads, told: dict[str, Any], feet: Sequence[Footing]
) -> Iterator[str]:
    """Return what the real surface over each pad has to say of it."""
    thick = given.foam_thickness_mm
    for pad, foot in zip(told["pads"], feet, strict=True):
        name = f"pad at {pad.at_percent:g} %"
        if foot.unseen > SEEN_HOLE:
            yield (
                f"The scan has a hole over the {name}: {100 * foot.unseen:.0f} % of the surface on "
                "it was not seen."
            )
        if foot.other > SEEN_HOLE:
            yield (
                f"Another part of the object hangs lower over {100 * foot.other:.0f} % of the "
                f"{name}: what is told holds for the rest of it only."
            )
        if pad.uneven_mm > max(UNEVEN_MM, 2 * MM_PER_M * _edge(found)):
            where = ", ".join(f"{x:.4g}" for x in found.at(foot.dip_place))
            yield (
                f"The surface over the {name} is uneven by {pad.uneven_mm:g} mm (deepest dip "
                f"{MM_PER_M * foot.dip:.2g} mm at {where}): a step, a hole or a crack; look before "
                "it is set down there."
            )
        if pad.sinks_mm > 0.5 * thick:
            yield (
                f"Over the {name} the foam would be pressed in by {pad.sinks_mm:g} of its "
                f"{thick:g} mm: its modulus no longer holds; use a longer, wider or stiffer pad."
            )
        if math.tan(math.radians(abs(pad.slope_degrees))) > given.friction:
            yield (
                f"The surface over the {name} slopes by {abs(pad.slope_degrees):.0f}°, more than a "
                f"friction of {given.friction:g} holds "
                f"({math.degrees(math.atan(given.friction)):.0f}°): it slides off unless stopped."
            )


def _edge(found: OnPads) -> float:
    """Return how finely the underside was measured [m]."""
    return found.undersides[0].edge


def _rolls(found: OnPads, feet: Sequence[Footing]) -> list[str]:
    """Say whether the object would roll on flat pads until they carry it."""
    from softmend.science.solid.contact import foundation_contact
    from softmend.science.solid.holding import together

    beds = [foot.beds[0] for foot in feet]
    gaps, places, areas, pads = together(beds)
    settled = foundation_contact(
        gaps, found.holding.seen_from_above(places), pads, areas, beds[0].bedding, found.weight,
        found.holding.seen_from_above(found.centre[None])[0],
    )  # fmt: skip
    if settled.holds:
        return []
    return [
        "Flat pads do not hold this shape: it rolls by more than 5° before they carry it. Use a V "
        "or a shaped pad."
    ]
