"""The four ways of setting a scale, as input models, and the surface that each one gives."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Asked,
    Model,
    Number,
    Point,
    Sourced,
    WorkingValue,
    worked,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.photo.marker import Marker
    from softmend.science.photo.surface import Standoff, Surface
    from softmend.science.uncertain import Uncertain

MM = 1e-3

Clicks = Annotated[list[Point], Field(min_length=1, max_length=20)]
Corners = Annotated[list[Point], Field(min_length=4, max_length=4)]
Axis = Annotated[list[Point], Field(min_length=2, max_length=2)]
Edge = Annotated[list[Point], Field(min_length=2, max_length=50)]
ClickSpread = Annotated[Number, Field(gt=0, le=100)]


class Stand(Model):
    """How far the scale lies before (+) or behind (-) the surface, and how far the camera was."""

    offset_mm: Sourced | None = None
    camera_distance_mm: Sourced | None = None

    def standoff(self) -> Standoff:
        """Return where the scale lay; what is not known becomes a wide range."""
        from softmend.science.photo.surface import (
            UNKNOWN_CAMERA_DISTANCE,
            UNKNOWN_OFFSET,
            Standoff,
        )

        return Standoff(
            self.offset_mm.uncertain().scaled(MM) if self.offset_mm else UNKNOWN_OFFSET,
            self.camera_distance_mm.uncertain().scaled(MM)
            if self.camera_distance_mm
            else UNKNOWN_CAMERA_DISTANCE,
        )

    def working(self) -> list[WorkingValue]:
        """Return both distances as lines of the working, "not known" included."""
        unknown = (
            ("scale before (+) or behind the surface", self.offset_mm, "0 ± 10 mm"),
            ("camera to surface", self.camera_distance_mm, "250 to 2000 mm"),
        )
        return [
            worked(name, given, "mm")
            if given
            else WorkingValue(name=name, text=f"not known: {wide}", kind="estimated", origin="wide")
            for name, given, wide in unknown
        ]


class TwoClicks(Model):
    """Clicks on both ends of a bar or ruler of known length."""

    method: Literal["two_clicks"]
    end_a_px: Clicks
    end_b_px: Clicks
    length_mm: Sourced
    click_sd_px: ClickSpread = 1.0
    stand: Stand = Stand()


class SeenMarker(Model):
    """One printed marker: its number and its corners, clockwise from the top left."""

    number: Annotated[int, Field(ge=0, le=100_000)]
    corners_px: Corners


class Markers(Model):
    """Printed markers of a known side, or two of them a known distance apart."""

    method: Literal["markers"]
    markers: Annotated[list[SeenMarker], Field(max_length=100, default_factory=list)]
    picture_file: Annotated[str, Field(max_length=1000)] | None = None
    side_mm: Sourced | None = None
    centre_distance_mm: Sourced | None = None
    stand: Stand = Stand()


class Rectangle(Model):
    """Clicks on a known rectangle's corners: top left, top right, bottom right, bottom left."""

    method: Literal["rectangle"]
    corners_px: Annotated[list[Clicks], Field(min_length=4, max_length=4)]
    width_mm: Sourced
    height_mm: Sourced
    click_sd_px: ClickSpread = 1.0
    stand: Stand = Stand()


class Cylinder(Model):
    """A round shaft by its outline edges, or by its axis and a scale on its front line.

    A shaft that bends is given by more than two points on each edge, as many on both; what is
    drawn is then measured on the straight piece that just holds it. `diameter_mm` is taken half
    way between the first and the last points. With `second_diameter_mm` the shaft is a cone, which
    may lean: `diameter_mm` is then taken at the first points of both edges, the second at the last.
    """

    method: Literal["cylinder"]
    edges_px: Annotated[list[Edge], Field(min_length=2, max_length=2)] | None = None
    axis_px: Axis | None = None
    front_scale: TwoClicks | None = None
    diameter_mm: Sourced
    second_diameter_mm: Sourced | None = None
    camera_distance_mm: Sourced | None = None
    picture_width_px: Annotated[Number, Field(gt=0, le=100_000)]
    picture_height_px: Annotated[Number, Field(gt=0, le=100_000)]
    click_sd_px: ClickSpread = 1.0


AnyScale = Annotated[TwoClicks | Markers | Rectangle | Cylinder, Field(discriminator="method")]


def surface_of(scale: Any, asked: Asked, near_px: list[list[float]] | None = None) -> Surface:
    """Return the surface that a scale gives near some points; flat ones are the same everywhere."""
    if isinstance(scale, Cylinder):
        return _cylinder(scale, asked, near_px)
    makers: dict[str, Callable[[Any, Asked], Surface]] = {
        "two_clicks": _two_clicks,
        "markers": _markers,
        "rectangle": _rectangle,
    }
    return makers[scale.method](scale, asked)


