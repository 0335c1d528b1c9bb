"""Scale, lengths and areas on a photograph."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Point,
    WorkingValue,
    estimate,
)
from softmend.catalogue.surface import (
    AnyScale,
    ClickSpread,
    Cylinder,
    Markers,
    Rectangle,
    markers_seen,
    scale_working,
    surface_of,
)

if TYPE_CHECKING:
    from softmend.science.photo.surface import Surface

MM_PER_M = 1e3
MM2_PER_M2 = 1e6
TILT_WARNED_DEG = 10.0
OUTERMOST_DEG = 80.0

Line = Annotated[list[Point], Field(min_length=2, max_length=20_000)]
Ring2D = tuple[tuple[float, float], ...]
Ring = Annotated[list[Point], Field(min_length=3, max_length=20_000)]

FLAT = (
    "A flat reading: where the surface turns away from the camera the true length is longer.",
    "A scale that lies before or behind the surface misleads; the distance is part of the spread.",
)
SEEN_TO = "The end of a crack is “seen to”: what is too fine for this photograph is not measured."


class ScaleInput(Model):
    """A scale, and optionally the place on the picture at which it is wanted."""

    scale: AnyScale
    at_px: Point | None = None


class FoundMarker(Model):
    """One marker that was found in the picture."""

    number: int
    corners_px: tuple[tuple[float, float], ...]
    side_px: float


class ScaleAnswer(Answer):
    """Pixels to the millimetre at one place, and what the picture says about itself."""

    scale_px_per_mm: Estimate
    relative_expanded_percent: float
    tilt_degrees: float | None = None
    markers: tuple[FoundMarker, ...] = ()
    grey_beyond_px: tuple[Ring2D, ...] = ()


class LengthInput(Model):
    """A drawn line, and the scale of the picture that it was drawn on."""

    scale: AnyScale
    line_px: Line
    click_sd_px: ClickSpread = 1.0


class LengthAnswer(Answer):
    """The length of a drawn line on the surface."""

    length_mm: Estimate


class AreaInput(Model):
    """A drawn outline and its holes, and the scale of the picture that it was drawn on."""

    scale: AnyScale
    outline_px: Ring
    holes_px: Annotated[list[Ring], Field(max_length=200, default_factory=list)]
    click_sd_px: ClickSpread = 1.0
    edge_sd_px: Annotated[Number, Field(ge=0, le=100)] = 0.5


class AreaAnswer(Answer):
    """The area inside a drawn outline, and the length round it."""

    area_mm2: Estimate
    perimeter_mm: Estimate


def photo_scale(given: ScaleInput, asked: Asked) -> ScaleAnswer:
    """Return the scale of a picture at one place, from the way it was set."""
    from softmend.science.photo.polygon import measured_scale

    at = given.at_px or _where_the_scale_is(given.scale, asked)
    surface = surface_of(given.scale, asked, [at])
    spread = measured_scale(surface, at, seed=asked.seed)
    found = estimate(spread, 1 / MM_PER_M, "px/mm")
    relative = 100 * found.expanded / found.mean
    return ScaleAnswer(
        scale_px_per_mm=found,
        relative_expanded_percent=relative,
        tilt_degrees=_tilt(given.scale, surface, asked),
        markers=_found(given.scale, asked),
        grey_beyond_px=_grey_beyond(given.scale, surface),
        warnings=_scale_warnings(given.scale, surface, relative, asked),
        working=scale_working(given.scale),
    )


def photo_length(given: LengthInput, asked: Asked) -> LengthAnswer:
    """Return the length of a drawn line."""
    from softmend.science.photo.polygon import measured_length

    surface = surface_of(given.scale, asked, given.line_px)
    found = measured_length(surface, given.line_px, given.click_sd_px, seed=asked.seed)
    return LengthAnswer(
        length_mm=estimate(found, MM_PER_M, "mm"),
        warnings=_drawing_warnings(given.scale, surface, given.line_px),
        working=(*scale_working(given.scale), *_drawing_working(given.click_sd_px)),
    )


def photo_area(given: AreaInput, asked: Asked) -> AreaAnswer:
    """Return the area inside a drawn outline."""
    from softmend.science.photo.polygon import measured_area, measured_perimeter

    surface = surface_of(given.scale, asked, given.outline_px)
    area = measured_area(
        surface,
        given.outline_px,
        given.holes_px,
        given.click_sd_px,
        given.edge_sd_px,
        seed=asked.seed,
    )
    round_it = measured_perimeter(surface, given.outline_px, given.click_sd_px, seed=asked.seed)
    return AreaAnswer(
        area_mm2=estimate(area, MM2_PER_M2, "mm²"),
        perimeter_mm=estimate(round_it, MM_PER_M, "mm"),
        warnings=_drawing_warnings(given.scale, surface, given.outline_px),
        working=(*scale_working(given.scale), *_drawing_working(given.click_sd_px)),
    )


def _where_the_scale_is(scale: Any, asked: Asked) -> list[float]:
    if isinstance(scale, Cylinder):
        drawn = scale.edges_px if scale.edges_px is not None else [scale.axis_px or []]
        points = [point for edge in drawn for point in edge]
    elif isinstance(scale, Markers):
        points = [list(map(float, one.centre_px)) for one in markers_seen(scale, asked)]
    elif isinstance(scale, Rectangle):
        points = [point for clicks in scale.corners_px for point in clicks]
    else:
        points = [*scale.end_a_px, *scale.end_b_px]
    count = max(len(points), 1)
    return [sum(point[0] for point in points) / count, sum(point[1] for point in points) / count]


def _tilt(scale: Any, surface: Surface, asked: Asked) -> float | None:
    from softmend.science.photo.rectangle import RectangleView

    if isinstance(surface, RectangleView):
        return float(surface.tilt_deg)
    if isinstance(scale, Markers):
        tilts = [marker.tilt_deg for marker in markers_seen(scale, asked)]
        return sum(tilts) / len(tilts) if tilts else None
    return None


def _found(scale: Any, asked: Asked) -> tuple[FoundMarker, ...]:
    if not isinstance(scale, Markers):
        return ()
    return tuple(
        FoundMarker(
            number=one.number,
            corners_px=tuple((float(x), float(y)) for x, y in one.corners_px),
            side_px=float(one.side_px),
        )
        for one in markers_seen(scale, asked)
    )


def _grey_beyond(scale: Any, surface: Surface) -> tuple[Ring2D, ...]:
    """Return the two areas of a shaft that lie beyond 45 degrees, as rings."""
    from softmend.science.photo.cylinder import GREY_BEYOND_DEG, CylinderView

    if not isinstance(surface, CylinderView):
        return ()
    if scale.edges_px is not None:
        return tuple(_between(scale, side) for side in (0, 1))
    reach = max(scale.picture_width_px, scale.picture_height_px)
    inner = surface.lines_at_px(GREY_BEYOND_DEG, reach)
    outer = surface.lines_at_px(OUTERMOST_DEG, reach)
    return tuple(
        tuple((float(x), float(y)) for x, y in (*near, *far[::-1]))
        for near, far in zip(inner, outer, strict=True)
    )


def _between(scale: Cylinder, side: int) -> Ring2D:
    """Return the area from 45 degrees to one drawn edge."""
    from softmend.catalogue.surface import camera_distance
    from softmend.science.photo.bend import outline_share
    from softmend.science.photo.cylinder import GREY_BEYOND_DEG

    given = [scale.diameter_mm, *([scale.second_diameter_mm] if scale.second_diameter_mm else [])]
    radius = sum(one.uncertain().typical for one in given) / (2 * len(given))
    away = camera_distance(scale).typical * MM_PER_M + radius
    share = outline_share(GREY_BEYOND_DEG, away / radius)
    pairs = list(zip(*(scale.edges_px or ()), strict=True))
    inner = [_part_way(left, right, (left, right)[side], share) for left, right in pairs]
    outer = [(edge[side][0], edge[side][1]) for edge in reversed(pairs)]
    return (*inner, *outer)


def _part_way(
    left: list[float], right: list[float], edge: list[float], share: float
) -> tuple[float, float]:
    """Return the place that lies a share of the way from the shaft's middle to one edge."""
    middle_x, middle_y = (left[0] + right[0]) / 2, (left[1] + right[1]) / 2
    return middle_x + share * (edge[0] - middle_x), middle_y + share * (edge[1] - middle_y)


