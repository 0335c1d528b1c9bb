"""How often a case changes its air, from a tracer that fades: rate, background and start fitted.

An assumed background can halve the rate when the start is weak, so it is fitted with the rest; and
readings that hang together tell less than they seem to, so the interval is widened.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

FEWEST = 8
MOST_HANGING = 0.98
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Decay:
    """A fitted decay: rate [1/s] and its 95 % half width, background and start [ppm].

    `widened` is the factor that hanging together of the residuals put on the half width.
    """

    rate: float
    half_width: float
    background: float
    background_half_width: float
    above_background: float
    noise: float
    hanging: float
    widened: float
    span_s: float
    is_background_fitted: bool

    @property
    def changes(self) -> float:
        """How many air changes the record spans [1]."""
        return self.rate * self.span_s


def widening(correlation: float) -> float:
    """Return by how much hanging together of residuals widens an interval.

    Parameters
    ----------
    correlation : float, of each residual with the next [1], -1 to below 1

    Returns
    -------
    float, factor, at least 1 [1]

    Raises
    ------
    InputError
        When the correlation is out of range.

    Source: softmend-climate, section 1.6, T2.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(widening(0.5), 2), round(widening(0.8), 2)
    (1.73, 3.0)
    """
    if not -1 <= correlation < 1:
        raise InputError("A correlation is out of range", value=correlation, allowed="-1 to 1")
    held = min(max(correlation, 0.0), MOST_HANGING)
    return math.sqrt((1 + held) / (1 - held))


def tracer_decay(
    times_s: ArrayLike,
    tracer_ppm: ArrayLike,
    background_ppm: float | None = None,
    background_error_ppm: float = 0.0,
) -> Decay:
    """Return the air exchange that a fading tracer shows, with its 95 % interval.

    Parameters
    ----------
    times_s : array, moments in order [s]
    tracer_ppm : array, concentration in the case [ppm]
    background_ppm : float or None, that of the room [ppm]; None fits it from the decay
    background_error_ppm : float, how far that background may be off, 95 % [ppm], 0 or more

    Returns
    -------
    Decay, rate [1/s] and the rest [ppm]

    Raises
    ------
    InputError
        When there are too few readings, nothing fades, or no fit is found.

    Source: iso12569 (recalled); softmend-climate, section 1.6, T1 and T2.
    Checked against: tests/checks/softmend-climate-oracle.csv.

    Example
    -------
    >>> t = np.arange(48) * 3600.0
    >>> found = tracer_decay(t, 420 + 4000 * np.exp(-t * 0.5 / 86400))
    >>> round(found.rate * 86400, 3), round(found.background)
    (0.5, 420)
    """
    times, read = np.asarray(times_s, dtype=np.float64), np.asarray(tracer_ppm, dtype=np.float64)
    there = np.isfinite(times) & np.isfinite(read)
    times, read = times[there], read[there]
    if times.size < FEWEST or not np.all(np.diff(times) > 0):
        raise InputError(
            "A decay cannot be fitted", value=f"{times.size} readings", allowed=f"{FEWEST} or more"
        )
    if not background_error_ppm >= 0:
        raise InputError("An error is negative", value=background_error_ppm, allowed="0 or more")
    times = times - times[0]
    found = _fitted(times, read, background_ppm)
    if background_ppm is None or background_error_ppm == 0:
        return found
    off = [
        _fitted(times, read, background_ppm + sign * background_error_ppm).rate for sign in (-1, 1)
    ]
    by_background = abs(off[1] - off[0]) / 2
    return Decay(
        found.rate,
        math.hypot(found.half_width, by_background),
        found.background,
        background_error_ppm,
        found.above_background,
        found.noise,
        found.hanging,
        found.widened,
        found.span_s,
        is_background_fitted=False,
    )


def _fitted(times: Array, read: Array, background: float | None) -> Decay:
    from scipy.optimize import least_squares
    from scipy.stats import t as student

    span, top = float(times[-1]), float(read[: max(3, read.size // 50)].mean())
    foot = float(read.min()) if background is None else background
    above = top - foot
    if above <= 0 or read[-max(3, read.size // 10) :].mean() >= top:
        raise InputError(
            "The tracer does not fade", value=f"{top:.0f} to {read[-1]:.0f} ppm",
            remedy="Look at the curve: was somebody in the room, or the case open?",
        )  # fmt: skip

    def model(p: Array) -> Array:
        base = p[2] * above if background is None else 0.0
        return np.asarray(foot + base + p[1] * above * np.exp(-p[0] * times / span))

    half = np.flatnonzero(read - foot < above / 2)
    guess = math.log(2) * span / times[half[0]] if half.size and times[half[0]] > 0 else 1.0
    start = [guess, 1.0] if background is not None else [guess, 1.0, -0.02]
    fit = least_squares(lambda p: (model(p) - read) / above, start, x_scale="jac", max_nfev=2000)
    free = times.size - len(start)
    # Where the curve is hardly bent, rate and background cannot be told apart: the matrix says so.
    spread = np.linalg.pinv(fit.jac.T @ fit.jac) * (2 * fit.cost / free)
    residuals = fit.fun - fit.fun.mean()
    power = float(residuals @ residuals)
    hanging = float(residuals[1:] @ residuals[:-1]) / power if power > 0 else 0.0
    factor = widening(min(hanging, MOST_HANGING))
    reach = float(student.ppf(0.5 + CONFIDENCE / 2, free)) * factor
    error = np.sqrt(np.maximum(np.diag(spread), 0.0))
    return Decay(
        float(fit.x[0]) / span,
        reach * float(error[0]) / span,
        foot + (float(fit.x[2]) * above if background is None else 0.0),
        reach * float(error[2]) * above if background is None else 0.0,
        float(fit.x[1]) * above,
        above * math.sqrt(2 * fit.cost / free),
        hanging,
        factor,
        span,
        is_background_fitted=background is None,
    )


def decay_part(
    times_s: ArrayLike,
    tracer_ppm: ArrayLike,
    from_s: float | None = None,
    to_s: float | None = None,
) -> tuple[Array, Array]:
    """Return the part of a record in which the tracer fades: from its peak, or as stated.

    Parameters
    ----------
    times_s : array, moments [s]
    tracer_ppm : array, concentration [ppm]; NaN is missing
    from_s : float or None, first moment, from the first reading [s]; None is the peak
    to_s : float or None, last moment, from the first reading [s]; None is the end

    Returns
    -------
    tuple of arrays, moments [s] and concentrations [ppm]

    Raises
    ------
    InputError
        When nothing was read in that part.

    Source: own.
    Checked against: tests/science/climate/test_exchange.py.

    Example
    -------
    >>> decay_part([0, 60, 120], [500, 4000, 3000])[1].tolist()
    [4000.0, 3000.0]
    """
    times, read = np.asarray(times_s, dtype=np.float64), np.asarray(tracer_ppm, dtype=np.float64)
    order = np.argsort(times, kind="stable")
    times, read = times[order], read[order]
    there = np.isfinite(read) & np.isfinite(times)
    times, read = times[there], read[there]
    if times.size == 0:
        raise InputError("The record holds no tracer", remedy="Name its column (reading, meanings)")
    first = times[0]
    start = times[int(np.argmax(read))] if from_s is None else first + from_s
    end = times[-1] if to_s is None else first + to_s
    kept = (times >= start) & (times <= end)
    single = np.concatenate([[True], np.diff(times[kept]) > 0]) if kept.any() else kept[:0]
    if single.size == 0:
        raise InputError("Nothing was read in the stated part", value=(from_s, to_s))
    return times[kept][single], read[kept][single]
