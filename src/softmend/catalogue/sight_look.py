"""What is looked at, from where, and how it is made ready for the eye's model."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.colour import FileName
from softmend.catalogue.colour_reading import (
    LampName,
    Reading,
    curve_of,
    raster_for,
    reflectance_of,
    same_way,
    weights_of,
)
from softmend.catalogue.computation import Asked, Model, Number, Point, WorkingValue
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.window import Looking
    from softmend.science.uncertain import Array

M_PER_MM = 1e-3
COARSE_PX = 30.0
Direction = Literal["lighter", "darker", "redder", "greener", "yellower", "bluer", "duller"]
Millimetres = Annotated[Number, Field(gt=0, le=100_000)]
Variation = Annotated[Number, Field(ge=0, le=100)]


def _directions() -> list[Direction]:
    return ["lighter", "darker", "redder", "yellower", "duller"]


class TextureGiven(Model):
    """The surround's own variation as `sight.surround` gives it, CIEDE2000 from each distance."""

    noise_far: Variation
    noise_near: Variation
    grain_far: Variation
    grain_near: Variation


class SightInput(Model):
    """A fill's size, the colour round it, and from where it is looked at.

    `far_mm` is the visitor's distance, `near_mm` that of the bench. `outline_mm` is the fill's
    outline when it is no straight bar: points in millimetres. `texture` is the surround's own, of a
    photograph with the fill in it; or `surround_file` is a square-on picture of the surround
    without the fill, `px_per_mm` its scale. A fill of one flat colour then lacks the grain.
    `noticed` is the difference that draws this observer's eye, 1 unless a self-test said otherwise.
    """

    surround: Reading
    width_mm: Millimetres
    length_mm: Millimetres
    far_mm: Millimetres = 1829.0
    near_mm: Millimetres = 250.0
    lamp: LampName = "D65"
    readings_file: FileName | None = None
    lamp_file: FileName | None = None
    outline_mm: Annotated[list[Point], Field(min_length=3, max_length=5000)] | None = None
    texture: TextureGiven | None = None
    surround_file: FileName | None = None
    px_per_mm: Annotated[Number, Field(gt=0, le=1000)] | None = None
    noticed: Annotated[Number, Field(ge=0.05, le=20)] = 1.0


class VerdictInput(SightInput):
    """The same, with the colour of the fill.

    `fill_file` is a picture of the toned fill at the scale of `surround_file`: its grain is then
    compared.
    """

    fill: Reading
    fill_file: FileName | None = None


class WindowInput(SightInput):
    """The same; `directions` are those in which the fill may differ."""

    directions: Annotated[
        list[Direction], Field(min_length=1, max_length=7, default_factory=_directions)
    ]


def made_ready(
    given: SightInput, asked: Asked, fill: Reading | None
) -> tuple[Looking, Any, tuple[str, ...], dict[str, tuple[float, float]]]:
    """Return where it is looked at from, the fill's colour, warnings, and grains by distance."""
    from softmend.science.tint.window import Looking

    curves = [curve_of(given.surround, asked, "surround")]
    if fill is not None:
        curves.append(curve_of(fill, asked, "fill"))
    raster = raster_for(curves)
    lamp = weights_of(given.lamp, 2, raster, asked)
    labs, words = [], list(same_way(curves))
    for one in curves:
        if one.lab is not None and one.lamp.casefold() == given.lamp.casefold():
            labs.append(one.lab)
        else:
            values, said = reflectance_of(one, raster, asked)
            found = lamp.lab(values)
            labs.append((float(found[0]), float(found[1]), float(found[2])))
            words += said
        words += one.warnings
    noise, grain, more = _texture(given, asked, lamp.white)
    white = tuple(float(v) for v in lamp.white)
    looking = Looking(
        given.width_mm * M_PER_MM, given.length_mm * M_PER_MM, given.far_mm * M_PER_MM,
        given.near_mm * M_PER_MM, labs[0], (white[0], white[1], white[2]),
        noise.get("far", 0.0), noise.get("near", 0.0), given.noticed,
        _gains(given, given.far_mm), _gains(given, given.near_mm),
    )  # fmt: skip
    return looking, labs[-1], tuple(dict.fromkeys([*words, *more])), grain


def working_of(given: SightInput) -> tuple[WorkingValue, ...]:
    """Return what went into a verdict, with its kind."""
    rows = [
        ("fill", f"{given.width_mm:g} × {given.length_mm:g} mm", "measured", "typed"),
        ("distances", f"{given.far_mm:g} and {given.near_mm:g} mm", "estimated", "the house"),
        ("lamp", given.lamp, "library", "table:lamps"),
        ("what draws the eye", f"{given.noticed:g} CIEDE2000", "estimated",
         "our convention, or a self-test"),
    ]  # fmt: skip
    return tuple(WorkingValue(name=a, text=b, kind=c, origin=d) for a, b, c, d in rows)


def _gains(given: SightInput, distance_mm: float) -> Array | None:
    """Return what is left of a fill of its own outline from a distance; None for a bar."""
    if given.outline_mm is None:
        return None
    return _gains_of(tuple((x, y) for x, y in given.outline_mm), distance_mm)


@lru_cache(maxsize=64)
def _gains_of(outline_mm: tuple[tuple[float, float], ...], distance_mm: float) -> Array:
    # Verdict and window ask for the same outline; it is blurred once.
    from softmend.science.tint.seen_picture import outline_gains

    outline = [[x * M_PER_MM, y * M_PER_MM] for x, y in outline_mm]
    return outline_gains(outline, distance_mm * M_PER_MM)


def short(value: float) -> float:
    """Return a number to the three digits that are shown."""
    return float(f"{float(value):.3g}")


def _texture(
    given: SightInput, asked: Asked, white: Array
) -> tuple[dict[str, float], dict[str, tuple[float, float]], list[str]]:
    """Return the surround's noise and the grains of surround and fill, from pictures if there."""
    from softmend.science.tint.chart import picture_xyz
    from softmend.science.tint.seen_picture import samples_per_degree, surround_noise

    if given.texture is not None:
        told, flat = given.texture, 0.0
        return (
            {"far": told.noise_far, "near": told.noise_near},
            {"far": (told.grain_far, flat), "near": (told.grain_near, flat)},
            [],
        )
    if "surround_file" not in asked.files:
        return {}, {}, ["The surround was taken to be even: it has no picture."]
    if given.px_per_mm is None:
        raise InputError(
            "The picture of the surround has no scale", allowed="px_per_mm, above 0",
            remedy="photo.scale gives it",
        )  # fmt: skip
    picture = picture_xyz(asked.files["surround_file"], white)
    window = (
        max(1, round(given.width_mm * given.px_per_mm)),
        max(1, round(given.length_mm * given.px_per_mm)),
    )
    noise, grains, words = {}, {}, []
    for place, distance in (("far", given.far_mm), ("near", given.near_mm)):
        samples = samples_per_degree(given.px_per_mm / M_PER_MM, distance * M_PER_MM)
        if samples < COARSE_PX:
            words.append(
                f"The picture has only {samples:.0f} px a degree from {distance:g} mm; finer "
                "texture is not counted."
            )
        noise[place], own = surround_noise(picture, white, samples, window)
        if "fill_file" in asked.files:
            filled = picture_xyz(asked.files["fill_file"], white)
            grains[place] = own, surround_noise(filled, white, samples, (1, 1))[1]
    return noise, grains, words