def scale_working(scale: Any) -> tuple[WorkingValue, ...]:
    """Return what a scale was made from, as lines of the working."""
    units = {
        "length_mm": "true length of the scale",
        "side_mm": "side of the marker",
        "centre_distance_mm": "distance of two markers",
        "width_mm": "width of the rectangle",
        "height_mm": "height of the rectangle",
        "diameter_mm": "diameter of the shaft",
        "second_diameter_mm": "diameter at its other end",
    }
    lines = [
        worked(words, getattr(scale, name), "mm")
        for name, words in units.items()
        if getattr(scale, name, None) is not None
    ]
    if isinstance(scale, Cylinder):
        lines += Stand(camera_distance_mm=scale.camera_distance_mm).working()[1:]
        if scale.front_scale is not None:
            lines += scale_working(scale.front_scale)
        return tuple(lines)
    return (*lines, *scale.stand.working())


def markers_seen(scale: Markers, asked: Asked) -> tuple[Marker, ...]:
    """Return the markers that were typed in, or found in the picture."""
    from softmend.science.photo.marker import detect_markers, marker

    if scale.markers:
        return tuple(marker(one.number, one.corners_px) for one in scale.markers)
    picture = asked.files.get("picture_file")
    if picture is None:
        raise InputError(
            "No marker corners and no picture were given",
            allowed="markers, or picture_file",
            remedy="Give one of the two",
        )
    return detect_markers(picture)


def _two_clicks(scale: TwoClicks, _: Asked) -> Surface:
    from softmend.science.photo.scale import two_click_scale

    return two_click_scale(
        scale.end_a_px,
        scale.end_b_px,
        scale.length_mm.uncertain().scaled(MM),
        scale.click_sd_px,
        scale.stand.standoff(),
    )


def _markers(scale: Markers, asked: Asked) -> Surface:
    from softmend.science.photo.marker import scale_by_centres, scale_by_sides

    found = markers_seen(scale, asked)
    if scale.centre_distance_mm is not None:
        if len(found) < 2:
            raise InputError("A distance between centres needs two markers", value=len(found))
        distance = scale.centre_distance_mm.uncertain().scaled(MM)
        return scale_by_centres(found[0], found[1], distance, scale.stand.standoff())
    if scale.side_mm is None:
        raise InputError(
            "The size of the marker is missing",
            allowed="side_mm, or centre_distance_mm",
            remedy="Measure the printed marker; its file's size is not to be believed",
        )
    return scale_by_sides(found, scale.side_mm.uncertain().scaled(MM), scale.stand.standoff())


def _rectangle(scale: Rectangle, _: Asked) -> Surface:
    from softmend.science.photo.rectangle import rectangle_view

    return rectangle_view(
        scale.corners_px,
        scale.width_mm.uncertain().scaled(MM),
        scale.height_mm.uncertain().scaled(MM),
        scale.click_sd_px,
        scale.stand.standoff(),
    )


def camera_distance(scale: Cylinder) -> Uncertain:
    """Return the distance from lens to shaft [m]; what is not known is a wide range."""
    from softmend.science.photo.surface import UNKNOWN_CAMERA_DISTANCE

    if scale.camera_distance_mm is None:
        return UNKNOWN_CAMERA_DISTANCE
    return scale.camera_distance_mm.uncertain().scaled(MM)


def _cylinder(scale: Cylinder, asked: Asked, near_px: list[list[float]] | None) -> Surface:
    from softmend.science.photo.bend import local_edges
    from softmend.science.photo.cylinder import cylinder_from_axis, cylinder_from_outline
    from softmend.science.photo.scale import PlaneScale

    diameter = scale.diameter_mm.uncertain().scaled(MM)
    distance = camera_distance(scale)
    centre = [scale.picture_width_px / 2, scale.picture_height_px / 2]
    if scale.second_diameter_mm is not None:
        return _cone(scale, diameter, distance, centre)
    if scale.edges_px is not None:
        one, other = scale.edges_px
        left, right, width = local_edges(one, other, near_px or one)
        local = diameter.scaled(width)
        return cylinder_from_outline(left, right, local, distance, centre, scale.click_sd_px)
    if scale.axis_px is None or scale.front_scale is None:
        raise InputError(
            "A cylinder needs its two outline edges, or its axis and a scale on its front line",
            remedy="Draw both edges, or draw the axis and set a scale",
        )
    front = surface_of(scale.front_scale, asked)
    if not isinstance(front, PlaneScale):
        raise InputError("The scale on the front line must be a flat one")
    return cylinder_from_axis(scale.axis_px, front, diameter, distance, centre, scale.click_sd_px)


def _cone(
    scale: Cylinder, diameter: Uncertain, distance: Uncertain, centre: list[float]
) -> Surface:
    from softmend.science.photo.cone import cone_from_outline

    if scale.edges_px is None or scale.second_diameter_mm is None:
        raise InputError(
            "Two diameters need the two outline edges of the shaft",
            remedy="Draw both edges; the diameters belong to their first and last points",
        )
    left, right = scale.edges_px
    second = scale.second_diameter_mm.uncertain().scaled(MM)
    return cone_from_outline(left, right, diameter, second, distance, centre, scale.click_sd_px)