def _scale_warnings(scale: Any, surface: Surface, relative: float, asked: Asked) -> tuple[str, ...]:
    warnings = list(_flat_warnings(scale))
    tilt = _tilt(scale, surface, asked)
    if tilt is not None and tilt > TILT_WARNED_DEG and not isinstance(scale, Rectangle):
        warnings.append(
            f"The marker is seen at {tilt:.0f}° off the straight view: lengths along the tilt are "
            "too short. Use the four corners of a rectangle, or photograph square on."
        )
    if relative > 5:
        warnings.append(
            f"This scale is known to ± {relative:.0f} % only: use a longer bar, click each end "
            "again, or say how far the scale lay from the surface."
        )
    return tuple(warnings)


def _flat_warnings(scale: Any) -> tuple[str, ...]:
    if isinstance(scale, Cylinder):
        return ()
    known = scale.stand.offset_mm is not None
    return () if known else ("How far the scale lay from the surface is not known.",)


def _drawing_warnings(scale: Any, surface: Surface, points: list[list[float]]) -> tuple[str, ...]:
    from softmend.science.photo.cylinder import GREY_BEYOND_DEG, CylinderView

    if not isinstance(surface, CylinderView):
        return ("Flat reading, at least.", *_flat_warnings(scale))
    share = surface.share_beyond(GREY_BEYOND_DEG, points)
    if share == 0:
        return ()
    return (
        f"{100 * share:.0f} % of this drawing lies beyond {GREY_BEYOND_DEG:.0f}° where the picture "
        "is greyed: measure it on a view taken further round.",
    )


