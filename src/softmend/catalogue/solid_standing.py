"""An object standing on given supports: what each carries and presses, how high it stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import Model, Number
from softmend.catalogue.solid_hold import PA_PER_KPA, HoldInput, OnPads, Weighed, footing
from softmend.catalogue.solid_scan import MM_PER_M, At
from softmend.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from softmend.science.solid.bed import Footing
    from softmend.science.solid.support import Reactions
    from softmend.science.uncertain import Array

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
    `uneven_mm` is how far the surface over it departs from an even one, high to low. A body
    without a middle line has no `at_percent`.
    """

    at_percent: float | None
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
    seen = feet, found.undersides[0].edge
    return told, [
        *standing_notes(given, told, carried), *rolls, *surface_notes(given, found, told, seen)
    ]  # fmt: skip


def _pads(
    found: OnPads, at: Any, feet: Sequence[Footing], carried: Reactions
) -> tuple[PadFound, ...]:
    places = [(round(100 * float(one) / found.beam.length, 1), found.beam.place(one)) for one in at]
    return pads_found(found, places, feet, (found.down, carried))


def pads_found(
    found: OnPads | Weighed, places: Sequence[tuple[float | None, Array]],
    feet: Sequence[Footing], standing: tuple[Array, Reactions],
) -> tuple[PadFound, ...]:  # fmt: skip
    """Return every pad with what it carries, presses and how high it stands."""
    down, carried = standing
    lines = [float(foot.apex @ down) for foot in feet]
    told = []
    for k, ((percent, place), foot) in enumerate(zip(places, feet, strict=True)):
        force, most = float(carried.forces[k]), float(carried.high[k])
        touched, area = foot.touched(max(force, 1e-9))
        told.append(
            PadFound(
                at_percent=percent,
                at=found.at(place),
                force_n=float(f"{force:.3g}"),
                least_n=float(f"{carried.low[k]:.3g}"),
                most_n=float(f"{most:.3g}"),
                pressure_kpa=float(f"{foot.peak(force) / PA_PER_KPA:.3g}"),
                worst_pressure_kpa=float(f"{foot.peak(max(most, force)) / PA_PER_KPA:.3g}"),
                under=found.at(touched.mean(axis=0)),
                height_mm=round(MM_PER_M * (max(lines) - lines[k]), 1),
                sinks_mm=float(f"{MM_PER_M * foot.sink(force):.2g}"),
                contact_mm2=float(f"{MM2_PER_M2 * area:.2g}"),
                slope_degrees=round(math.degrees(foot.slope), 1),
                uneven_mm=float(f"{MM_PER_M * foot.uneven:.2g}"),
            )
        )
    return tuple(told)


def standing_notes(given: SupportsInput, told: dict[str, Any], carried: Reactions) -> list[str]:
    """Return what is to be said of the loads, pressures and margin on some pads."""
    notes = []
    loose = [pad for pad in told["pads"] if pad.force_n <= 1e-6]
    if loose:
        notes.append(f"The {pad_name(loose[0])} carries nothing: the object lifts off it.")
    if (carried.high - carried.low).max() > 0.02 * carried.forces.sum():
        notes.append(
            "With these pads statics leaves a range: where pads are hard or not level, each may "
            "carry anything from its least to its most."
        )
    hard = [pad for pad in told["pads"] if pad.worst_pressure_kpa > given.pressure_limit_kpa]
    if hard:
        notes.append(
            f"The {pad_name(hard[0])} may press with {hard[0].worst_pressure_kpa:g} "
            f"kPa, above {given.pressure_limit_kpa:g} kPa."
        )
    if told["tipping_share"] < given.tipping_least:
        notes.append(
            f"It tips at a push of {told['tipping_share']:g} of its weight, less than "
            f"{given.tipping_least:g}: tie it down or widen the supports."
        )
    return notes


def surface_notes(
    given: SupportsInput, found: OnPads | Weighed, told: dict[str, Any],
    seen: tuple[Sequence[Footing], float],
) -> Iterator[str]:  # fmt: skip
    """Return what the real surface over each pad has to say of it."""
    thick = given.foam_thickness_mm
    feet, edge = seen
    for pad, foot in zip(told["pads"], feet, strict=True):
        name = pad_name(pad)
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
        if pad.uneven_mm > max(UNEVEN_MM, 2 * MM_PER_M * edge):
            where = ", ".join(f"{x:.4g}" for x in found.at(foot.dip_place))
            yield (
                f"The surface over the {name} is uneven by {pad.uneven_mm:g} mm (deepest dip "
                f"{MM_PER_M * foot.dip:.2g} mm at {where}): a knob, a step, a hole or a "
                "crack; look before it is set down there."
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


def pad_name(pad: PadFound) -> str:
    """Return what a pad is called in a sentence."""
    if pad.at_percent is not None:
        return f"pad at {pad.at_percent:g} %"
    return "pad at " + ", ".join(f"{x:.4g}" for x in pad.under)


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
