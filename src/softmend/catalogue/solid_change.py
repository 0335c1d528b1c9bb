"""The length of a crack over the surface, and what changed between two scans."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import Asked, Computation, Estimate, Model, Number
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    At,
    MeasuredLength,
    Place,
    ScanAnswer,
    ScanFile,
    ScanInput,
    Traced3,
    checked_scan,
    in_file,
    in_metres,
    length_working,
    no_unit,
    ranged,
    scanned,
    unit_of,
)

if TYPE_CHECKING:
    from softmend.science.solid.compare import Difference, Pose
    from softmend.science.solid.mesh import Mesh

MM3_PER_M3, MM2_PER_M2 = 1e9, 1e6
CLOSE_M = 0.01
"""Picks closer than this make the straight way from pick to pick as good as any over the mesh."""
WHITE_NOISE = (
    "A bow or a step in one scan reads as change: scan one state twice first, and claim nothing "
    "below what those two differ by."
)
SEEN_TO = "Its ends are where it was seen to; a length over a rough surface grows with the picks."


class SurfaceInput(ScanInput):
    """A scan, and picks along a crack in order, in the file's coordinates."""

    picks: Annotated[list[Place], Field(min_length=2, max_length=200)]


class SurfaceAnswer(ScanAnswer):
    """The length over the surface, with the spacing of the picks and the mesh edge it holds for."""

    length_mm: Estimate | None = None
    straight_mm: float | None = None
    smoothed_mm: float | None = None
    pick_spacing_mm: float | None = None
    mean_edge_mm: float | None = None
    noise_mm: float | None = None
    moved_mm: float | None = None
    path: Traced3 = ()


def solid_surface_length(given: SurfaceInput, asked: Asked) -> SurfaceAnswer:
    """Return the length of a crack over the surface."""
    from softmend.science.solid.surface import surface_length

    scan = scanned(given, asked)
    if isinstance(scan, tuple):
        return SurfaceAnswer(answer="cannot say", reasons=scan)
    found = surface_length(scan.mesh, scan.places(given.picks))
    length = found.smoothed if found.is_noisy else found.length
    # What the picks and the mesh leave open, and the error of the measured length.
    half = 1.6449 * scan.unit.sd_share * length
    off = max(abs(found.length - found.smoothed), 0.25 * found.mean_edge)
    # Between close picks the straight way is as good, and it does not climb over the crack's lips.
    is_close = found.spacing <= CLOSE_M
    below = max(off, length - found.straight) if is_close else off
    return SurfaceAnswer(
        states=tuple(str(state) for state in scan.shape.states),
        length_mm=ranged(
            length - (below**2 + half**2) ** 0.5, length, length + (off**2 + half**2) ** 0.5,
            MM_PER_M, "mm",
        ),
        straight_mm=float(f"{MM_PER_M * found.chord:.3g}"),
        smoothed_mm=float(f"{MM_PER_M * found.smoothed:.4g}"),
        pick_spacing_mm=float(f"{MM_PER_M * found.spacing:.2g}"),
        mean_edge_mm=float(f"{MM_PER_M * found.mean_edge:.2g}"),
        noise_mm=float(f"{MM_PER_M * found.noise:.1g}"),
        moved_mm=float(f"{MM_PER_M * found.moved:.2g}"),
        path=tuple(scan.at(place) for place in found.path),
        warnings=(*scan.notes, *_length_warnings(found), SEEN_TO),
        working=length_working(given, scan),
    )  # fmt: skip


def _length_warnings(found: Any) -> tuple[str, ...]:
    told = [
        f"Picks {MM_PER_M * found.spacing:.2g} mm apart cut the corners of a crack that wanders "
        f"between them; mesh edge {MM_PER_M * found.mean_edge:.2g} mm."
    ]
    if found.is_noisy:
        told.append(
            f"The mesh is finer than ten times its noise ({MM_PER_M * found.noise:.1g} mm), which "
            "lengthens every path: the length on the smoothed surface is told."
        )
    return tuple(told)


class PatchGiven(Model):
    """A patch on the earlier scan: its middle in the file's coordinates, and its radius."""

    middle: Place
    radius_mm: Annotated[Number, Field(gt=0, le=5000)]


