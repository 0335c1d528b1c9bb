"""A body that is no beam on three pads or more: what can still be said of how it stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from softmend.catalogue.solid_hold import MOST_UNSEEN, PA_PER_KPA, Weighed
from softmend.catalogue.solid_scan import MM_PER_M
from softmend.catalogue.solid_standing import (
    SupportsInput,
    pads_found,
    standing_notes,
    surface_notes,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from softmend.science.solid.bed import Footing
    from softmend.science.solid.stance import Below
    from softmend.science.uncertain import Array

NO_BENDING = (
    "Bending stress, places in percent and lifting straps are not given: they need a middle line. "
    "It is held as one rigid body."
)
FLAT_HERE = "A V block needs a middle line to run along: flat pads are told instead."
OWN_SHARE = 0.15
"""Where no size of a pad is given: this share of the body's breadth, up to the usual size."""
HOLDS_STILL = 0.8
"""Share of the angle of friction up to which a pad is placed on a slope."""


def standing_whole(
    given: SupportsInput, found: Weighed
) -> tuple[dict[str, Any], list[str]] | str:  # fmt: skip
    """Return how a body without a middle line stands on pads, or why it does not."""
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.stance import seen_below

    plumb = found.plumb
    below = seen_below(found.weighty.scan.mesh, plumb)
    if "pad_length_mm" not in given.model_fields_set:
        breadth = MM_PER_M * min(below.cell * len(below.x), below.cell * len(below.y))
        size = min(given.pad_length_mm, float(f"{OWN_SHARE * breadth:.2g}"))
        given = given.model_copy(update={"pad_length_mm": size})
    if given.pads and any(pad.at is None for pad in given.pads):
        return (
            "Pads in percent need a middle line, and this object has none: give each pad as a "
            "point of the scan (at)."
        )
    notes = [NO_BENDING, *([FLAT_HERE] if given.support == "V block" else [])]
    if not given.pads:
        notes.append(f"Three pads of {given.pad_length_mm:g} mm are placed where it tips last.")
    try:
        if given.pads:
            points = [pad.at for pad in given.pads if pad.at is not None]
            places = vectors(points, found.factor)
            plan = plumb.seen_from_above(places)
            feet: Sequence[Footing] = [_foot(given, below, one) for one in plan]
        else:
            feet = _placed(given, found, below)
    except InputError as refused:
        return refused.sentence()
    carried = plumb.carried(feet, found.weight)
    if len(feet) < 3 or not carried.stands:
        return (
            "It tips: three pads or more are needed round the plumb line of its centre of gravity. "
            "Move a pad beyond it."
        )
    push = given.push_height_mm / MM_PER_M if given.push_height_mm else None
    margin = plumb.tipping(feet, carried.forces, push)
    told: dict[str, Any] = {
        "pads": pads_found(found, [(None, foot.low) for foot in feet], feet, (plumb.down, carried)),
        "tipping_share": float(f"{margin.least:.2g}"),
        "tilt_degrees": round(margin.tilt_deg, 1),
        "tips_towards_degrees": round(margin.direction_deg),
        "slides_first": margin.least > given.friction,
        "slip_share": given.friction,
    }
    seen = feet, below.edge
    return told, [
        *notes, *standing_notes(given, told, carried), *surface_notes(given, found, told, seen)
    ]  # fmt: skip


def _foot(given: SupportsInput, below: Below, middle: Array) -> Footing:
    from softmend.science.solid.stance import body_footing

    bedding = given.foam_mpa * 1e6 / (given.foam_thickness_mm / MM_PER_M)
    carved = math.radians(given.half_angle_degrees) if given.support == "saddle" else None
    return body_footing(below, middle, _size(given), bedding, carved)


def _size(given: SupportsInput) -> tuple[float, float]:
    length = given.pad_length_mm / MM_PER_M
    return length, (given.pad_width_mm / MM_PER_M if given.pad_width_mm else length)


def _placed(given: SupportsInput, found: Weighed, below: Below) -> Sequence[Footing]:
    """Return the three pads on which it stands farthest from tipping within the pressure."""
    from softmend.science.solid.stance import standing_places, widest_stance

    steepest = HOLDS_STILL * math.atan(given.friction)
    places = standing_places(below, _size(given), steepest)
    feet = [_foot(given, below, one) for one in places]
    feet = [foot for foot in feet if foot.unseen <= MOST_UNSEEN]
    limit = given.pressure_limit_kpa * PA_PER_KPA
    chosen, least = widest_stance(found.plumb, feet, found.weight, limit, given.tipping_least)
    if chosen is not None:
        return [feet[k] for k in chosen]
    if math.isinf(least):
        raise InputError(
            "No three pads hold it with the margin asked for",
            value=f"{len(feet)} places level enough for a friction of {given.friction:g}",
            allowed=f"three round the plumb line, {given.tipping_least:g} of its weight to tip it",
            remedy="lay it another way (resting), use smaller pads, or tie it down",
        )
    raise InputError(
        f"No three pads of {given.pad_length_mm:g} mm stay within the pressure",
        value=f"{least / PA_PER_KPA:.3g} kPa at least",
        allowed=f"{given.pressure_limit_kpa:g} kPa",
        remedy="larger or softer pads, or shaped ones (saddle)",
    )
