"""A paint, a white, a binder: as K and S, or as the drawdowns from which they are worked out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from softmend.catalogue.colour_reading import (
    Curve,
    Nanometres,
    Reading,
    curve_of,
    on_raster,
    raster_for,
    same_way,
)
from softmend.catalogue.computation import Asked, Model, Number
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.coefficients import Coefficients
    from softmend.science.tint.film import Surface as FilmSurface
    from softmend.science.uncertain import Array

MM_PER_UM = 1e-3

Coefficient = Annotated[list[Number], Field(min_length=1, max_length=1000)]
Thickness = Annotated[Number, Field(gt=0, le=5000)]
Percent = Annotated[Number, Field(gt=0, le=100)]
Name = Annotated[str, Field(min_length=1, max_length=200)]


class Surface(Model):
    """The surface correction (Saunderson): k1 from outside, k2 from inside; 0 and 0 for matte pulp.

    Use one pair for characterising and for predicting. `specular` says whether the readings hold
    the surface reflection.
    """

    k1: Annotated[Number, Field(ge=0, le=0.2)] = 0.04
    k2: Annotated[Number, Field(ge=0, le=0.9)] = 0.6
    specular: Literal["included", "excluded"] = "included"

    def film(self) -> FilmSurface:
        """Return the same for the film model."""
        from softmend.science.tint.film import Surface as FilmSurface

        return FilmSurface(self.k1, self.k2, 1.0 if self.specular == "included" else 0.0)


class Drawdowns(Model):
    """Readings of one paint from which K and S come; give one of three sets.

    Two backings (best for a translucent skin): `over_black` and `over_white`, the bare `black` and
    `white` grounds, `thickness_um`. A thin layer and a thick pad (pulp, paper): `over_black`,
    `hiding`, `thickness_um`. Masstone and tint (hiding films; S is then relative to the white):
    `masstone`, `tint`, `white_hiding`, `paint_in_tint_percent`. `paint_percent` is the share of dry
    paint in the dry film, the rest being clear binder. `bare_surface` is the surface of the bare
    black and white when they were read, 0 and 0 for matte cards; left out, it is that of the film.
    """

    bare_surface: Surface | None = None
    over_black: Reading | None = None
    over_white: Reading | None = None
    black: Reading | None = None
    white: Reading | None = None
    hiding: Reading | None = None
    masstone: Reading | None = None
    tint: Reading | None = None
    white_hiding: Reading | None = None
    paint_in_tint_percent: Annotated[Number, Field(gt=0, lt=100)] | None = None
    thickness_um: Thickness | None = None
    paint_percent: Percent = 100.0


class Stock(Model):
    """A bottle of a paint: dry paint and dry binder in it, and the mass of one drop.

    Weigh 20 drops and divide by 20. Without `drop_g` it is only weighed.
    """

    name: Name
    paint_percent: Percent
    binder_percent: Annotated[Number, Field(ge=0, le=100)] = 0.0
    drop_g: Annotated[Number, Field(gt=0, le=1)] | None = None


class Paint(Model):
    """One paint by its K and S (as `tint.characterise` gives them), or by its drawdowns."""

    name: Name
    wavelengths_nm: Nanometres | None = None
    k_per_mm: Coefficient | None = None
    s_per_mm: Coefficient | None = None
    drawdowns: Drawdowns | None = None
    stocks: Annotated[list[Stock], Field(max_length=10, default_factory=list)]
    fades: Literal["no", "yes", "not known"] = "not known"


@dataclass(frozen=True)
class ReadyPaint:
    """A paint's K and S at its own wavelengths, and what was said about it on the way."""

    name: str
    at: Array
    absorption: Array
    scattering: Array
    warnings: tuple[str, ...] = ()

    def on(self, raster: Array) -> tuple[Array, Array]:
        """Return K and S at the wavelengths of a raster, 0 or more."""
        from softmend.science.tint.curve import on_raster as joined

        k, s = (joined(self.at, one, raster) for one in (self.absorption, self.scattering))
        return k, s


@dataclass(frozen=True)
class Characterised:
    """K and S from readings, with the raster, the misfit and the readings that went in."""

    raster: Array
    found: Coefficients
    method: str
    curves: tuple[Curve, ...]
    warnings: tuple[str, ...]


def ready_paint(given: Paint, surface: Surface, asked: Asked) -> ReadyPaint:
    """Return a paint's K and S, worked out from its drawdowns when it comes with those."""
    from softmend.science.tint.curve import numbers, rising

    by_hand = given.k_per_mm is not None and given.s_per_mm is not None
    if by_hand == (given.drawdowns is not None):
        raise InputError(
            f"The paint “{given.name}” needs K and S, or its drawdowns",
            allowed="k_per_mm and s_per_mm with wavelengths_nm; or drawdowns",
        )
    if given.drawdowns is not None:
        made = characterised(given.name, given.drawdowns, surface, asked)
        k, s = made.found.absorption, made.found.scattering
        good = made.found.known
        if good.sum() < 0.7 * good.size:
            raise InputError(
                f"The drawdowns of “{given.name}” do not give K and S",
                value=f"{int(good.sum())} of {good.size} wavelengths",
                allowed="seven in ten or more",
                remedy="; ".join(made.found.why) or "Measure them again",
            )
        return ReadyPaint(given.name, made.raster[good], k[good], s[good], made.warnings)
    k, s = numbers(given.k_per_mm or []), numbers(given.s_per_mm or [])
    at = numbers(given.wavelengths_nm if given.wavelengths_nm is not None else [550.0])
    if not (k.size == s.size == at.size):
        raise InputError(
            f"K, S and the wavelengths of “{given.name}” are not equally many",
            value=f"{k.size}, {s.size}, {at.size}",
            allowed="one K and one S for each of wavelengths_nm, or one of each without them",
        )
    if k.min() < 0 or s.min() < 0:
        raise InputError(
            f"A K or S of “{given.name}” is negative",
            value=f"{min(k.min(), s.min()):.3g} per mm",
            allowed="0 or more",
            remedy="Characterise the paint again: too little contrast gives such values",
        )
    return ReadyPaint(given.name, rising(at, k)[0], rising(at, k)[1], rising(at, s)[1])