class CompareInput(Model):
    """Two scans of one object, and what is believed unchanged.

    `changed` are patches left out of the fit and whose loss is told; `picks` are like points on
    both scans for a fit that fails by itself; `level_mm` is what two scans of one state differ by.
    """

    earlier_scan_file: ScanFile
    later_scan_file: ScanFile
    earlier_length: MeasuredLength | None = None
    later_length: MeasuredLength | None = None
    noise_mm: Annotated[Number, Field(gt=0, le=20)] = 0.05
    changed: list[PatchGiven] = Field(default=[], max_length=50)
    earlier_picks: Annotated[list[Place], Field(min_length=3, max_length=20)] | None = None
    later_picks: Annotated[list[Place], Field(min_length=3, max_length=20)] | None = None
    level_mm: Annotated[Number, Field(ge=0, le=50)] | None = None


class PatchFound(Model):
    """What is gone from a patch, what has come, and how deep.

    `deepest_mm` is the deepest single face; `steady_depth_mm` and `steady_rise_mm` are means over
    neighbouring faces, on which `is_above_level` is judged; it is None where no level was given.
    """

    middle: At
    lost_mm3: Estimate
    patch_mm2: float
    deepest_mm: float
    steady_depth_mm: float | None = None
    steady_rise_mm: float | None = None
    is_above_level: bool | None = None


class CompareAnswer(ScanAnswer):
    """How the later scan lies on the earlier one, and where they differ.

    `rotation` and `shift_mm` move the later scan, in mm, onto the earlier one.
    """

    fit_mm: float | None = None
    expected_fit_mm: float | None = None
    median_mm: float | None = None
    most_mm: float | None = None
    fitted_scale_percent: float | None = None
    rotation: tuple[tuple[float, float, float], ...] = ()
    shift_mm: At | None = None
    gone_percent: float | None = None
    come_percent: float | None = None
    largest_loss_at: At | None = None
    patches: tuple[PatchFound, ...] = ()


@dataclass(frozen=True, eq=False)
class Compared:
    """Two scans laid on each other [m], metres to a unit of the earlier file, and the level [m]."""

    earlier: Mesh
    later: Mesh
    factor: float
    level: float


def solid_compare(given: CompareInput, asked: Asked) -> CompareAnswer:
    """Return what changed between two scans, or that they do not lie on each other."""
    from softmend.science.solid.compare import difference, registration
    from softmend.science.solid.holding import outside, vectors

    shapes = [checked_scan(asked, name)[0] for name in ("earlier_scan_file", "later_scan_file")]
    lengths = (given.earlier_length, given.later_length)
    lacking = [k for k in (0, 1) if lengths[k] is None]
    if lacking:
        return CompareAnswer(answer="cannot say", reasons=_lengths_lacking(shapes, lacking))
    factors = [
        unit_of(shape, length).factor
        for shape, length in zip(shapes, lengths, strict=True)
        if length is not None
    ]
    earlier, later = (in_metres(s, f).mesh for s, f in zip(shapes, factors, strict=True))
    kept = outside(
        earlier.centres,
        vectors([one.middle for one in given.changed], factors[0]),
        [one.radius_mm / MM_PER_M for one in given.changed],
    )
    pose = registration(
        earlier, later, given.noise_mm / MM_PER_M, unchanged=kept, picks=_picks(given, factors)
    )
    states = tuple(str(state) for state in shapes[0].states)
    if pose.has_failed:
        return CompareAnswer(
            answer="cannot say", states=states, reasons=_failed(pose), **_fit(pose)
        )
    there = pose.moved(later)
    found = difference(earlier, there)
    return CompareAnswer(
        states=states,
        warnings=_warnings(given, pose),
        **_fit(pose),
        **_differences(given, found, earlier, there, factors[0]),
    )


def _lengths_lacking(shapes: list[Any], lacking: list[int]) -> tuple[str, ...]:
    names = ("earlier", "later")
    return tuple(
        f"{names[k].capitalize()} scan, {names[k]}_length: {no_unit(shapes[k])[0]}" for k in lacking
    )


def _within(places: Any, patch: PatchGiven, factor: float) -> Any:
    from softmend.science.solid.holding import outside, vectors

    return ~outside(places, vectors([patch.middle], factor), [patch.radius_mm / MM_PER_M])


def _picks(given: CompareInput, factors: list[float]) -> Any:
    from softmend.science.solid.holding import vectors

    if given.earlier_picks is None or given.later_picks is None:
        return None
    return (
        vectors(given.earlier_picks, factors[0]),
        vectors(given.later_picks, factors[1]),
    )


def _failed(pose: Pose) -> tuple[str, ...]:
    return (
        f"The two scans do not lie on each other: half of the surface is more than "
        f"{MM_PER_M * pose.median:.2g} mm off, where {MM_PER_M * pose.expected:.2g} mm expected.",
        "Give 3 or more like points on both (earlier_picks, later_picks), leave out what changed, "
        "or check both lengths.",
    )


