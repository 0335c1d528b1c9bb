"""How an object should be held: reactions, pressure, tipping, places, resting and lifting."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import Any

from softmend.catalogue.computation import Asked, Computation, Model
from softmend.catalogue.solid_hold import (
    PA_PER_KPA,
    Held,
    HoldInput,
    Weighed,
    is_long,
    lying,
    pad_places,
    weighed,
)
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    NOT_LIFTING,
    At,
    ScanAnswer,
    length_working,
)
from softmend.catalogue.solid_standing import (
    PA_PER_MPA,
    PadFound,
    SupportsInput,
    standing_on_pads,
)
from softmend.catalogue.solid_whole import standing_whole
from softmend.errors import InputError

PAD_LIMIT = (
    "Pressure limits are those of the pad, not of the object's surface: for gesso, paint, flaking "
    "or mineralised surfaces no general figure is known; set your own."
)
CRACKS = "Unknown cracks inside void every stress figure."
NO_CLIMBING = "Friction, creep of the foam and knocks on the way are not in these numbers."
BY_PRESSURE = "The pads are placed by the least pressure, since its bending cannot be told."
TAIL = (NOT_LIFTING, PAD_LIMIT, CRACKS, NO_CLIMBING)


class LayoutFound(Model):
    """One way to place pads: it allows this pressure and bends this little."""

    at_percent: tuple[float, ...]
    force_n: tuple[float, ...]
    pressure_kpa: float
    stress_mpa: float
    tipping_share: float


class RestingPose(Model):
    """A way in which the object rests by itself: what points down, how likely, how steady."""

    down: At
    share_percent: float
    tilt_degrees: float


class SupportsAnswer(ScanAnswer):
    """Pads with their loads, how far it is from tipping and sliding, and other ways to place them.

    The thicker end is 0 percent; `ends` are both ends in the file's coordinates.
    """

    mass_g: float | None = None
    centre: At | None = None
    down: At | None = None
    ends: tuple[At, ...] = ()
    length_mm: float | None = None
    pads: tuple[PadFound, ...] = ()
    stress_mpa: float | None = None
    stress_at_percent: float | None = None
    tipping_share: float | None = None
    tilt_degrees: float | None = None
    tips_towards_degrees: float | None = None
    slides_first: bool | None = None
    slip_share: float | None = None
    trade_off: tuple[LayoutFound, ...] = ()
    resting: tuple[RestingPose, ...] = ()
    lifting: LayoutFound | None = None


def solid_supports(given: SupportsInput, asked: Asked) -> SupportsAnswer:
    """Return how an object stands on its supports, or why that cannot be said."""
    weight = weighed(given, asked)
    if isinstance(weight, tuple):
        return SupportsAnswer(answer="cannot say", reasons=weight)
    scan = weight.weighty.scan
    general: dict[str, Any] = {
        "states": tuple(str(state) for state in scan.shape.states),
        "mass_g": float(f"{weight.weight / 9.80665 * 1e3:.4g}"),
        "centre": scan.at(weight.plumb.centre),
        "down": _rounded(weight.plumb.down),
        "resting": _resting(weight),
        "working": length_working(given, scan),
    }
    try:
        found = lying(given, weight)
    except InputError as refused:
        return _whole(given, weight, general, [refused.sentence()])
    general |= {
        "ends": (scan.at(found.beam.place(0.0)), scan.at(found.beam.place(found.beam.length))),
        "length_mm": float(f"{MM_PER_M * found.beam.length:.4g}"),
    }
    doubts = [f"Not a beam: {why}." for why in found.beam.reasons]
    by_points = bool(given.pads) and all(pad.at is not None for pad in given.pads or ())
    if doubts and (by_points or (not given.pads and not is_long(found.beam))):
        return _whole(given, weight, general, doubts)
    at = pad_places(given, found) if given.pads else None
    if at is not None:
        return _standing(given, found, general, (at, None, doubts))
    layouts, at, chosen = _placed(given, found)
    if at is None and doubts:
        return _whole(given, weight, general, [*doubts, *chosen])
    if at is None:
        return SupportsAnswer(
            answer="cannot say", reasons=tuple(chosen), warnings=TAIL,
            trade_off=_curve(given, found, layouts), **general,
        )  # fmt: skip
    return _standing(given, found, general, (at, layouts, [*doubts, *chosen]))


def _whole(
    given: SupportsInput, weight: Weighed, general: dict[str, Any], why: list[str]
) -> SupportsAnswer:
    """Return how a body stands as a whole: no bending, and why."""
    standing = standing_whole(given, weight)
    notes = weight.weighty.scan.notes
    if isinstance(standing, str):
        return SupportsAnswer(
            answer="cannot say", reasons=(standing, *why), warnings=(*notes, *TAIL), **general
        )
    told, said = standing
    return SupportsAnswer(warnings=(*notes, *why, *said, *TAIL), **general, **told)


def _standing(
    given: SupportsInput, found: Held, general: dict[str, Any],
    placed: tuple[Any, Any, list[str]],
) -> SupportsAnswer:  # fmt: skip
    """Return how it stands on pads along its middle line."""
    at, layouts, said = placed
    warnings = (*found.weighty.scan.notes, *said)
    standing = standing_on_pads(given, found, at)
    if isinstance(standing, str):
        return SupportsAnswer(
            answer="cannot say", reasons=(standing,), warnings=(*warnings, *TAIL), **general
        )
    told, notes = standing
    return SupportsAnswer(
        trade_off=_curve(given, found, layouts),
        lifting=_lifting(given, found),
        warnings=(*warnings, *notes, *TAIL),
        **general,
        **told,
    )


def _placed(given: SupportsInput, found: Held) -> tuple[Any, Any, list[str]]:
    """Return every layout, the places of the best one within the limits, and what to say of it."""
    few = "Too few places are left for its pads: free more of the object, or give pads yourself."
    if len(found.free) < given.place:
        return None, None, [few]
    layouts = candidates(given, found).layouts(given.place)
    if not len(layouts.at):
        return None, None, ["No places are left on which only pushing pads hold it."]
    limit = given.pressure_limit_kpa * PA_PER_KPA
    if found.beam.reasons:
        best, said = layouts.gentlest(given.tipping_least), [BY_PRESSURE]
        best = best if best is not None and layouts.pressure[best] <= limit else None
    else:
        best, said = layouts.best(limit, given.tipping_least), []
    if best is not None:
        return layouts, layouts.at[best], said
    gentlest = layouts.gentlest(given.tipping_least)
    if gentlest is None:
        return layouts, None, [
            f"No places hold it with a tipping margin of {given.tipping_least:g}: widen the pads, "
            "lower it, or tie it down."
        ]  # fmt: skip
    least = layouts.pressure[gentlest] / PA_PER_KPA
    return layouts, None, [
        f"No {given.place} pads of {given.pad_length_mm:g} mm stay within "
        f"{given.pressure_limit_kpa:g} kPa; the least that can be had is {least:.3g} kPa: longer "
        "or more pads, or a wider saddle, bring it down."
    ]  # fmt: skip


def candidates(given: HoldInput, found: Held) -> Any:
    """Return the places where pads may stand, ready to be tried together."""
    from softmend.science.solid.placement import Candidates, Saddle

    saddle = Saddle(given.pad_length_mm / MM_PER_M, math.radians(given.half_angle_degrees))
    return Candidates(
        found.beam, found.free, saddle, found.weight, found.down, found.centre, found.spread,
        found.feet,
    )  # fmt: skip


def _layout(found: Held, layouts: Any, k: int) -> LayoutFound:
    return LayoutFound(
        at_percent=tuple(round(100 * float(x) / found.beam.length, 1) for x in layouts.at[k]),
        force_n=tuple(float(f"{x:.3g}") for x in layouts.forces[k]),
        pressure_kpa=float(f"{layouts.pressure[k] / PA_PER_KPA:.3g}"),
        stress_mpa=float(f"{layouts.stress[k] / PA_PER_MPA:.2g}"),
        tipping_share=float(f"{layouts.margin[k]:.2g}"),
    )


def _curve(given: SupportsInput, found: Held, layouts: Any) -> tuple[LayoutFound, ...]:
    if layouts is None or found.beam.reasons:
        return ()
    return tuple(_layout(found, layouts, k) for k in layouts.trade_off(given.tipping_least))


def _lifting(given: SupportsInput, found: Held) -> LayoutFound | None:
    """Return two places for lifting straps: least bending, clear of what must not be touched."""
    if found.beam.reasons or len(found.free) < 2:
        return None
    layouts = candidates(given, found).layouts(2)
    best = layouts.best(math.inf, 0.0)
    return None if best is None else _layout(found, layouts, best)


def _resting(found: Weighed) -> tuple[RestingPose, ...]:
    from softmend.science.solid.poses import resting_poses

    return tuple(
        RestingPose(
            down=_rounded(pose.down),
            share_percent=round(100 * pose.share, 1),
            tilt_degrees=round(pose.tilt_deg, 1),
        )
        for pose in resting_poses(found.weighty.scan.mesh.points, found.plumb.centre, 4)
    )


def _rounded(way: Any) -> At:
    x, y, z = (round(float(one), 3) + 0.0 for one in way)
    return x, y, z


COMPUTATIONS: dict[str, Computation] = {
    "solid.supports": Computation(
        name="solid.supports",
        title="How an object is held",
        input_model=SupportsInput,
        output_model=SupportsAnswer,
        function=solid_supports,
        formula="reactions on equal springs that only push; least and most by statics; saddle peak "
        "R / (r l (b + sin b cos b)); F/W = d/h; of all places the least bending stress within "
        "pressure and tipping",
        sources=("softmend-solids", "goldberg1999"),
        cautions=(NOT_LIFTING, PAD_LIMIT, CRACKS),
        checked="tests/science/solid/test_support.py",
    ),
}
