"""A film over a ground, and what a paint absorbs and scatters."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from softmend.catalogue.colour import ColourUnderLamp, FileName, Lamps, ReadingError, under_lamp
from softmend.catalogue.colour_reading import (
    Nanometres,
    ObserverDegrees,
    Reading,
    curve_of,
    on_raster,
    raster_for,
    reflectance_of,
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
    printed,
)
from softmend.catalogue.tint_paint import (
    MM_PER_UM,
    Characterised,
    Coefficient,
    Drawdowns,
    Name,
    Paint,
    Surface,
    characterised,
    plain_list,
    ready_paint,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.uncertain import Array

DRAWS = 12
CAUTIONS = (
    "The film model holds well for hiding paints and less well for clear ones: make a first "
    "drawdown, measure it dry, and correct.",
    "Read pulp + clear skin from the same pulp and press: wetting darkens pulp.",
    "The model knows no light that comes through from the side, as it does in tusk.",
)


class FilmInput(Model):
    """A film over a ground: K and S as one number or one for each of `wavelengths_nm`.

    `ground` is what lies below as read; `ground_reflectance` a single share instead. `surface` is
    that of the film, `ground_surface` that of the ground when it was read (matte pulp: 0 and 0).
    """

    k_per_mm: Coefficient
    s_per_mm: Coefficient
    wavelengths_nm: Nanometres | None = None
    thickness_um: Annotated[Number, Field(ge=0, le=5000)]
    ground: Reading | None = None
    ground_reflectance: Annotated[Number, Field(ge=0, le=1)] | None = None
    surface: Surface = Surface()
    ground_surface: Surface = Surface(k1=0, k2=0)
    readings_file: FileName | None = None
    lamps: Annotated[Lamps, Field(default_factory=lambda: ["D65"])]
    lamp_file: FileName | None = None
    observer_degrees: ObserverDegrees = 2


class FilmAnswer(Answer):
    """What the film reflects under its surface and as an instrument reads it, and its colour."""

    wavelengths_nm: tuple[float, ...] = ()
    internal: tuple[float | None, ...] = ()
    reflectance: tuple[float | None, ...] = ()
    hiding: tuple[float | None, ...] = ()
    by_lamp: tuple[ColourUnderLamp, ...] = ()


class CharacteriseInput(Model):
    """The drawdowns of one paint; see `drawdowns` for the three sets of readings that will do.

    `ground_surface` is the surface of the bare black and white when they were read; left out, it is
    that of the film.
    """

    name: Name = "paint"
    drawdowns: Drawdowns
    surface: Surface = Surface()
    ground_surface: Surface | None = None
    readings_file: FileName | None = None
    reading_error_percent: ReadingError = 0.3


class CharacteriseAnswer(Answer):
    """K and S of the dry paint at each wavelength, ready for `tint.recipe`, and how well known.

    A wavelength whose readings contradict the model is not usable; its K and S may be null.
    """

    name: str = ""
    method: str = ""
    wavelengths_nm: tuple[float, ...] = ()
    k_per_mm: tuple[float | None, ...] = ()
    s_per_mm: tuple[float | None, ...] = ()
    usable: tuple[bool, ...] = ()
    k_spread_percent: float | None = None
    s_spread_percent: float | None = None
    absorption: Estimate | None = None
    scattering: Estimate | None = None


def tint_film(given: FilmInput, asked: Asked) -> FilmAnswer:
    """Return the reflectance of a film over a ground, and its colour under lamps."""
    from softmend.science.tint.film import film, hiding_film, seen_from_outside

    paint = ready_paint(
        Paint(
            name="film", wavelengths_nm=given.wavelengths_nm, k_per_mm=given.k_per_mm,
            s_per_mm=given.s_per_mm, stocks=[],
        ),
        given.surface, asked,
    )  # fmt: skip
    raster, ground, words = _ground(given, paint.at, asked)
    k, s = paint.on(raster)
    depth = given.thickness_um * MM_PER_UM
    inside = film(k * depth, s * depth, ground)
    outside = seen_from_outside(inside, given.surface.film())
    colours = []
    if raster.size > 1:
        for name in given.lamps:
            lamp = weights_of(name, given.observer_degrees, raster, asked)
            colours.append(under_lamp(name, lamp.lab(outside), 0 * lamp.white, lamp.xyz(outside)))
    return FilmAnswer(
        wavelengths_nm=tuple(float(one) for one in raster),
        internal=plain_list(inside, 8),
        reflectance=plain_list(outside, 8),
        hiding=plain_list(hiding_film(k, s), 8),
        by_lamp=tuple(colours),
        warnings=(*words, *paint.warnings),
        working=_film_working(given),
    )


def tint_characterise(given: CharacteriseInput, asked: Asked) -> CharacteriseAnswer:
    """Return K and S of a paint from its drawdowns; "cannot say" where the readings allow none."""
    made = characterised(given.name, given.drawdowns, given.surface, asked, given.ground_surface)
    k, s = made.found.absorption, made.found.scattering
    if not made.found.usable.any():
        return CharacteriseAnswer(answer="cannot say", reasons=made.warnings, name=given.name)
    spread = _spread(given, made, asked)
    return CharacteriseAnswer(
        name=given.name,
        method=made.method,
        wavelengths_nm=tuple(float(one) for one in made.raster),
        k_per_mm=plain_list(k, 5),
        s_per_mm=plain_list(s, 5),
        usable=tuple(bool(one) for one in made.found.usable),
        k_spread_percent=None if spread is None else float(f"{100 * spread[0]:.2g}"),
        s_spread_percent=None if spread is None else float(f"{100 * spread[1]:.2g}"),
        absorption=None if spread is None else _typical(k, spread[0]),
        scattering=None if spread is None else _typical(s, spread[1]),
        warnings=made.warnings,
        working=tuple(
            WorkingValue(name=one.name, text="curve", kind="measured", origin="reading")
            for one in made.curves
        ),
    )


def _ground(given: FilmInput, own: Array, asked: Asked) -> tuple[Array, Array, tuple[str, ...]]:
    from softmend.science.tint.curve import numbers
    from softmend.science.tint.film import under_a_reading

    surface = given.ground_surface.film()
    if (given.ground is None) == (given.ground_reflectance is None):
        raise InputError(
            "The ground is given twice, or not at all", allowed="ground, or ground_reflectance"
        )
    if given.ground is None:
        share = numbers([given.ground_reflectance or 0.0] * own.size)
        return own, under_a_reading(share, surface), ()
    curve = curve_of(given.ground, asked, "ground")
    raster = raster_for([curve])
    read, words = reflectance_of(curve, raster, asked)
    return raster, under_a_reading(read, surface), (*words, *curve.warnings)


def _spread(
    given: CharacteriseInput, made: Characterised, asked: Asked
) -> tuple[float, float] | None:
    """Return how much K and S change, in shares, when the readings are made again with noise."""
    from softmend.science.tint.curve import read_again, spread_over

    fields = [name for name in Drawdowns.model_fields
              if isinstance(getattr(given.drawdowns, name), Reading)]  # fmt: skip
    again: dict[str, list[list[float]]] = {}
    for place, name in enumerate(fields):
        read = on_raster(curve_of(getattr(given.drawdowns, name), asked, name), made.raster)
        noisy = read_again(read, given.reading_error_percent / 100, DRAWS, asked.seed + place)
        again[name] = noisy.clip(0.0, 1.0).tolist()
    at = made.raster.tolist()
    draws = [
        characterised(
            given.name,
            given.drawdowns.model_copy(
                update={
                    name: Reading(wavelengths_nm=at, reflectance=again[name][draw], unit="fraction")
                    for name in fields
                }
            ),
            given.surface,
            asked,
            given.ground_surface,
        ).found
        for draw in range(DRAWS)
    ]
    k_spread = spread_over([one.absorption for one in draws], made.found.absorption)
    s_spread = spread_over([one.scattering for one in draws], made.found.scattering)
    return None if math.isnan(k_spread) else (k_spread, s_spread)


def _typical(values: Array, share: float) -> Estimate:
    from statistics import median

    from softmend.science.uncertain import Band

    middle = median(one for one in values.tolist() if not math.isnan(one))
    spread = 1.645 * share * middle
    band = Band(max(middle - spread, 0.0), middle, middle + spread)
    return Estimate(
        low=band.low, typical=middle, high=band.high, mean=middle, expanded=2 * share * middle,
        text=printed(band, middle, 2 * share * middle, "1/mm"),
    )  # fmt: skip


def _film_working(given: FilmInput) -> tuple[WorkingValue, ...]:
    surface = given.surface
    return (
        WorkingValue(name="thickness", text=f"{given.thickness_um:g} µm", kind="measured",
                     origin="typed"),
        WorkingValue(name="surface correction", text=f"k1 {surface.k1:g}, k2 {surface.k2:g}, "
                     f"specular {surface.specular}", kind="recalled", origin="typed or our usual"),
    )  # fmt: skip


COMPUTATIONS = {
    "tint.film": Computation(
        name="tint.film",
        title="Colour of a film over a ground",
        input_model=FilmInput,
        output_model=FilmAnswer,
        function=tint_film,
        formula="R = (s − Rg (p − c)) / (p − s Rg + c), k = K X, s = S X, p = k + s, "
        "c = α coth α, α² = k² + 2 k s; outside: k1 + (1 − k1)(1 − k2) R / (1 − k2 R)",
        sources=("kubelka1948", "saunderson1942"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_tint.py",
    ),
    "tint.characterise": Computation(
        name="tint.characterise",
        title="What a paint absorbs and scatters, from its drawdowns",
        input_model=CharacteriseInput,
        output_model=CharacteriseAnswer,
        function=tint_characterise,
        formula="K and S, 0 or more and smooth over the wavelengths, that best fit both readings; "
        "ISO 9416 for a layer and a pad; mixture rule for masstone and tint",
        sources=("kubelka1948", "iso9416", "duncan1949", "saunderson1942"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_tint.py",
    ),
}