def _fit(pose: Pose) -> dict[str, Any]:
    shift = pose.shift * MM_PER_M
    return {
        "fit_mm": float(f"{MM_PER_M * pose.median:.2g}"),
        "expected_fit_mm": float(f"{MM_PER_M * pose.expected:.2g}"),
        "fitted_scale_percent": float(f"{100 * (pose.fitted_scale - 1):.2g}"),
        "rotation": tuple(tuple(float(f"{x:.8g}") for x in row) for row in pose.rotation),
        "shift_mm": in_file(shift, 1.0),
    }


def _differences(
    given: CompareInput, found: Difference, earlier: Mesh, later: Mesh, factor: float
) -> dict[str, Any]:
    level = (given.level_mm if given.level_mm is not None else 3 * given.noise_mm) / MM_PER_M
    compared = Compared(earlier, later, factor, level)
    total = float(found.areas.sum())
    worst = int(found.distances.argmin())
    return {
        "median_mm": float(f"{MM_PER_M * found.percentile(0.5):.2g}"),
        "most_mm": float(f"{MM_PER_M * found.percentile(0.95):.2g}"),
        "gone_percent": float(f"{100 * found.areas[found.distances < -level].sum() / total:.2g}"),
        "come_percent": float(f"{100 * found.areas[found.distances > level].sum() / total:.2g}"),
        "largest_loss_at": in_file(found.places[worst], factor),
        "patches": tuple(
            _patch(found, one, compared, is_level_known=given.level_mm is not None)
            for one in given.changed
        ),
    }


def _patch(
    found: Difference, one: PatchGiven, compared: Compared, *, is_level_known: bool
) -> PatchFound:
    from softmend.science.solid.compare import steady_extremes
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.patch import counted_loss, patch_loss

    chosen = _within(found.places, one, compared.factor)
    told = patch_loss(found, chosen, compared.level)
    low, high = steady_extremes(found, chosen)
    middle = vectors(one.middle, compared.factor)
    told = counted_loss(told, compared.earlier, compared.later, middle, one.radius_mm / MM_PER_M)
    net = told.lost - told.gained
    x, y, z = one.middle
    return PatchFound(
        middle=(x, y, z),
        lost_mm3=ranged(net - told.error, net, net + told.error, MM3_PER_M3, "mm³"),
        patch_mm2=float(f"{MM2_PER_M2 * told.area:.3g}"),
        deepest_mm=float(f"{MM_PER_M * told.deepest:.2g}"),
        steady_depth_mm=float(f"{MM_PER_M * max(-low, 0.0):.2g}"),
        steady_rise_mm=float(f"{MM_PER_M * max(high, 0.0):.2g}"),
        is_above_level=max(-low, high) > compared.level if is_level_known else None,
    )


def _warnings(given: CompareInput, pose: Pose) -> tuple[str, ...]:
    told = [WHITE_NOISE]
    if given.level_mm is None:
        told.insert(0, f"No level was given: {3 * given.noise_mm:g} mm, three times the noise, is "
                    "taken; two scans of one state would tell it.")  # fmt: skip
    scale = abs(pose.fitted_scale - 1)
    if scale > 2e-4:
        told.append(
            f"A free fit would change the size by {100 * (pose.fitted_scale - 1):+.2g} %: possible "
            "shrinkage, or an error of scale; it is not taken out of the differences."
        )
    return tuple(told)


COMPUTATIONS: dict[str, Computation] = {
    "solid.surface_length": Computation(
        name="solid.surface_length",
        title="Length over the surface",
        input_model=SurfaceInput,
        output_model=SurfaceAnswer,
        function=solid_surface_length,
        formula="shortest line over the triangles through the picks in order, by edge flips; told "
        "with pick spacing, mesh edge and noise",
        sources=("softmend-solids", "sharp2020"),
        cautions=(SEEN_TO,),
        checked="tests/science/solid/test_surface.py",
    ),
    "solid.compare": Computation(
        name="solid.compare",
        title="What changed between two scans",
        input_model=CompareInput,
        output_model=CompareAnswer,
        function=solid_compare,
        formula="rigid fit, point to plane, nearest 90 %, strays weighed down; signed distance of "
        "the earlier surface; loss summed in a chosen patch; the scale only shown",
        sources=("softmend-solids", "umeyama1991", "chen1992"),
        cautions=(WHITE_NOISE,),
        checked="tests/science/solid/test_compare.py",
    ),
}
