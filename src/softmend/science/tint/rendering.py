"""How true a lamp shows colours: the CIE's general colour rendering index Ra."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.colorimetry import EVERY_NM, PLANCK_M_K, colour_temperature
from softmend.science.uncertain import Array

DAYLIGHT_FROM_K, DAYLIGHT_TO_K = 5000.0, 25000.0
FURTHEST = 5.4e-3
"""Distance of a lamp from its reference in the 1960 diagram beyond which Ra says little."""


@dataclass(frozen=True, slots=True)
class Rendering:
    """Ra of a lamp, 100 at most, the temperature of its reference [K], and how far it lies off.

    `index` is None when the lamp is too coloured for a reference; `away` is the distance from the
    reference in the diagram of 1960 [1], beyond FURTHEST the index says little.
    """

    index: float | None
    temperature: float
    away: float


def colour_rendering(power: Array, observer: Array, samples: Array, daylight: Array) -> Rendering:
    """Return the general colour rendering index of a lamp, the mean over eight samples.

    Parameters
    ----------
    power : array, of the lamp at every nm from 360 to 780 [any unit]
    observer : array, three columns of the 2 degree observer at every nm [1]
    samples : array, reflectance of the eight samples at every nm, one a column [1]
    daylight : array, mean and two characters of daylight at every nm, three columns [any unit]

    Returns
    -------
    Rendering, index [1], temperature [K], distance [1]

    Raises
    ------
    InputError
        When there are not eight samples or three parts of daylight at every nm.

    Source: cie-13-3 (recalled).
    Checked against: tests/checks/softmend-colour.csv (ra) and tests/science/tint/test_rendering.py.

    Example
    -------
    >>> eye = np.stack([np.exp(-(((EVERY_NM - c) / 45) ** 2)) for c in (600, 555, 450)], axis=1)
    >>> hot = 1 / (np.expm1(PLANCK_M_K / (EVERY_NM * 1e-9 * 3000.0)) * EVERY_NM**5)
    >>> grey, none = np.full((421, 8), 0.3), np.ones((421, 3))
    >>> round(colour_rendering(hot, eye, grey, none).index, 3)
    100.0
    """
    if samples.shape != (EVERY_NM.size, 8) or daylight.shape != (EVERY_NM.size, 3):
        raise InputError(
            "The samples or the parts of daylight do not stand at every nm",
            value=f"{samples.shape}, {daylight.shape}",
            allowed=f"({EVERY_NM.size}, 8) and ({EVERY_NM.size}, 3)",
        )
    kelvin, _ = colour_temperature(power, observer)
    if not kelvin <= DAYLIGHT_TO_K:  # a lamp without a temperature is none either
        return Rendering(None, kelvin, float("nan"))
    reference = _daylight(kelvin, daylight) if kelvin >= DAYLIGHT_FROM_K else _black_body(kelvin)
    test, true = (_seen(one, observer, samples) for one in (power, reference))
    away = float(np.hypot(*(test.white - true.white)))
    apart = _uniform(_adapted(test, true), test.bright, true.white) - _uniform(
        true.places, true.bright, true.white
    )
    each = 100 - 4.6 * np.sqrt((apart**2).sum(axis=-1))
    return Rendering(float(each.mean()), kelvin, away)


@dataclass(frozen=True, slots=True)
class _Seen:
    """White, samples (u, v of 1960) and their Y under one light whose white has Y = 100."""

    white: Array
    places: Array
    bright: Array


def _seen(power: Array, observer: Array, samples: Array) -> _Seen:
    white = power @ observer
    xyz = (samples * power[:, None]).T @ observer * (100 / white[1])
    return _Seen(_uv(white), _uv(xyz), np.asarray(xyz[:, 1]))


def _uv(xyz: Array) -> Array:
    below = xyz[..., 0] + 15 * xyz[..., 1] + 3 * xyz[..., 2]
    return np.stack([4 * xyz[..., 0] / below, 6 * xyz[..., 1] / below], axis=-1)


def _adapted(test: _Seen, true: _Seen) -> Array:
    """Return the samples under the lamp as an eye used to the reference would see them."""
    c, d = _cone_shares(test.places)
    lamp, wanted = _cone_shares(test.white), _cone_shares(true.white)
    c, d = c * wanted[0] / lamp[0], d * wanted[1] / lamp[1]
    below = 16.518 + 1.481 * c - d
    return np.stack([(10.872 + 0.404 * c - 4 * d) / below, 5.520 / below], axis=-1)


def _cone_shares(uv: Array) -> tuple[Array, Array]:
    u, v = uv[..., 0], uv[..., 1]
    return (4 - u - 10 * v) / v, (1.708 * v + 0.404 - 1.481 * u) / v


def _uniform(uv: Array, bright: Array, white: Array) -> Array:
    """Return U*, V*, W* of 1964."""
    light = 25 * np.cbrt(bright) - 17
    return np.concatenate([13 * light[:, None] * (uv - white), light[:, None]], axis=1)


def _black_body(kelvin: float) -> Array:
    at = EVERY_NM * 1e-9
    return np.asarray(at**-5 / np.expm1(PLANCK_M_K / (at * kelvin)))


def _daylight(kelvin: float, parts: Array) -> Array:
    """Return daylight of a temperature from its mean and two characters."""
    inverse = 1e3 / kelvin
    low, high = (0.244063, 0.09911, 2.9678, -4.6070), (0.237040, 0.24748, 1.9018, -2.0064)
    x = float(np.polynomial.polynomial.polyval(inverse, low if kelvin <= 7000 else high))
    y = -3.0 * x**2 + 2.870 * x - 0.275
    below = 0.0241 + 0.2562 * x - 0.7341 * y
    first = (-1.3515 - 1.7703 * x + 5.9114 * y) / below
    second = (0.0300 - 31.4424 * x + 30.0717 * y) / below
    return np.asarray(parts @ np.array([1.0, first, second]))