def characterised(
    name: str, given: Drawdowns, surface: Surface, asked: Asked, ground: Surface | None = None
) -> Characterised:
    """Return K and S from the readings of a paint's drawdowns."""
    if given.over_black and given.over_white:
        return _two_backings(name, given, surface, ground or given.bare_surface or surface, asked)
    if given.over_black and given.hiding:
        return _paper_form(name, given, surface, asked)
    if given.masstone and given.tint and given.white_hiding:
        return _masstone(name, given, surface, asked)
    raise InputError(
        f"The drawdowns of “{name}” are not a whole set",
        allowed="over_black, over_white, black, white, thickness_um; or over_black, hiding, "
        "thickness_um; or masstone, tint, white_hiding, paint_in_tint_percent",
    )


def _two_backings(
    name: str, given: Drawdowns, surface: Surface, ground: Surface, asked: Asked
) -> Characterised:
    from softmend.science.tint.coefficients import Drawdown, fitted, from_two_backings

    readings = {"over black": given.over_black, "over white": given.over_white,
                "black": given.black, "white": given.white}  # fmt: skip
    curves, raster = _together(name, readings, asked)
    film_b, film_w = (_internal(one, raster, surface) for one in curves[:2])
    black, white = (_internal(one, raster, ground) for one in curves[2:])
    thickness = _thickness(name, given)
    point = from_two_backings(film_b, film_w, black, white, thickness)
    fit = fitted([Drawdown(thickness, black, film_b), Drawdown(thickness, white, film_w)])
    contrast = median((film_w - film_b).tolist())
    said = [*same_way(curves), *(f"“{name}”, {line}" for line in (*point.why, *fit.why))]
    if contrast < -0.01:
        said.append(
            f"“{name}” is lighter over black than over white by {-100 * contrast:.0f} % of white: "
            "were the two readings changed over?"
        )
    elif contrast < 0.05:
        said.append(
            f"“{name}” nearly hides its ground: the two readings differ by {100 * contrast:.1f} % "
            "only, so S is poorly known."
        )
    return Characterised(raster, _pure(fit, given), "two backings, fitted together", curves,
                         tuple(said))  # fmt: skip


def _paper_form(name: str, given: Drawdowns, surface: Surface, asked: Asked) -> Characterised:
    from softmend.science.tint.coefficients import from_black_and_hiding

    readings = {"over black": given.over_black, "hiding": given.hiding}
    curves, raster = _together(name, readings, asked)
    black, thick = (_internal(one, raster, surface) for one in curves)
    found = from_black_and_hiding(black, thick, _thickness(name, given))
    said = (*same_way(curves), *found.why)
    return Characterised(
        raster, _pure(found, given), "layer over black and thick pad", curves, said
    )


def _masstone(name: str, given: Drawdowns, surface: Surface, asked: Asked) -> Characterised:
    from softmend.science.tint.coefficients import from_masstone_and_tint

    readings = {"masstone": given.masstone, "tint": given.tint, "white": given.white_hiding}
    curves, raster = _together(name, readings, asked)
    if given.paint_in_tint_percent is None:
        raise InputError(f"The share of paint in the tint of “{name}” is not given",
                         allowed="paint_in_tint_percent, above 0 to 100")  # fmt: skip
    paint, tint, white = (_internal(one, raster, surface) for one in curves)
    found = from_masstone_and_tint(paint, tint, white, given.paint_in_tint_percent / 100)
    said = (
        *same_way(curves), *found.why,
        f"K and S of “{name}” are relative to its white (S = 1): a skin over pulp needs absolute "
        "ones, so also draw the white down over two backings.",
    )  # fmt: skip
    return Characterised(raster, found, "masstone and tint", curves, said)


def _together(
    name: str, readings: dict[str, Reading | None], asked: Asked
) -> tuple[tuple[Curve, ...], Array]:
    missing = [word for word, one in readings.items() if one is None]
    if missing:
        raise InputError(
            f"A reading of “{name}” is missing",
            value=", ".join(missing),
            allowed=", ".join(readings),
        )
    curves = tuple(curve_of(one, asked, f"{name}, {word}") for word, one in readings.items() if one)
    return curves, raster_for(curves)


def _internal(curve: Curve, raster: Array, surface: Surface) -> Array:
    from softmend.science.tint.film import under_a_reading

    return under_a_reading(on_raster(curve, raster), surface.film())


def _thickness(name: str, given: Drawdowns) -> float:
    if given.thickness_um is None:
        raise InputError(
            f"The dry thickness of the film of “{name}” is not given",
            allowed="thickness_um, above 0",
            remedy="Coat weight in g/m² divided by the density in g/mL is the thickness in µm",
        )
    return given.thickness_um * MM_PER_UM


def _pure(found: Coefficients, given: Drawdowns) -> Coefficients:
    """Return K and S of the dry paint alone; clear binder is taken to add nothing."""
    from dataclasses import replace

    share = given.paint_percent / 100
    return replace(found, absorption=found.absorption / share, scattering=found.scattering / share)


def plain_list(values: Sequence[float] | Array, digits: int = 6) -> tuple[float | None, ...]:
    """Return numbers for JSON to so many significant digits; what is not known is None."""
    import math

    return tuple(
        None if not math.isfinite(one) else float(f"{float(one):.{digits}g}") for one in values
    )
