"""How fast moisture follows the air in a slab or a cylinder: at the surface, on the mean, inside.

Each is a sum of first-order lags; a step, a season and a logger's record are answered alike.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

MODES = 400


class Form(StrEnum):
    """The two bodies: a slab that breathes on both faces, a long cylinder."""

    SLAB = "slab"
    CYLINDER = "cylinder"


@dataclass(frozen=True, slots=True)
class Moistures:
    """Relative humidity in equilibrium with the material: mean and deepest place [%]."""

    mean: Array
    core: Array


@lru_cache(maxsize=4)
def modes(form: Form) -> tuple[Array, Array, Array]:
    """Return rates (in D over size squared), weights of the mean and weights of the core.

    Parameters
    ----------
    form : Form, slab or cylinder

    Returns
    -------
    tuple of three arrays, rates and weights [1]

    Source: crank1975, equations 4.17, 4.18, 5.22 and 5.23.
    Checked against: tests/checks/crank1975.csv.

    Example
    -------
    >>> [round(float(one[0]), 3) for one in modes(Form.CYLINDER)]
    [5.783, 0.692, 1.602]
    """
    if form is Form.SLAB:
        odd = 2 * np.arange(MODES) + 1.0
        signs = np.where(np.arange(MODES) % 2 == 0, 1.0, -1.0)
        roots = np.asarray(math.pi * odd, dtype=np.float64)
        return roots * roots, 8 / (roots * roots), 4 * signs / roots
    from scipy.special import j1, jn_zeros

    roots = np.asarray(jn_zeros(0, MODES), dtype=np.float64)
    core: Array = np.asarray(2 / (roots * j1(roots)), dtype=np.float64)
    return roots * roots, 4 / (roots * roots), core


def uptake(form: Form, fourier: ArrayLike) -> Array:
    """Return the share of the final change that a body has taken up on the mean after a step.

    Parameters
    ----------
    form : Form, slab or cylinder
    fourier : float or array, D t / L^2 of a slab of thickness L, D t / a^2 of a cylinder of
        radius a [1], 0 or more

    Returns
    -------
    numpy array, share 0 to 1 [1]

    Raises
    ------
    InputError
        When a dimensionless time is negative.

    Source: crank1975, equations 4.18 and 5.23.
    Checked against: tests/checks/crank1975.csv.

    Example
    -------
    >>> round(float(uptake(Form.SLAB, 0.04918)), 3), round(float(uptake(Form.CYLINDER, 0.06306)), 3)
    (0.5, 0.5)
    """
    return _step(form, fourier)[0]


def core_uptake(form: Form, fourier: ArrayLike) -> Array:
    """Return the share of the final change that has reached the deepest place after a step.

    Parameters
    ----------
    form : Form, slab or cylinder
    fourier : float or array, D t / L^2 of a slab of thickness L, D t / a^2 of a cylinder of
        radius a [1], 0 or more

    Returns
    -------
    numpy array, share 0 to 1 [1]

    Raises
    ------
    InputError
        When a dimensionless time is negative.

    Source: crank1975, equations 4.17 and 5.22, at the middle.
    Checked against: tests/science/moisture/test_diffusion.py (finite differences).

    Example
    -------
    >>> bool(core_uptake(Form.SLAB, 0.01) < 0.02 < uptake(Form.SLAB, 0.01))
    True
    """
    return _step(form, fourier)[1]


def _step(form: Form, fourier: ArrayLike) -> tuple[Array, Array]:
    time = np.asarray(fourier, dtype=np.float64)
    if not np.all(time >= 0):
        raise InputError("A time is negative", value=float(time.min()), allowed="0 or more")
    rates, mean, core = modes(form)
    left = np.exp(-np.multiply.outer(time, rates))
    # Before the first moisture arrives the sum of the core swings about zero by its last term.
    arrived = np.where(time < 2e-3, 0.0, 1 - left @ core)
    short = 4 * np.sqrt(time / math.pi) if form is Form.SLAB else 4 * np.sqrt(time / math.pi) - time
    return np.where(time < 1e-5, np.maximum(short, 0.0), 1 - left @ mean), np.clip(
        arrived, 0.0, 1.0
    )


def response(
    form: Form, rh_percent: ArrayLike, step_s: float, size_m: float, diffusivity_m2_s: float
) -> Moistures:
    """Return the moisture of a body through a record of the air, straight between its readings.

    The body starts in equilibrium with the first reading. Air and surface are taken as one: a
    coating or still air makes the true answer slower.

    Parameters
    ----------
    form : Form, slab or cylinder
    rh_percent : array, readings at even steps [%], 0 to 100, at least two
    step_s : float, time between readings [s], above 0
    size_m : float, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity_m2_s : float, moisture diffusivity across [m2/s], above 0

    Returns
    -------
    Moistures, as long as the record [%]

    Raises
    ------
    InputError
        When the record or a value is out of range.

    Source: crank1975, equations 4.17 and 5.22 (each mode a first-order lag).
    Checked against: tests/science/moisture/test_diffusion.py (finite differences).

    Example
    -------
    >>> import numpy as np
    >>> still = response(Form.SLAB, np.full(5, 50.0), 3600.0, 0.01, 8e-12)
    >>> still.mean.tolist()
    [50.0, 50.0, 50.0, 50.0, 50.0]
    """
    air = np.asarray(rh_percent, dtype=np.float64)
    if air.ndim != 1 or air.size < 2 or not np.all((air >= 0) & (air <= 100)):
        raise InputError(
            "A humidity record cannot be used", allowed="at least two readings of 0 to 100 %"
        )
    if not min(step_s, size_m, diffusivity_m2_s) > 0:
        raise InputError(
            "Time step, size and diffusivity must be positive",
            value=(step_s, size_m, diffusivity_m2_s),
        )
    rates, mean, core = modes(form)
    per_step = rates * diffusivity_m2_s * step_s / size_m**2
    slow = per_step < 50  # what a mode lags after fifty of its own times is nothing
    lagging = lags(np.diff(air), per_step[slow])
    return Moistures(
        np.concatenate([air[:1], air[1:] - mean[slow] @ lagging]),
        np.concatenate([air[:1], air[1:] - core[slow] @ lagging]),
    )


def lags(rises: Array, per_step: Array) -> Array:
    """Return how far each mode lags behind the air after each step: exact for straight steps.

    Parameters
    ----------
    rises : numpy array, rise of the air in each step [%]
    per_step : numpy array, rate of each mode times the step [1], above 0

    Returns
    -------
    numpy array, one row a mode, one column a step [%]

    Source: crank1975, equation 5.22 (each mode a first-order lag).
    Checked against: tests/science/moisture/test_diffusion.py.

    Example
    -------
    >>> lags(np.array([1.0, 0.0]), np.array([1.0])).round(3).tolist()
    [[0.632, 0.233]]
    """
    from scipy.signal import lfilter

    kept = np.exp(-per_step)
    gained = -np.expm1(-per_step) / per_step
    return np.array(
        [lfilter([g], [1.0, -k], rises) for g, k in zip(gained, kept, strict=True)]
    ).reshape(per_step.size, rises.size)


def penetration_depth(diffusivity_m2_s: float, period_s: float) -> float:
    """Return the depth at which a swing of the air has fallen to 1/e of itself.

    Parameters
    ----------
    diffusivity_m2_s : float, moisture diffusivity across [m2/s], above 0
    period_s : float, time of a full swing, there and back [s], above 0

    Returns
    -------
    float, depth [m]

    Raises
    ------
    InputError
        When a value is not above zero.

    Source: crank1975, chapter 1 (periodic surface of a deep body).
    Checked against: tests/checks/softmend-mechanics-moisture.csv.

    Example
    -------
    >>> round(penetration_depth(8e-12, 86400) * 1e3, 3)
    0.469
    """
    if not min(diffusivity_m2_s, period_s) > 0:
        raise InputError(
            "Diffusivity and period must be positive", value=(diffusivity_m2_s, period_s)
        )
    return math.sqrt(diffusivity_m2_s * period_s / math.pi)


def swing_share(
    form: Form, period_s: ArrayLike, size_m: ArrayLike, diffusivity_m2_s: ArrayLike
) -> Array:
    """Return the share of a regular swing of the air that a body takes part in on the mean.

    Parameters
    ----------
    form : Form, slab or cylinder
    period_s : float or array, time of a full swing, there and back [s], above 0
    size_m : float or array, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity_m2_s : float or array, moisture diffusivity across [m2/s], above 0

    Returns
    -------
    numpy array, amplitude of the mean over that of the air, 0 to 1 [1]

    Raises
    ------
    InputError
        When a value is not above zero.

    Source: derived (sum of the lags of crank1975 at one frequency, closed: tanh of a slab, Bessel
    functions of a cylinder).
    Checked against: tests/science/moisture/test_diffusion.py (against `response`).

    Example
    -------
    >>> round(float(swing_share(Form.SLAB, 3.15e7, 0.01, 8e-12)), 2)
    0.97
    """
    period, size, rate = (
        np.asarray(v, dtype=np.float64) for v in (period_s, size_m, diffusivity_m2_s)
    )
    if not all(np.all(v > 0) for v in (period, size, rate)):
        raise InputError("Period, size and diffusivity must be positive")
    wave = np.sqrt(2j * math.pi / (period * rate))
    if form is Form.SLAB:
        half = np.abs(wave) * size / 2 * np.exp(0.25j * math.pi)
        # Beyond a few lengths the hyperbolic tangent is 1; far beyond, its exponentials overflow.
        near = np.where(np.abs(half) < 100, half, 100.0)
        return np.asarray(np.abs(np.tanh(near) / half), dtype=np.float64)
    from scipy.special import ive

    across = np.abs(wave) * size * np.exp(0.25j * math.pi)
    share = 2 * ive(1, across) / (across * ive(0, across))
    return np.asarray(np.abs(share), dtype=np.float64)
