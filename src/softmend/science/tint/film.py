"""Colour of a film over a ground, from what its paints absorb and scatter.

K is absorption and S scattering for each unit of thickness, X the thickness in the inverse unit;
only the products K X and S X matter. Reflectances are shares of the light, 0 to 1. Those without
another word are internal: what the film reflects under its own surface.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

SERIES_BELOW = 1e-3
"""Squared depth below which the hyperbolic term is taken from its series."""
LARGEST = 1e9


@dataclass(frozen=True, slots=True)
class Surface:
    """What the outer surface of a film sends back: k1 from outside, k2 from inside.

    `seen` is the share of the outer reflection that the instrument takes in: 1 when the specular
    part is included, 0 when it is excluded.
    """

    k1: float = 0.04
    k2: float = 0.6
    seen: float = 1.0

    def __post_init__(self) -> None:
        """Refuse shares that cannot be."""
        for name, value, most in (
            ("k1", self.k1, 0.2),
            ("k2", self.k2, 0.9),
            ("seen share", self.seen, 1),
        ):
            if not 0 <= value <= most:
                raise InputError(
                    f"The surface correction {name} is out of range",
                    value=value,
                    allowed=f"0 to {most}",
                    remedy="0.04 and 0.6 are usual; 0 and 0 leave the readings uncorrected",
                )


NO_SURFACE = Surface(0.0, 0.0)


def film(absorbed: ArrayLike, scattered: ArrayLike, ground: ArrayLike) -> Array:
    """Return the reflectance of a film over a ground.

    Parameters
    ----------
    absorbed : array, K X [1], 0 or more
    scattered : array, S X [1], 0 or more
    ground : array, internal reflectance of what lies below [1], 0 to 1

    Returns
    -------
    array, internal reflectance [1], finite for every thickness, K and S, zero included

    Raises
    ------
    InputError
        When a value is outside its range.

    Source: kubelka1948, the film over a ground; written so that nothing divides by zero.
    Checked against: tests/checks/softmend-colour.csv; tests/checks/softmend-tint-oracle.csv.

    Example
    -------
    >>> round(float(film(0.1, 1.0, 0.8)), 8)
    0.71234729
    """
    k = _within("absorption", absorbed, LARGEST)
    s = _within("scattering", scattered, LARGEST)
    rg = _within("reflectance of the ground", ground, 1.0)
    # The last bit of a division may lie above 1.
    return np.asarray(np.clip(film_unchecked(k, s, rg), 0.0, 1.0))


def film_unchecked(k: Array, s: Array, rg: Array) -> Array:
    """Return the reflectance of a film over a ground, for callers that have checked their arrays.

    Parameters
    ----------
    k, s : array, K X and S X [1], 0 or more
    rg : array, internal reflectance of what lies below [1], 0 to 1

    Returns
    -------
    array, internal reflectance [1]

    Source: kubelka1948, the film over a ground.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> round(float(film_unchecked(np.array(1.0), np.array(1.0), np.array(0.8))), 6)
    0.287514
    """
    p = k + s
    c = _coth_term(k * (k + 2 * s))
    # Without matter, light comes from the ground only: both parts vanish and the ratio is Rg.
    return np.asarray((s - rg * (p - c)) / (p - s * rg + c))


def film_slopes(k: Array, s: Array, rg: Array) -> tuple[Array, Array, Array]:
    """Return the reflectance of a film and how it changes with K X and with S X.

    Parameters
    ----------
    k, s : array, K X and S X [1], 0 or more
    rg : array, internal reflectance of what lies below [1], 0 to 1

    Returns
    -------
    reflectance, its slope with K X, its slope with S X, arrays [1]

    Source: kubelka1948, the film over a ground, differentiated.
    Checked against: tests/science/tint/test_film.py.

    Example
    -------
    >>> r, dk, ds = film_slopes(np.array(0.5), np.array(0.5), np.array(0.8))
    >>> bool(dk < 0 < r < 1)
    True
    """
    u = k * (k + 2 * s)
    c = _coth_term(u)
    p = k + s
    small = u < 1e-2
    safe = np.where(small, 1.0, u)
    rise = np.where(
        small, 1 / 3 - 2 * u / 45 + 2 * u * u / 315, (c - c * c + safe) / (2 * safe)
    )  # d(alpha coth alpha)/d(alpha^2)
    c_k, c_s = rise * 2 * p, rise * 2 * k
    below = p - s * rg + c
    r = (s - rg * (p - c)) / below
    slope_k = (-rg * (1 - c_k) - r * (1 + c_k)) / below
    slope_s = (1 - rg * (1 - c_s) - r * (1 - rg + c_s)) / below
    return np.asarray(r), np.asarray(slope_k), np.asarray(slope_s)


def hiding(absorption_ratio: ArrayLike) -> Array:
    """Return the reflectance of a film so thick that its ground does not matter.

    Parameters
    ----------
    absorption_ratio : array, K/S [1], 0 or more

    Returns
    -------
    array, internal reflectance [1]

    Raises
    ------
    InputError
        When K/S is negative or not a number.

    Source: kubelka1948, R infinite.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> round(float(hiding(1 / 40)), 12)
    0.8
    """
    ratio = _within("K/S", absorption_ratio, np.inf)
    # The same as 1 + q - sqrt(q^2 + 2q), without taking two large numbers from each other.
    return np.asarray(1 / (1 + ratio + np.sqrt(ratio) * np.sqrt(ratio + 2)))


def absorption_ratio(reflectance: ArrayLike) -> Array:
    """Return K/S of a hiding film from its reflectance.

    Parameters
    ----------
    reflectance : array, internal [1], above 0 to 1

    Returns
    -------
    array, K/S [1]

    Raises
    ------
    InputError
        When the reflectance is not above 0, or above 1.

    Source: kubelka1948, (1 - R)^2 / 2R.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> float(absorption_ratio(0.8).round(12))
    0.025
    """
    r = _within("reflectance", reflectance, 1.0)
    if np.any(r <= 0):
        raise InputError("A hiding film reflects nothing", value=0, allowed="above 0 to 1")
    return np.asarray((1 - r) ** 2 / (2 * r))


def seen_from_outside(internal: ArrayLike, surface: Surface) -> Array:
    """Return the reflectance that an instrument reads, from that under the surface.

    Parameters
    ----------
    internal : array, reflectance under the surface [1], 0 to 1
    surface : Surface, its two shares [1]

    Returns
    -------
    array, external reflectance [1]

    Raises
    ------
    InputError
        When a reflectance is outside 0 to 1.

    Source: saunderson1942, both directions.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> round(float(seen_from_outside(0.5, Surface(0.04, 0.6))), 6)
    0.314286
    """
    r = _within("reflectance", internal, 1.0)
    through = (1 - surface.k1) * (1 - surface.k2)
    return np.asarray(surface.seen * surface.k1 + through * r / (1 - surface.k2 * r))


def under_the_surface(external: ArrayLike, surface: Surface) -> Array:
    """Return the reflectance under the surface, from what an instrument reads.

    Parameters
    ----------
    external : array, reflectance as read [1]
    surface : Surface, its two shares [1]

    Returns
    -------
    array, internal reflectance [1]; below 0 where the reading is darker than the surface alone

    Raises
    ------
    InputError
        When a reading is outside 0 to 1.

    Source: saunderson1942, both directions.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> round(float(under_the_surface(0.5, Surface(0.04, 0.6))), 6)
    0.69697
    """
    seen = _within("reading", external, 1.0) - surface.seen * surface.k1
    through = (1 - surface.k1) * (1 - surface.k2)
    return np.asarray(seen / (through + surface.k2 * seen))


def under_a_reading(read: Array, surface: Surface) -> Array:
    """Return the reflectance under the surface of what was read, kept between 0 and 1.

    Parameters
    ----------
    read : array, reflectance as read [1]; a fluorescent or noisy reading may leave 0 to 1
    surface : Surface, its two shares [1]

    Returns
    -------
    array, internal reflectance [1], 0 to 1

    Source: saunderson1942, both directions.
    Checked against: tests/science/tint/test_film.py.

    Example
    -------
    >>> under_a_reading(np.array([0.01, 1.05]), Surface(0.04, 0.6)).tolist()
    [0.0, 1.0]
    """
    return np.clip(under_the_surface(np.clip(read, 0, 1), surface), 0, 1)


def hiding_film(absorption: Array, scattering: Array) -> Array:
    """Return the reflectance of a film so thick that its ground does not matter, from K and S.

    Parameters
    ----------
    absorption, scattering : array, K and S [1 over any one unit], 0 or more

    Returns
    -------
    array, internal reflectance [1]; 0 where nothing scatters

    Source: kubelka1948, R infinite.
    Checked against: tests/science/tint/test_film.py.

    Example
    -------
    >>> hiding_film(np.array([1.0, 1.0]), np.array([40.0, 0.0])).round(6).tolist()
    [0.8, 0.0]
    """
    scatters = scattering > 0
    ratio = np.divide(absorption, scattering, out=np.zeros(absorption.shape), where=scatters)
    return np.where(scatters, hiding(ratio), 0.0)


def surface_of_index(index: float) -> Surface:
    """Return the two shares of a flat, clean surface from its refractive index.

    Parameters
    ----------
    index : float, refractive index of the binder [1], 1 to 2

    Returns
    -------
    Surface, k1 for light square to it, k2 for diffuse light inside [1]

    Raises
    ------
    InputError
        When the index is outside 1 to 2.

    Source: saunderson1942, with Fresnel's equations averaged over a half sphere.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> one = surface_of_index(1.5)
    >>> round(one.k1, 5), round(one.k2, 5)
    (0.04, 0.59635)
    """
    if not 1 <= index <= 2:
        raise InputError("The refractive index is out of range", value=index, allowed="1 to 2")
    normal = ((index - 1) / (index + 1)) ** 2
    return Surface(normal, 1 - (1 - _diffuse(index)) / index**2)


def _diffuse(index: float) -> float:
    """Return the share of diffuse light that a surface sends back, from outside."""
    nodes, weights = np.polynomial.legendre.leggauss(200)
    angle = np.pi / 4 * (nodes + 1)
    inside = np.sqrt(1 - (np.sin(angle) / index) ** 2)
    cos = np.cos(angle)
    across = ((cos - index * inside) / (cos + index * inside)) ** 2
    along = ((inside - index * cos) / (inside + index * cos)) ** 2
    each = (across + along) / 2 * np.sin(2 * angle) * np.pi / 4
    return float(weights @ each)


def _coth_term(u: Array) -> Array:
    """Return alpha coth alpha, alpha the root of u; its series where alpha is small."""
    small = u < SERIES_BELOW
    alpha = np.sqrt(np.where(small, 1.0, u))
    series = 1 + u / 3 - u * u / 45
    return np.where(small, series, alpha / np.tanh(alpha))


def _within(name: str, values: ArrayLike, most: float) -> Array:
    found = np.asarray(values, dtype=np.float64)
    if found.size and not (np.all(found >= 0) and np.all(found <= most)):
        wrong = found[~((found >= 0) & (found <= most))].flat[0]
        raise InputError(
            f"A value of {name} is out of range",
            value=f"{wrong:.4g}",
            allowed=f"0 to {most:g}",
            remedy="Reflectances are shares, 0 to 1; say “percent” when yours are in percent"
            if most == 1
            else "",
        )
    return found
