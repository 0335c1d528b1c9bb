"""What an object makes of its air: at the surface, on the mean and in the core, never one number.

A film or still air on the surface slows all three. The single lag is kept only to show how wrong it
is for short swings.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.air import humidity
from softmend.science.climate.surface_film import (
    film_modes,
)
from softmend.science.moisture.diffusion import Form, lags, modes, response
from softmend.science.uncertain import Array

SETTLED = 50.0
DEEP = 300.0


@dataclass(frozen=True, slots=True)
class Followed:
    """Humidity in equilibrium with the material at three places [%RH]."""

    surface: Array
    mean: Array
    core: Array


@dataclass(frozen=True, slots=True)
class Swing:
    """Share of a regular swing that reaches three places [1], and how late the mean is [s]."""

    surface: float
    mean: float
    core: float
    mean_lag_s: float


def first_order(times_s: ArrayLike, values: ArrayLike, lag_s: float, start: float) -> Array:
    """Return a first-order lag behind a record, exact for straight lines between its readings.

    Parameters
    ----------
    times_s : array, moments in order [s]; steps may differ
    values : array, what is followed [any unit]
    lag_s : float, time constant [s], above 0
    start : float, where the lag begins [same unit]

    Returns
    -------
    numpy array, as long as the record [same unit]

    Raises
    ------
    InputError
        When the arrays are not as long, time runs back or the lag is not positive.

    Source: derived (the linear equation of first order, solved).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> first_order([0.0, 10.0], [1.0, 1.0], 10.0, 0.0).round(3).tolist()
    [0.0, 0.632]
    """
    times, driven = np.asarray(times_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    steps = np.diff(times)
    if times.shape != driven.shape or times.size < 2 or not np.all(steps > 0) or not lag_s > 0:
        raise InputError("A record cannot be followed", allowed="moments in order, a lag above 0")
    x = steps / lag_s
    kept = np.exp(-x)
    share = np.where(x < 1e-5, 1 - x / 2, -np.expm1(-x) / x)
    pushed = (1 - share) * driven[1:] + (share - kept) * driven[:-1]
    found = np.empty_like(driven)
    found[0] = start
    for i in range(steps.size):
        found[i + 1] = kept[i] * found[i] + pushed[i]
    return found


def lag_share(period_s: float, lag_s: float) -> tuple[float, float]:
    """Return the share of a swing that passes a first-order lag, and how late it comes.

    Parameters
    ----------
    period_s : float, of a full swing [s], above 0
    lag_s : float, time constant [s], 0 or more

    Returns
    -------
    tuple of floats, share [1] and delay [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> [round(x, 4) for x in lag_share(30.0, 10.0)]
    [0.4309, 5.3731]
    """
    if not (period_s > 0 and lag_s >= 0):
        raise InputError("Period and lag must be positive", value=(period_s, lag_s))
    turn = 2 * math.pi / period_s
    return 1 / math.hypot(1, turn * lag_s), math.atan(turn * lag_s) / turn


def followed(
    form: Form,
    rh_percent: ArrayLike,
    step_s: float,
    size_m: float,
    diffusivity_m2_s: float,
    biot_number: float | None = None,
) -> Followed:
    """Return surface, mean and core of a body through a record of the air.

    The body starts in equilibrium with the first reading; between readings the air runs straight.

    Parameters
    ----------
    form : Form, slab or cylinder
    rh_percent : array, readings at even steps [%], 0 to 100, at least two
    step_s : float, time between readings [s], above 0
    size_m : float, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity_m2_s : float, moisture diffusivity across [m2/s], above 0
    biot_number : float or None, of the surface [1]; None is a bare surface that is with the air

    Returns
    -------
    Followed, as long as the record [%RH]

    Raises
    ------
    InputError
        When the record or a value is out of range.

    Source: crank1975, equations 4.50 and 5.46 (each mode a first-order lag).
    Checked against: tests/science/climate/test_response.py (finite volumes).

    Example
    -------
    >>> still = followed(Form.CYLINDER, [50.0, 50.0, 50.0], 3600.0, 0.03, 5e-11, 100.0)
    >>> still.surface.tolist()
    [50.0, 50.0, 50.0]
    """
    if biot_number is None:
        bare = response(form, rh_percent, step_s, size_m, diffusivity_m2_s)
        return Followed(np.asarray(rh_percent, dtype=np.float64), bare.mean, bare.core)
    air = humidity(rh_percent)
    if air.ndim != 1 or air.size < 2 or not min(step_s, size_m, diffusivity_m2_s) > 0:
        raise InputError(
            "A record or a body cannot be used",
            allowed="at least two readings, step, size and diffusivity above 0",
        )
    found = film_modes(form, biot_number)
    per_step = found.rates * diffusivity_m2_s * step_s / size_m**2
    slow = per_step < SETTLED
    behind = lags(np.diff(air), per_step[slow])

    def at(weights: Array) -> Array:
        return np.concatenate([air[:1], air[1:] - weights[slow] @ behind])

    return Followed(at(found.surface), at(found.mean), at(found.core))


def swing_at(
    form: Form,
    period_s: float,
    size_m: float,
    diffusivity_m2_s: float,
    biot_number: float | None = None,
) -> Swing:
    """Return the shares of a regular swing of the air that reach surface, mean and core.

    Parameters
    ----------
    form : Form, slab or cylinder
    period_s : float, time of a full swing [s], above 0
    size_m : float, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity_m2_s : float, moisture diffusivity across [m2/s], above 0
    biot_number : float or None, of the surface [1]; None is a bare surface that is with the air

    Returns
    -------
    Swing, shares [1] and the delay of the mean [s]

    Raises
    ------
    InputError
        When a value is not positive.

    Source: derived (Bessel functions of a cylinder, hyperbolic ones of a slab).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> found = swing_at(Form.CYLINDER, 30 * 86400.0, 0.025, 5e-11)
    >>> round(found.mean, 4), round(found.core, 4)
    (0.3409, 0.118)
    """
    if not min(period_s, size_m, diffusivity_m2_s) > 0:
        raise InputError("Period, size and diffusivity must be positive")
    from scipy.special import ive

    reach = size_m if form is Form.CYLINDER else size_m / 2
    turn = 2 * math.pi / period_s
    z = complex(reach * np.sqrt(1j * turn / diffusivity_m2_s))
    if z.real > DEEP:  # nothing reaches the middle; Bessel functions themselves give out later
        inner, core = 1.0 + 0j, 0j
    elif form is Form.CYLINDER:
        inner = complex(ive(1, z) / ive(0, z))
        core = complex(math.exp(-abs(z.real)) / ive(0, z))
    else:
        inner, core = complex(np.tanh(z)), complex(1 / np.cosh(z))
    mean = (2 if form is Form.CYLINDER else 1) * inner / z
    held = 1.0 + 0j if biot_number is None else 1 + z * inner / biot_number
    late = -float(np.angle(mean / held)) / turn
    return Swing(abs(1 / held), abs(mean / held), abs(core / held), late)


def after_a_move(
    form: Form, size_m: float, diffusivity_m2_s: float, lag_s: float, step_percent: float
) -> float:
    """Return the largest difference between surface and mean after a move to another humidity.

    Parameters
    ----------
    form : Form, slab or cylinder
    size_m : float, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity_m2_s : float, moisture diffusivity across [m2/s], above 0
    lag_s : float, time constant of the box or bag around the object [s]; 0 is none
    step_percent : float, difference of humidity between the two places [%]

    Returns
    -------
    float, largest difference, 0 or more [%RH]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: crank1975, equation 5.22, for a surface that follows a first-order lag.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(after_a_move(Form.CYLINDER, 0.01, 5e-11, 3 * 86400.0, 20.0), 1)
    6.2
    """
    if not (min(size_m, diffusivity_m2_s) > 0 and lag_s >= 0):
        raise InputError("Size and diffusivity must be positive, the lag 0 or more")
    if lag_s == 0:
        return abs(step_percent)
    rates, weights, _ = modes(form)
    rates = rates * diffusivity_m2_s / size_m**2
    slowest = 1 / rates[0]
    times = np.geomspace(min(lag_s, slowest) * 1e-4, 5 * max(lag_s, slowest), 800)
    # Two equal rates would divide by nothing; a hair apart the answer is the same.
    apart = rates * lag_s - 1
    apart = np.where(np.abs(apart) < 1e-6, 1e-6, apart)
    behind = (np.exp(-times / lag_s)[:, None] - np.exp(-np.outer(times, rates))) / apart
    return abs(step_percent) * float(np.max(behind @ weights))


def held_strain(
    surface_percent: ArrayLike, mean_percent: ArrayLike, strain_per_percent: ArrayLike
) -> Array:
    """Return the strain of a surface that the body holds back, dry side positive (tension).

    Parameters
    ----------
    surface_percent : float or array, humidity at the surface [%]
    mean_percent : float or array, humidity of the mean [%]
    strain_per_percent : float or array, free swelling for each %RH [1]

    Returns
    -------
    numpy array, strain [1]

    Source: softmend-climate, section 1.4, O7.
    Checked against: tests/science/climate/test_response.py.

    Example
    -------
    >>> f"{float(held_strain(40, 50, 6e-5)):.4f}"
    '0.0006'
    """
    apart = np.asarray(mean_percent, dtype=np.float64) - np.asarray(surface_percent)
    return np.asarray(apart * np.asarray(strain_per_percent))
