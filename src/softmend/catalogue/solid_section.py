"""A section through a scan: its outline, its area and widths, as page and command line call it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, model_validator

from softmend.catalogue.computation import Asked, Computation, Estimate, Model, Number
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    At,
    ScanAnswer,
    ScanInput,
    checked_scan,
    in_file,
    no_unit,
    ranged,
    unit_of,
    unit_working,
)

if TYPE_CHECKING:
    from softmend.science.solid.outline import Outline

MM2_PER_M2 = 1e6
MOST_POINTS = 2000
FINE_MM = 1.0
TRUTH = 1.6449
NOT_IN_IT = (
    "In the uncertainty: the length that gave the unit, and what the mesh's edge cuts off its "
    "rounds. Not in it: the scanner's own error."
)
Plane2 = tuple[tuple[float, float], ...]


class SectionInput(ScanInput):
    """A scan and a plane: across the object's longest run or an axis of the file, and where.

    `plane_mm` counts from the end with the lower coordinate, `plane_percent` is its share of the
    run.
    """

    across: Literal["length", "x", "y", "z"] = "length"
    plane_percent: Annotated[Number, Field(ge=0, le=100)] | None = None
    plane_mm: Annotated[Number, Field(ge=0, le=20_000)] | None = None

    @model_validator(mode="after")
    def _once(self) -> SectionInput:
        if self.plane_percent is not None and self.plane_mm is not None:
            raise ValueError("a place: plane_percent or plane_mm, and not both")
        return self


class OutlineFound(Model):
    """One outline in the plane, in mm from its middle; a hollow's area counts off."""

    points_mm: Plane2
    is_hollow: bool
    is_closed: bool


class SectionAnswer(ScanAnswer):
    """The outline that a plane cuts, the area of the material, the widths of the largest outline.

    `origin` and `way` place the plane in the file's coordinates, `run_mm` is the length along it.
    """

    plane_mm: float | None = None
    run_mm: float | None = None
    origin: At | None = None
    way: At | None = None
    area_mm2: Estimate | None = None
    hollow_mm2: Estimate | None = None
    greatest_width_mm: Estimate | None = None
    least_width_mm: Estimate | None = None
    mean_edge_mm: float | None = None
    outlines: tuple[OutlineFound, ...] = ()


def solid_section(given: SectionInput, asked: Asked) -> SectionAnswer:
    """Return what a plane cuts from a scan, or why there is nothing to tell."""
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.outline import section_outline

    shape, notes = checked_scan(asked)
    states = tuple(str(state) for state in shape.states)
    if given.length is None:
        return SectionAnswer(answer="cannot say", reasons=no_unit(shape), states=states)
    unit = unit_of(shape, given.length)
    way = shape.axes[0] if given.across == "length" else vectors(_axis(given.across))
    # Its own run goes the way of the file's axis that it lies nearest to.
    way = way if way[abs(way).argmax()] > 0 else -way
    along = shape.mesh.points @ way
    low, run = float(along.min()), float(along.max() - along.min())
    run_mm = MM_PER_M * run * unit.factor
    at = given.plane_mm if given.plane_mm is not None else (given.plane_percent or 0) / 100 * run_mm
    if given.plane_mm is None and given.plane_percent is None:
        at = run_mm / 2
    place = low + at / MM_PER_M / unit.factor
    origin = shape.mesh.middle + (place - float(shape.mesh.middle @ way)) * way
    general: dict[str, Any] = {
        "states": states,
        "plane_mm": round(at, 1 if run_mm > 10 * FINE_MM else 3),
        "run_mm": round(run_mm, 1 if run_mm > 10 * FINE_MM else 3),
        "origin": in_file(origin, 1.0),
        "way": tuple(round(float(x), 6) + 0.0 for x in way),
        "working": unit_working(given, unit),
    }
    found = section_outline(shape.mesh, origin, way)
    if found is None:
        reason = f"The plane at {at:.4g} mm meets nothing: the scan runs from 0 to {run_mm:.4g} mm."
        return SectionAnswer(answer="cannot say", reasons=(reason,), **general)
    open_ = () if found.is_closed else (
        "The scan is open in this plane: the outline is drawn, its area is not told.",
    )  # fmt: skip
    return SectionAnswer(
        answer="answer", warnings=(*notes, *open_, NOT_IN_IT), **general,
        **_told(found, unit.factor, unit.sd_share),
    )  # fmt: skip


def _axis(name: str) -> list[float]:
    return [float(name == one) for one in "xyz"]


def _told(found: Outline, factor: float, sd_share: float) -> dict[str, Any]:
    sag = found.sag * factor
    told: dict[str, Any] = {
        "mean_edge_mm": float(f"{MM_PER_M * found.edge * factor:.3g}"),
        "outlines": tuple(_outline(loop, factor) for loop in found.loops),
        "greatest_width_mm": _estimate(
            found.greatest * factor, sd_share, 2 * sag, (MM_PER_M, "mm")
        ),
        "least_width_mm": _estimate(found.least * factor, sd_share, 2 * sag, (MM_PER_M, "mm")),
    }
    if found.is_closed:
        square, cut_off = factor**2, found.around * factor * sag
        told["area_mm2"] = _estimate(
            found.area * square, 2 * sd_share, cut_off, (MM2_PER_M2, "mm²")
        )
        if found.hollow > 0:
            told["hollow_mm2"] = _estimate(
                found.hollow * square, 2 * sd_share, cut_off, (MM2_PER_M2, "mm²")
            )
    return told


def _estimate(value: float, sd_share: float, off: float, unit: tuple[float, str]) -> Estimate:
    """Return a value with the error of the length and what the mesh cuts off, k = 2."""
    half = TRUTH / 2 * ((2 * sd_share * value) ** 2 + off**2) ** 0.5
    return ranged(max(value - half, 0.0), value, value + half, *unit)


def _outline(loop: Any, factor: float) -> OutlineFound:
    step = max(len(loop.points) // MOST_POINTS, 1)
    scale = MM_PER_M * factor
    return OutlineFound(
        points_mm=tuple(
            (round(scale * float(x), 3) + 0.0, round(scale * float(y), 3) + 0.0)
            for x, y in loop.points[::step]
        ),
        is_hollow=loop.area < 0,
        is_closed=loop.is_closed,
    )


COMPUTATIONS: dict[str, Computation] = {
    "solid.section": Computation(
        name="solid.section",
        title="Section through a scan",
        input_model=SectionInput,
        output_model=SectionAnswer,
        function=solid_section,
        formula="where the plane meets the faces, joined into outlines; area by Green's theorem, "
        "hollows counted off; widths between parallel lines about the largest; ± twice the error "
        "of the length and the sag edge² / 8 r of the mesh",
        sources=("softmend-solids",),
        cautions=(NOT_IN_IT,),
        checked="tests/science/solid/test_outline.py",
    ),
}
