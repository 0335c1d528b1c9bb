"""Curves of reflectance and power as arrays: put on a raster, joined, and as they might have come.

Nothing here knows of colours; it is what readings need before they become one.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from softmend.science.tint.colorimetry import EVERY_NM, interpolation
from softmend.science.uncertain import Array


def numbers(values: ArrayLike | Sequence[Array]) -> Array:
    """Return numbers as an array.

    Parameters
    ----------
    values : array, numbers of any shape [any unit]

    Returns
    -------
    array, the same numbers [same unit]

    Source: own.
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> numbers([1, 2]).tolist()
    [1.0, 2.0]
    """
    return np.asarray(values, dtype=np.float64)


def rising(at: ArrayLike, values: ArrayLike) -> tuple[Array, Array]:
    """Return wavelengths in rising order, and their values with them.

    Parameters
    ----------
    at : array, wavelengths in any order [nm]
    values : array, one for each wavelength [any unit]

    Returns
    -------
    wavelengths [nm] and values [same unit], arrays

    Source: own.
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> [one.tolist() for one in rising([500, 400], [0.5, 0.4])]
    [[400.0, 500.0], [0.4, 0.5]]
    """
    nm, found = numbers(at), numbers(values)
    order = np.argsort(nm, kind="stable")
    return nm[order], found[order]


def raster_within(first: float, last: float, step: float) -> Array:
    """Return the multiples of a step that lie within a reach.

    Parameters
    ----------
    first, last : float, ends of the reach [nm]
    step : float, of the raster [nm], above 0

    Returns
    -------
    array, rising wavelengths [nm]

    Source: own.
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> raster_within(395.0, 432.0, 10.0).tolist()
    [400.0, 410.0, 420.0, 430.0]
    """
    start, end = np.ceil(first / step - 1e-9), np.floor(last / step + 1e-9)
    return np.asarray(step * np.arange(start, end + 1))


def on_raster(at: Array, values: Array, raster: Array) -> Array:
    """Return a curve's values at other wavelengths by a smooth join, the ends held.

    Parameters
    ----------
    at : array, rising wavelengths [nm]
    values : array, one for each [any unit], 0 or more
    raster : array, wanted wavelengths [nm]

    Returns
    -------
    array, 0 or more [same unit]

    Source: own, natural cubic spline.
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> at, values = numbers([400, 500, 600]), numbers([0.2, 0.3, 0.4])
    >>> on_raster(at, values, numbers([450])).round(9).tolist()
    [0.25]
    """
    if at.size == 1:
        return np.full(raster.shape, values[0])
    return np.asarray(np.maximum(interpolation(at, raster) @ values, 0.0))


def every_nanometre(at: ArrayLike, power: ArrayLike) -> Array:
    """Return a lamp's power at every nanometre from 360 to 780, joined by straight lines.

    Parameters
    ----------
    at : array, rising wavelengths [nm]
    power : array, one for each [any unit], 0 or more

    Returns
    -------
    array, 421 values, the ends held [same unit]

    Source: cie-15, linear between tabulated values (a smooth join would swing about lamp lines).
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> every_nanometre([400, 700], [1, 1]).size
    421
    """
    return np.maximum(np.interp(EVERY_NM, numbers(at), numbers(power)), 0.0)


def read_again(values: Array, error: float, draws: int, seed: int) -> Array:
    """Return a reading as it might have come out: half the error random, half one offset.

    Parameters
    ----------
    values : array, reflectance [1], 0 to 1
    error : float, standard deviation of one reading [1], 0 or more
    draws : int, how many [1]
    seed : int, of the draws [1]

    Returns
    -------
    array, draws by wavelengths, 0 to 1.5 [1]

    Source: softmend-colour, section 1.5 (random and offset).
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> read_again(numbers([0.5, 0.5]), 0.0, 2, 0).tolist()
    [[0.5, 0.5], [0.5, 0.5]]
    """
    rng = np.random.default_rng(seed)
    noise = rng.standard_normal((draws, values.size)) + rng.standard_normal((draws, 1))
    return np.asarray(np.clip(values + error * np.sqrt(0.5) * noise, 0.0, 1.5))


def spread_over(draws: Sequence[Array], middle: Array) -> float:
    """Return the usual relative spread of values that were found again and again.

    Parameters
    ----------
    draws : sequence of arrays, the values of each time [any unit]; NaN where there was none
    middle : array, the values themselves [same unit]

    Returns
    -------
    float, median over the places of standard deviation over value [1]

    Source: common practice, median of relative standard deviations.
    Checked against: tests/science/tint/test_curve.py.

    Example
    -------
    >>> round(spread_over([numbers([0.9, 2.2]), numbers([1.1, 1.8])], numbers([1, 2])), 3)
    0.1
    """
    every = np.array(draws)
    known = np.isfinite(middle) & np.all(np.isfinite(every), axis=0)
    if not known.any():
        return float("nan")
    share = every[:, known].std(axis=0) / np.maximum(np.abs(middle[known]), 1e-9)
    return float(np.median(share))
