"""Colours of readings under the lamps of bench and gallery, and how far two lie apart."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from softmend.catalogue.colour_reading import (
    Curve,
    LampName,
    ObserverDegrees,
    Reading,
    all_of_file,
    curve_of,
    observer,
    power_of,
    raster_for,
    reflectance_of,
    rendering_parts,
    resampling_words,
    same_way,
    weights_of,
)
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    WorkingValue,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.colorimetry import Weights
    from softmend.science.tint.rendering import Rendering
    from softmend.science.uncertain import Array

DRAWS = 400
CAUTIONS = (
    "Judge only dry films, under the lamps of the gallery, and let a second person look.",
    "Tusk and bone are translucent: a small aperture reads them too dark. Use the largest one, the "
    "same for fill and object, and average five places or more.",
    "CIEDE2000 is for large, plain patches side by side; for a fill of known size see "
    "sight.verdict.",
)

Lamps = Annotated[list[LampName], Field(min_length=1, max_length=12)]


def _daylight() -> list[str]:
    return ["D65"]


def _usual_lamps() -> list[str]:
    return ["D65", "A", "LED-B2", "LED-B3", "FL11", "LED-RGB1"]


FileName = Annotated[str, Field(max_length=1000)]
ReadingError = Annotated[Number, Field(ge=0, le=5)]


class ColourLabInput(Model):
    """Readings whose colours are wanted; without `readings`, every sample of `readings_file`.

    `lamps` are names such as D65, A, LED-B2, or of samples in `lamp_file` (nm and power).
    `reading_error_percent` is the standard deviation of one reading, in percent of full white.
    """

    readings: Annotated[list[Reading], Field(max_length=500, default_factory=list)]
    readings_file: FileName | None = None
    lamps: Annotated[Lamps, Field(default_factory=_daylight)]
    lamp_file: FileName | None = None
    observer_degrees: ObserverDegrees = 2
    reading_error_percent: ReadingError = 0.3


class ColourUnderLamp(Model):
    """One colour under one lamp, with the uncertainty (k = 2) that the readings give it."""

    lamp: str
    lab: tuple[float, float, float]
    lab_expanded: tuple[float, float, float]
    xyz: tuple[float, float, float]
    chroma: float
    hue_degrees: float
    text: str


class NamedColour(Model):
    """One reading and its colour under each lamp; `is_estimated` marks a curve made of a colour."""

    name: str
    is_estimated: bool
    by_lamp: tuple[ColourUnderLamp, ...]


class LampFacts(Model):
    """What is known of a lamp: its white, its colour temperature when it has one, and its Ra.

    `colour_rendering` is the CIE's general index Ra, 100 at most; null when the lamp has none.
    """

    name: str
    white_xyz: tuple[float, float, float]
    colour_temperature_text: str
    colour_rendering: float | None
    colour_rendering_text: str


class ColourLabAnswer(Answer):
    """Colours under lamps."""

    colours: tuple[NamedColour, ...] = ()
    lamps: tuple[LampFacts, ...] = ()


class DifferenceInput(Model):
    """Two readings and the lamps under which they are compared; the first lamp is the reference."""

    first: Reading
    second: Reading
    readings_file: FileName | None = None
    lamps: Annotated[Lamps, Field(default_factory=_usual_lamps)]
    lamp_file: FileName | None = None
    observer_degrees: ObserverDegrees = 2
    reading_error_percent: ReadingError = 0.3


class DifferenceUnderLamp(Model):
    """The difference under one lamp, which way the second lies, and what metamerism adds.

    `metamerism` is the difference under this lamp once both are made equal under the reference.
    """

    lamp: str
    difference: Estimate
    direction: str
    metamerism: float | None


class DifferenceAnswer(Answer):
    """How far two colours lie apart under each lamp, and under which one most."""

    by_lamp: tuple[DifferenceUnderLamp, ...] = ()
    worst_lamp: str = ""
    text: str = ""


def colour_lab(given: ColourLabInput, asked: Asked) -> ColourLabAnswer:
    """Return the colours of readings under each lamp."""
    curves = [
        curve_of(one, asked, f"reading {place}")
        for place, one in enumerate(given.readings, start=1)
    ]
    if not curves:
        if given.readings_file is None:
            raise InputError("No reading was given", allowed="readings, or readings_file")
        curves = all_of_file(asked)
    colours: list[NamedColour] = []
    words: list[str] = []
    for one in curves:
        colour, said = _colours(one, given, asked)
        colours.append(colour)
        words += said
    return ColourLabAnswer(
        colours=tuple(colours),
        lamps=tuple(_lamp_facts(name, given.observer_degrees, asked) for name in given.lamps),
        warnings=tuple(dict.fromkeys([*words, *resampling_words(curves)])),
        working=_working(given, curves),
    )


def colour_difference(given: DifferenceInput, asked: Asked) -> DifferenceAnswer:
    """Return how far two readings lie apart under each lamp."""
    from softmend.science.tint.difference import metamerism

    pair = [curve_of(given.first, asked, "first"), curve_of(given.second, asked, "second")]
    raster = raster_for(pair)
    (one, words_one), (two, words_two) = (reflectance_of(c, raster, asked) for c in pair)
    lamps = [weights_of(name, given.observer_degrees, raster, asked) for name in given.lamps]
    both = all(c.is_measured for c in pair)
    index = metamerism(one, two, lamps[0], lamps[1:]) if both else {}
    noisy = [_noisy(c, given.reading_error_percent, asked.seed + place)
             for place, c in enumerate((one, two))]  # fmt: skip
    rows = tuple(
        _difference(
            lamp.name,
            [_under(curve, given.observer_degrees, lamp, *shares)
             for curve, shares in zip(pair, zip((one, two), noisy, strict=True), strict=True)],
            index.get(lamp.name),
        )
        for lamp in lamps
    )  # fmt: skip
    worst = max(rows, key=lambda row: row.difference.typical)
    return DifferenceAnswer(
        by_lamp=rows,
        worst_lamp=worst.lamp,
        text=f"{pair[1].name} is {worst.direction} than {pair[0].name} by "
        f"{worst.difference.text} CIEDE2000 under {worst.lamp}, the worst of these lamps.",
        warnings=tuple(
            dict.fromkeys([*same_way(pair), *words_one, *words_two, *pair[0].warnings,
                           *pair[1].warnings, *resampling_words(pair)])
        ),
        working=_working(given, pair),
    )  # fmt: skip


def _colours(
    curve: Curve, given: ColourLabInput, asked: Asked
) -> tuple[NamedColour, tuple[str, ...]]:
    from softmend.science.tint.colorimetry import xyz_of_lab

    raster = curve.at if curve.at is not None else raster_for([])
    raster_for([curve])
    values, words = (
        (curve.values, ()) if curve.values is not None else reflectance_of(curve, raster, asked)
    )
    rows = []
    for name in given.lamps:
        lamp = weights_of(name, given.observer_degrees, raster, asked)
        noisy = _noisy(values, given.reading_error_percent, asked.seed)
        lab, draws = _under(curve, given.observer_degrees, lamp, values, noisy)
        rows.append(under_lamp(name, lab, 2 * draws.std(axis=0), xyz_of_lab(lab, lamp.white)))
    return (
        NamedColour(name=curve.name, is_estimated=not curve.is_measured, by_lamp=tuple(rows)),
        (*words, *curve.warnings),
    )


def under_lamp(name: str, lab: Array, spread: Array, xyz: Array) -> ColourUnderLamp:
    """Return a colour with its uncertainty as it is shown."""
    import math

    from softmend.science.digits import rounded

    axes = ("L*", "a*", "b*")
    parts = [rounded(float(v), float(u)).text() for v, u in zip(lab, spread, strict=True)]
    return ColourUnderLamp(
        lamp=name,
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        lab_expanded=(float(spread[0]), float(spread[1]), float(spread[2])),
        xyz=(float(xyz[0]), float(xyz[1]), float(xyz[2])),
        chroma=math.hypot(lab[1], lab[2]),
        hue_degrees=math.degrees(math.atan2(lab[2], lab[1])) % 360,
        text=", ".join(f"{axis} {part}" for axis, part in zip(axes, parts, strict=True)),
    )


def _under(
    curve: Curve, degrees: int, lamp: Weights, values: Array, noisy: Array
) -> tuple[Array, Array]:
    """Return a colour under a lamp and its draws; one given as L*, a*, b* for it stays as given."""
    from softmend.science.tint.curve import numbers

    lab, draws = lamp.lab(values), lamp.lab(noisy)
    is_own = (lamp.name.casefold(), degrees) == (curve.lamp.casefold(), curve.observer_degrees)
    if curve.is_measured or curve.lab is None or not is_own:
        return lab, draws
    given = numbers(curve.lab)
    return given, draws + (given - lab)


def _difference(
    lamp: str, pair: Sequence[tuple[Array, Array]], index: float | None
) -> DifferenceUnderLamp:
    from softmend.science.digits import band_text
    from softmend.science.tint.difference import colour_difference_ciede2000, direction

    (first, first_draws), (second, second_draws) = pair
    draws = colour_difference_ciede2000(first_draws, second_draws)
    nominal = float(colour_difference_ciede2000(first, second))
    ordered = sorted(draws.tolist())
    low = min(ordered[len(ordered) // 20], nominal)
    high = max(ordered[-len(ordered) // 20], nominal)
    return DifferenceUnderLamp(
        lamp=lamp,
        difference=Estimate(
            low=low, typical=nominal, high=high, mean=float(draws.mean()),
            expanded=2 * float(draws.std()), text=band_text(low, nominal, high),
        ),
        direction=direction(second - first),
        metamerism=index,
    )  # fmt: skip


def _noisy(values: Array, error_percent: float, seed: int) -> Array:
    from softmend.science.tint.curve import read_again

    return read_again(values, error_percent / 100, DRAWS, seed)


def _lamp_facts(name: str, degrees: int, asked: Asked) -> LampFacts:
    from softmend.science.tint.rendering import colour_rendering

    power = power_of(name, asked)
    white = power @ observer(degrees)
    found = colour_rendering(power, observer(2), *rendering_parts())
    scaled = 100 * white / white[1]
    kelvin = found.temperature
    return LampFacts(
        name=name,
        white_xyz=(float(scaled[0]), 100.0, float(scaled[2])),
        colour_temperature_text="none: too coloured" if math.isnan(kelvin) else f"{kelvin:.0f} K",
        colour_rendering=None if found.index is None else round(found.index, 1),
        colour_rendering_text=_rendering_text(found),
    )


def _rendering_text(found: Rendering) -> str:
    """Return Ra to a whole number: the samples and the eye that it stands for bear no more."""
    from softmend.science.tint.rendering import FURTHEST

    if found.index is None:
        return "Ra: none, the lamp is too coloured"
    doubt = ", a weak number: its light is tinted" if found.away > FURTHEST else ""
    return f"Ra {found.index:.0f}{doubt}"


def _working(
    given: ColourLabInput | DifferenceInput, curves: Sequence[Curve]
) -> tuple[WorkingValue, ...]:
    def line(name: str, text: str, kind: str, origin: str) -> WorkingValue:
        return WorkingValue(name=name, text=text, kind=kind, origin=origin)

    made = [
        line(one.name, "curve" if one.is_measured else "colour only: curve estimated",
             "measured" if one.is_measured else "estimated", "reading")
        for one in curves
    ]  # fmt: skip
    return (
        *made,
        line("lamps", ", ".join(given.lamps), "library", "table:lamps"),
        line("observer", f"{given.observer_degrees}°", "library", "table:observers"),
        line("error of a reading", f"{given.reading_error_percent:g} % of white", "estimated",
             "typed or our usual"),
    )  # fmt: skip


COMPUTATIONS = {
    "colour.lab": Computation(
        name="colour.lab",
        title="Colours of readings under lamps",
        input_model=ColourLabInput,
        output_model=ColourLabAnswer,
        function=colour_lab,
        formula="X, Y, Z by summing lamp × observer × reflectance at 1 nm, then CIELAB; a colour "
        "without a curve gets the smoothest curve that has it",
        sources=("cie-15", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_colour.py",
    ),
    "colour.difference": Computation(
        name="colour.difference",
        title="How far two colours lie apart under each lamp",
        input_model=DifferenceInput,
        output_model=DifferenceAnswer,
        function=colour_difference,
        formula="CIEDE2000 under each lamp; metamerism after scaling X, Y, Z to match under the "
        "first lamp",
        sources=("sharma2005", "cie-15"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_colour.py",
    ),
}