def _drawing_working(click_sd_px: float) -> tuple[WorkingValue, ...]:
    return (
        WorkingValue(
            name="spread of a drawn point",
            text=f"{click_sd_px:g} px",
            kind="estimated",
            origin="typed",
        ),
    )


COMPUTATIONS = {
    "photo.scale": Computation(
        name="photo.scale",
        title="Scale of a photograph",
        input_model=ScaleInput,
        output_model=ScaleAnswer,
        function=photo_scale,
        formula="px/mm = picture distance / true length, carried to the surface by 1 − h/Z "
        "(h: scale before the surface, Z: camera to surface); rectangles by homography; shafts by "
        "φ = asin(Z sin θ / R) − θ",
        sources=("jcgm100", "heckbert1989", "garridojurado2014", "softmend-imaging"),
        cautions=FLAT,
        checked="tests/checks/softmend-imaging.csv",
    ),
    "photo.length": Computation(
        name="photo.length",
        title="Length of a drawn line",
        input_model=LengthInput,
        output_model=LengthAnswer,
        function=photo_length,
        formula="sum of chords of the smoothed line on the surface; 2000 draws of scale and "
        "geometry, clicks to first order",
        sources=("jcgm100", "jcgm101", "softmend-imaging"),
        cautions=(*FLAT, SEEN_TO),
        checked="tests/checks/softmend-imaging.csv",
    ),
    "photo.area": Computation(
        name="photo.area",
        title="Area inside a drawn outline",
        input_model=AreaInput,
        output_model=AreaAnswer,
        function=photo_area,
        formula="shoelace formula on the surface, holes taken out; 2000 draws of scale and "
        "geometry, clicks and edge to first order",
        sources=("jcgm100", "jcgm101", "braden1986"),
        cautions=FLAT,
        checked="tests/science/photo/test_polygon.py",
    ),
}
