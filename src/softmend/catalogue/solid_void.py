"""How much fill a void takes, from a scan and picks round its rim."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from softmend.catalogue.computation import Asked, Computation, Estimate, Model, Number
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    At,
    Place,
    ScanAnswer,
    ScanInput,
    Scanned,
    Traced3,
    length_working,
    ranged,
    scanned,
)

if TYPE_CHECKING:
    from softmend.science.solid.void import Void

ML_PER_M3, MM2_PER_M2 = 1e6, 1e6
Depth = Annotated[Number, Field(gt=0, le=5000)]
ONLY_TO_STABILISE = (
    "To stabilise the void, never to rebuild a missing end: no continuation of the object is "
    "offered."
)


class VoidInput(ScanInput):
    """A scan, 6 to 12 picks round the rim in order, a pick on the void's own surface.

    `mouth` is what the person sees: a hole in the surface, or an open end. `depths_mm` are part
    fills that end so far below the rim.
    """

    rim: Annotated[list[Place], Field(min_length=3, max_length=60)]
    inside: Place
    mouth: Literal["a hole in the surface", "an open end", "not said"] = "not said"
    depths_mm: list[Depth] = Field(default=[], max_length=20)


class PartFill(Model):
    """A part fill: from the bottom to so far below the rim, and the layer above it."""

    below_rim_mm: float
    volume_ml: float
    bonded_mm2: float
    layer_above_ml: float


class VoidAnswer(ScanAnswer):
    """The volume of a void by three caps, the one chosen, level and part fills."""

    mouth: str = ""
    rim_angle_degrees: float | None = None
    volume_ml: Estimate | None = None
    flat_cap_ml: float | None = None
    stretched_cap_ml: float | None = None
    smooth_cap_ml: float | None = None
    level_fill_ml: float | None = None
    level_below_rim_mm: float | None = None
    bonded_mm2: float | None = None
    mouth_mm2: float | None = None
    deepest_mm: float | None = None
    rim_length_mm: float | None = None
    mean_edge_mm: float | None = None
    part_fills: tuple[PartFill, ...] = ()
    rim_found: Traced3 = ()
    mouth_centre: At | None = None
    middle: At | None = None


def solid_void(given: VoidInput, asked: Asked) -> VoidAnswer:
    """Return the volume of a void, or what to answer first."""
    from softmend.science.solid.void import Mouth, void_volume

    scan = scanned(given, asked)
    if isinstance(scan, tuple):
        return VoidAnswer(answer="cannot say", reasons=scan)
    void = void_volume(
        scan.mesh, scan.places(given.rim), scan.places(given.inside), Mouth(given.mouth)
    )
    return _told(given, scan, void)


def _told(given: VoidInput, scan: Scanned, void: Void) -> VoidAnswer:
    from softmend.science.solid.void import Mouth

    is_asked = void.mouth is Mouth.UNKNOWN
    wide = 3 * 1.6449 * scan.unit.sd_share * void.typical
    volume = ranged(max(void.low - wide, 0.0), void.typical, void.high + wide, ML_PER_M3, "mL")
    return VoidAnswer(
        answer="cannot say" if is_asked else "answer",
        reasons=(
            f"Its rim stands at {void.angle_deg:.0f} degrees to the surface round it: say whether "
            "it is a hole in the surface or an open end (mouth); both volumes are told.",
        )
        if is_asked
        else (),
        states=tuple(str(state) for state in scan.shape.states),
        mouth=str(void.mouth),
        rim_angle_degrees=round(void.angle_deg, 1) if void.angle_deg == void.angle_deg else None,
        volume_ml=None if is_asked else volume,
        flat_cap_ml=_ml(void.fan),
        stretched_cap_ml=_ml(void.membrane),
        smooth_cap_ml=None if void.smooth is None else _ml(void.smooth),
        level_fill_ml=_ml(void.level),
        level_below_rim_mm=round(MM_PER_M * void.level_depth, 2),
        bonded_mm2=float(f"{MM2_PER_M2 * void.bonded:.4g}"),
        mouth_mm2=float(f"{MM2_PER_M2 * void.mouth_area:.4g}"),
        deepest_mm=round(MM_PER_M * void.depth, 1),
        rim_length_mm=round(MM_PER_M * void.rim_length, 1),
        mean_edge_mm=float(f"{MM_PER_M * void.mean_edge:.3g}"),
        part_fills=tuple(_part(void, depth) for depth in given.depths_mm),
        rim_found=tuple(scan.at(place) for place in void.rim),
        mouth_centre=scan.at(void.centre),
        middle=scan.at(void.middle),
        warnings=(*scan.notes, *_warnings(void), ONLY_TO_STABILISE),
        working=length_working(given, scan),
    )


def _ml(volume: float) -> float:
    return float(f"{ML_PER_M3 * volume:.4g}")


def _part(void: Void, depth_mm: float) -> PartFill:
    volume, area = void.filled_to(depth_mm / MM_PER_M)
    return PartFill(
        below_rim_mm=depth_mm,
        volume_ml=_ml(volume),
        bonded_mm2=float(f"{MM2_PER_M2 * area:.4g}"),
        layer_above_ml=_ml(max(void.fan - volume, 0.0)),
    )


def _warnings(void: Void) -> tuple[str, ...]:
    from softmend.science.solid.void import Mouth

    found = []
    if void.mouth is Mouth.HOLE and void.smooth is not None:
        found.append(
            f"The fill is taken up to the run of the surface round it; stretched straight over the "
            f"rim it is {_ml(void.membrane)} mL, the lower value."
        )
    if void.mouth is Mouth.HOLE and void.smooth is None:
        found.append("The surface round the rim says too little for a smooth cap: stretched only.")
    if void.level < 0.98 * void.fan:
        found.append(
            f"A pourable fill stands level with the lowest notch: {_ml(void.level)} mL, "
            f"{MM_PER_M * void.level_depth:.1f} mm below the rim's middle plane."
        )
    return tuple(found)


COMPUTATIONS: dict[str, Computation] = {
    "solid.void": Computation(
        name="solid.void",
        title="How much fill a void takes",
        input_model=VoidInput,
        output_model=VoidAnswer,
        function=solid_void,
        formula="rim along edges of cost length / (1 + (fold / 25°)²) through the picks; the faces "
        "within it and a cap enclose the void; cap flat, stretched (least area), or a robust "
        "quadratic through the surface 0.6 rim radii outside",
        sources=("softmend-solids", "liepa2003"),
        cautions=(ONLY_TO_STABILISE,),
        checked="tests/science/solid/test_void.py",
    ),
}
