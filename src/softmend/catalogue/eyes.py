"""What all computations on photographs share: the picture, its light and blur, and a scale."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Estimate,
    Model,
    Number,
    Point,
    Sourced,
    WorkingValue,
    estimate,
    worked,
)
from softmend.catalogue.surface import AnyScale, scale_working, surface_of
from softmend.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from softmend.science.photo.blur import Blur
    from softmend.science.photo.light import Plane

MM_PER_M = 1e3

PictureFile = Annotated[str, Field(min_length=1, max_length=1000)]
Line = Annotated[list[Point], Field(min_length=2, max_length=50_000)]
Ring = Annotated[list[Point], Field(min_length=3, max_length=20_000)]
Coding = Literal["sRGB", "linear"]
Traced = tuple[tuple[float, float], ...]

TESTED_ON = (
    "Widths and suggestions were tested on drawn cracks and on other materials than this one."
)
SEEN_TO = "An end of a crack is “seen to”: what is too fine for this photograph is not there."
AS_LIT = (
    "The width is that of the dark mouth as lit and seen: raking light widens or shifts one edge, "
    "an oblique view narrows it, dirt and old fill change it."
)


class EdgeBlur(Model):
    """The blur by a straight edge in the same photograph and plane: two points on the edge."""

    method: Literal["edge"]
    edge_px: Annotated[list[Point], Field(min_length=2, max_length=2)]


class MarkerBlur(Model):
    """The blur by the sides of the printed markers found in the same photograph."""

    method: Literal["markers"]


class StatedBlur(Model):
    """The blur as it was found before, as a standard deviation in pixels."""

    method: Literal["stated"]
    blur_px: Sourced


AnyBlur = Annotated[EdgeBlur | MarkerBlur | StatedBlur, Field(discriminator="method")]


class BlurFound(Model):
    """The blur that was used, and how well it is known (k = 2)."""

    blur_px: float
    blur_expanded_px: float
    is_measured: bool


def picture_of(asked: Asked, field: str = "picture_file") -> Any:
    """Return the decoded picture of a field; InputError when there is none."""
    found = asked.files.get(field)
    if found is None:
        raise InputError(
            "There is no picture to look at",
            value=field,
            allowed="a photograph",
            remedy=f"Name a JPEG, PNG or TIFF in {field}",
        )
    return found


def light_of(picture: Any, coding: Coding) -> Plane:
    """Return the brightness of a picture in linear light."""
    from softmend.science.photo.light import light_as_stored, linear_light

    return light_as_stored(picture) if coding == "linear" else linear_light(picture)


def blur_of(given: Any, picture: Any, light: Plane) -> Blur:
    """Return the blur by the way that was chosen; not known is a wide range."""
    from softmend.science.photo.blur import UNKNOWN_BLUR, Blur, edge_blur, marker_blur
    from softmend.science.photo.marker import detect_markers

    if given is None:
        return UNKNOWN_BLUR
    if isinstance(given, EdgeBlur):
        return edge_blur(light, given.edge_px[0], given.edge_px[1])
    if isinstance(given, MarkerBlur):
        return marker_blur(light, detect_markers(picture))
    stated = given.blur_px.uncertain()
    if not 0.2 <= stated.typical <= 10:
        raise InputError("The blur is out of range", value=stated.typical, allowed="0.2 to 10 px")
    return Blur(stated.typical, stated.sd, 1)


def blur_found(blur: Blur, given: Any) -> BlurFound:
    """Return the blur as it is shown."""
    return BlurFound(
        blur_px=round(blur.sd_px, 3),
        blur_expanded_px=round(2 * blur.uncertainty_px, 3),
        is_measured=given is not None,
    )


def blur_warnings(given: Any) -> tuple[str, ...]:
    """Return what is to be said when no edge was measured."""
    if given is not None:
        return ()
    return (
        "No edge was measured in this photograph: widths under 6 px carry an unknown blur. Draw "
        "along the edge of the scale bar or of a marker in the same plane.",
    )


def blur_working(blur: Blur, given: Any, coding: Coding) -> tuple[WorkingValue, ...]:
    """Return blur and coding as lines of the working."""
    if isinstance(given, StatedBlur):
        line = worked("blur of the photograph", given.blur_px, "px")
    else:
        line = WorkingValue(
            name="blur of the photograph",
            text=f"{blur.sd_px:.2f} ± {2 * blur.uncertainty_px:.2f} px",
            kind="measured" if given is not None else "estimated",
            origin=f"{given.method}, {blur.edges} edges" if given is not None else "wide",
        )
    curve = "sRGB curve undone" if coding == "sRGB" else "taken as linear"
    return (line, WorkingValue(name="light", text=curve, kind="estimated", origin="typed"))


def measured_mm(
    scale: Any,
    asked: Asked,
    at_px: Any,
    way: Any,
    value_px: float,
    parts_px: Mapping[str, float],
) -> Estimate | None:
    """Return a length across the picture in millimetres, or None without a scale."""
    if scale is None:
        return None
    from softmend.science.photo.across import measured_across

    place = [float(at_px[0]), float(at_px[1])]
    surface = surface_of(scale, asked, [place])
    found = measured_across(surface, place, way, value_px, parts_px, seed=asked.seed)
    return estimate(found, MM_PER_M, "mm")


def no_scale_warnings(scale: Any) -> tuple[str, ...]:
    """Return what is to be said of a picture without a scale."""
    return () if scale is not None else ("No scale is set: nothing is given in millimetres.",)


def scale_lines(scale: Any) -> tuple[WorkingValue, ...]:
    """Return the scale as lines of the working, none without a scale."""
    return scale_working(scale) if scale is not None else ()


def traced(points: Any) -> Traced:
    """Return picture points as they are stored, to 0.01 px."""
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in points)


def cannot_say(kind: type[Answer], reasons: tuple[str, ...], **known: Any) -> Any:
    """Return an answer that says why there is none."""
    return kind(answer="cannot say", reasons=reasons, **known)


class Ended(Model):
    """Where a traced line ends, as far as it is seen."""

    seen_to_px: tuple[float, float]


def ends_of(line: Traced) -> tuple[Ended, Ended]:
    """Return both ends of a traced line."""
    return Ended(seen_to_px=line[0]), Ended(seen_to_px=line[-1])


Scale = AnyScale
ScaleOrNone = AnyScale | None
Positive = Annotated[Number, Field(gt=0, le=1e6)]
