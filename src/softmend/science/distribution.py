"""The named distributions, each given by its quantile function and by what it refuses.

Only `uncertain.py` uses this module; everything else speaks of an `Uncertain`.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError

Array = NDArray[np.float64]

Z_95 = 1.6448536269514722
"""The standard normal value below which 95 % lie; 5, 50 and 95 % points are what people type."""

MOST_SAMPLES = 100_000
WIDEST_RATIO = 1e9


class Family(StrEnum):
    """The named distributions; nothing else is accepted."""

    EXACT = "exact"
    NORMAL = "normal"
    LOG_NORMAL = "log_normal"
    TRUNCATED_NORMAL = "truncated_normal"
    UNIFORM = "uniform"
    PERT = "pert"
    RANDOM_SIGN = "random_sign"
    THREE_POINT = "three_point"
    SAMPLES = "samples"


PARAMETERS: Mapping[Family, tuple[str, ...]] = {
    Family.EXACT: ("value",),
    Family.NORMAL: ("mean", "sd"),
    Family.LOG_NORMAL: ("median", "cv"),
    Family.TRUNCATED_NORMAL: ("mean", "sd", "least", "most"),
    Family.UNIFORM: ("least", "most"),
    Family.PERT: ("least", "mode", "most"),
    Family.RANDOM_SIGN: ("median", "cv"),
    Family.THREE_POINT: ("low", "typical", "high"),
    Family.SAMPLES: ("values",),
}
PURE_NUMBERS = {"cv"}


def _normal_score(p: Array) -> Array:
    from scipy.special import ndtri

    return np.asarray(ndtri(p), dtype=np.float64)


def _log_sd(cv: float) -> float:
    return math.sqrt(math.log1p(cv * cv))


def _exact(p: Array, value: float) -> Array:
    return np.full_like(p, value)


def _normal(p: Array, mean: float, sd: float) -> Array:
    return np.asarray(mean + sd * _normal_score(p))


def _log_normal(p: Array, median: float, cv: float) -> Array:
    return np.asarray(median * np.exp(_log_sd(cv) * _normal_score(p)))


def _truncated_normal(p: Array, mean: float, sd: float, least: float, most: float) -> Array:
    from scipy.special import ndtr

    below, upto = ndtr((least - mean) / sd), ndtr((most - mean) / sd)
    return np.clip(mean + sd * _normal_score(below + p * (upto - below)), least, most)


def _uniform(p: Array, least: float, most: float) -> Array:
    return np.asarray(least + p * (most - least))


def _pert(p: Array, least: float, mode: float, most: float) -> Array:
    from scipy.special import betaincinv

    width = most - least
    a = 1 + 4 * (mode - least) / width
    b = 1 + 4 * (most - mode) / width
    return np.asarray(least + width * betaincinv(a, b, p))


def _random_sign(p: Array, median: float, cv: float) -> Array:
    size_share = np.clip(np.abs(2 * p - 1), 1e-15, 1 - 1e-15)
    return np.asarray(np.sign(p - 0.5) * _log_normal(size_share, median, cv))


def _three_point(p: Array, low: float, typical: float, high: float) -> Array:
    z = _normal_score(p)
    if low > 0:
        steps = np.where(z < 0, math.log(typical / low), math.log(high / typical))
        return np.asarray(typical * np.exp(steps / Z_95 * z))
    steps = np.where(z < 0, typical - low, high - typical)
    values = np.asarray(typical + steps / Z_95 * z)
    return np.maximum(values, 0.0) if low == 0 else values


def _samples(p: Array, *values: float) -> Array:
    return np.asarray(np.quantile(np.asarray(values, dtype=np.float64), p), dtype=np.float64)


QUANTILES: Mapping[Family, Callable[..., Array]] = {
    Family.EXACT: _exact,
    Family.NORMAL: _normal,
    Family.LOG_NORMAL: _log_normal,
    Family.TRUNCATED_NORMAL: _truncated_normal,
    Family.UNIFORM: _uniform,
    Family.PERT: _pert,
    Family.RANDOM_SIGN: _random_sign,
    Family.THREE_POINT: _three_point,
    Family.SAMPLES: _samples,
}


def _check_exact(value: float) -> None:
    """Accept every finite number."""


def _check_normal(mean: float, sd: float) -> None:
    if sd < 0:
        raise InputError("A standard deviation is negative", value=sd, allowed="0 or more")


def _check_log_normal(median: float, cv: float) -> None:
    if median <= 0 or not 0 <= cv <= 10:
        raise InputError(
            "A log-normal value needs a positive median and a coefficient of variation",
            value=(median, cv),
            allowed="median above 0, cv 0 to 10",
        )


def _check_truncated(mean: float, sd: float, least: float, most: float) -> None:
    if sd <= 0 or least >= most or least > mean + 6 * sd or most < mean - 6 * sd:
        raise InputError(
            "A truncated normal value is impossible",
            value=(mean, sd, least, most),
            allowed="sd above 0, least below most, limits within six sd of the mean",
        )


def _check_uniform(least: float, most: float) -> None:
    if least >= most:
        raise InputError(
            "The limits of a value are in the wrong order",
            value=(least, most),
            allowed="least below most",
        )


def _check_pert(least: float, mode: float, most: float) -> None:
    _check_uniform(least, most)
    _check_order("least, most likely and most", least, mode, most)


def _check_three_point(low: float, typical: float, high: float) -> None:
    _check_order("low, typical and high", low, typical, high)
    if 0 < low < high / WIDEST_RATIO:
        raise InputError(
            "The low point is next to nothing beside the high one",
            value=(low, typical, high),
            allowed="low at least a billionth of high, or zero",
        )


def _check_order(names: str, first: float, second: float, third: float) -> None:
    if not first <= second <= third:
        raise InputError(
            f"The {names} values are not in order",
            value=(first, second, third),
            allowed="each at least as large as the one before",
        )


def _check_samples(*values: float) -> None:
    if not 2 <= len(values) <= MOST_SAMPLES:
        raise InputError(
            "A value by samples has too few or too many samples",
            value=len(values),
            allowed=f"2 to {MOST_SAMPLES}",
        )


CHECKS: Mapping[Family, Callable[..., None]] = {
    Family.EXACT: _check_exact,
    Family.NORMAL: _check_normal,
    Family.LOG_NORMAL: _check_log_normal,
    Family.TRUNCATED_NORMAL: _check_truncated,
    Family.UNIFORM: _check_uniform,
    Family.PERT: _check_pert,
    Family.RANDOM_SIGN: _check_log_normal,
    Family.THREE_POINT: _check_three_point,
    Family.SAMPLES: _check_samples,
}
