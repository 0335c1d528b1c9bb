"""The width of a crack along its trace."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
)
from softmend.catalogue.eyes import (
    AS_LIT,
    TESTED_ON,
    AnyBlur,
    BlurFound,
    Coding,
    Line,
    PictureFile,
    Positive,
    ScaleOrNone,
    blur_found,
    blur_of,
    blur_warnings,
    blur_working,
    light_of,
    measured_mm,
    no_scale_warnings,
    picture_of,
    scale_lines,
)
from softmend.catalogue.surface import surface_of

if TYPE_CHECKING:
    from softmend.science.photo.width import StretchWidth, Widths

NOISE, BLUR, MODEL = "noise along the crack", "blur of the photograph", "shape of the lips"


class WidthInput(Model):
    """A traced crack, the blur of its photograph, and how it is to be cut into stretches.

    `assume_depth` takes the crack to be as dark inside everywhere as in its wide parts, which
    gives numbers also below twice the blur; they are then marked "assumed depth".
    """

    picture_file: PictureFile
    line_px: Line
    blur: AnyBlur | None = None
    coding: Coding = "sRGB"
    step_px: Annotated[Number, Field(ge=1, le=1000)] = 5.0
    stretch_mm: Positive | None = None
    stretch_px: Positive | None = None
    assume_depth: bool = False
    scale: ScaleOrNone = None


class StationWidth(Model):
    """The width at one station; `mouth_px` is None where the crack is narrower than the limit."""

    at_px: tuple[float, float]
    along_px: float
    mouth_px: float | None
    mouth_sd_px: float
    is_seen: bool


class WidthOfStretch(Model):
    """The widths of one stretch: the middle one with its uncertainty, the least and the largest."""

    from_px: float
    to_px: float
    median_px: float | None
    median_expanded_px: float | None
    least_px: float | None
    largest_px: float | None
    width_mm: Estimate | None = None
    text: str = ""


class WidthAnswer(Answer):
    """The width of a crack, stretch by stretch and station by station."""

    blur: BlurFound
    limit_px: float
    stretches: tuple[WidthOfStretch, ...] = ()
    stations: tuple[StationWidth, ...] = ()
    is_depth_assumed: bool = False


def photo_width(given: WidthInput, asked: Asked) -> WidthAnswer:
    """Return the width of a crack along its trace."""
    from softmend.science.photo.width import stretch_widths, widths

    picture = picture_of(asked)
    light = light_of(picture, given.coding)
    blur = blur_of(given.blur, picture, light)
    found = widths(light, given.line_px, blur, given.step_px, assume_depth=given.assume_depth)
    stretches = stretch_widths(found, _stretch_px(given, asked, found))
    nothing = all(2 * one.unseen >= one.stations for one in stretches)
    return WidthAnswer(
        answer="cannot say" if nothing else "answer",
        reasons=("No dark line is seen along this trace.",) if nothing else (),
        blur=blur_found(blur, given.blur),
        limit_px=round(found.limit_px, 2),
        stretches=tuple(_shown(given, asked, found, one) for one in stretches),
        stations=_stations(found),
        is_depth_assumed=given.assume_depth,
        warnings=(
            *blur_warnings(given.blur),
            *_assumed(given.assume_depth),
            *no_scale_warnings(given.scale),
        ),
        working=(*scale_lines(given.scale), *blur_working(blur, given.blur, given.coding)),
    )


def _stretch_px(given: WidthInput, asked: Asked, found: Widths) -> float:
    """Return the length of a stretch in px: as given, or 5 mm, or 100 px without a scale."""
    from softmend.science.photo.across import metres_across

    if given.stretch_px is not None:
        return float(given.stretch_px)
    if given.scale is None:
        return 100.0
    number = len(found.along_px) // 2
    middle, square = found.points_px[number], found.normal[number]
    surface = surface_of(given.scale, asked, [middle.tolist()])
    along = [float(square[1]), -float(square[0])]
    return float((given.stretch_mm or 5.0) / (1e3 * metres_across(surface, middle, along)))


def _shown(given: WidthInput, asked: Asked, found: Widths, one: StretchWidth) -> WidthOfStretch:
    at, way = found.points_px[one.middle_number], found.normal[one.middle_number]
    parts = working_parts(one)
    wide = None
    if one.median_px is not None:
        wide = measured_mm(given.scale, asked, at, way, one.median_px, parts)
    return WidthOfStretch(
        from_px=round(one.from_px, 1),
        to_px=round(one.to_px, 1),
        median_px=_round(one.median_px),
        median_expanded_px=_round(2 * one.sd_px) if one.median_px is not None else None,
        least_px=_round(one.least_px),
        largest_px=_round(one.largest_px),
        width_mm=wide,
        text=_text(given, asked, found, one, wide),
    )


def _model_sd(one: StretchWidth) -> float:
    rest = one.sd_px**2 - one.random_sd_px**2 - one.blur_sd_px**2
    return math.sqrt(max(rest, 0.0))


def _text(
    given: WidthInput, asked: Asked, found: Widths, one: StretchWidth, wide: Estimate | None
) -> str:
    from softmend.science.digits import narrower_than, rounded

    assumed = ", assumed depth" if given.assume_depth else ""
    if wide is not None:
        return wide.text + assumed
    if one.median_px is not None:
        return rounded(one.median_px, 2 * one.sd_px).text("px") + assumed
    if 2 * one.unseen >= one.stations:
        return "not seen"
    limit = found.limit_px + 2 * 2 * found.blur.uncertainty_px
    if given.scale is None:
        return narrower_than(limit, "px")
    at, way = found.points_px[one.middle_number], found.normal[one.middle_number]
    bound = measured_mm(given.scale, asked, at, way, limit, {})
    return narrower_than(bound.high if bound else limit, "mm")


def _stations(found: Widths) -> tuple[StationWidth, ...]:
    rows = zip(
        found.points_px.tolist(),
        found.along_px.tolist(),
        found.width_px.tolist(),
        found.sd_px.tolist(),
        found.is_measured.tolist(),
        found.is_seen.tolist(),
        strict=True,
    )
    return tuple(
        StationWidth(
            at_px=(round(at[0], 2), round(at[1], 2)),
            along_px=along,
            mouth_px=round(width, 3) if is_measured else None,
            mouth_sd_px=round(sd, 3),
            is_seen=is_seen,
        )
        for at, along, width, sd, is_measured, is_seen in rows
    )


def _assumed(is_assumed: bool) -> tuple[str, ...]:
    if not is_assumed:
        return ()
    return (
        "Assumed depth: the crack is taken to be as dark inside as in its wide parts. Where it is "
        "15 % less dark than that, its width reads some 15 % too small.",
    )


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def working_parts(one: Any) -> dict[str, float]:
    """Return the parts of a stretch's uncertainty by their source, each as an sd in px."""
    return {NOISE: one.random_sd_px, BLUR: one.blur_sd_px, MODEL: _model_sd(one)}


COMPUTATIONS = {
    "photo.width": Computation(
        name="photo.width",
        title="Width of a crack along its trace",
        input_model=WidthInput,
        output_model=WidthAnswer,
        function=photo_width,
        formula="I(x) = B + g·x − A/2·[erf((x − c + w/2)/(s√2)) − erf((x − c − w/2)/(s√2))] in "
        "linear light, s from an edge of the same photograph; “narrower than” below 2 s",
        sources=("softmend-imaging", "steger1998", "iso12233", "jcgm100"),
        cautions=(AS_LIT, TESTED_ON),
        checked="tests/science/photo/test_width.py",
    ),
}
