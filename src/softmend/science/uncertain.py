"""The only place that knows distributions: an uncertain value, its draws and its band.

Every family is defined by one thing, its quantile function; draws, bands, mean and standard
deviation all follow from it, so they cannot disagree.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.distribution import CHECKS, PARAMETERS, PURE_NUMBERS, QUANTILES, Family

Array = NDArray[np.float64]

LOW, HIGH = 0.05, 0.95


@dataclass(frozen=True, slots=True)
class Band:
    """The 5, 50 and 95 % points of a quantity, in the quantity's own unit."""

    low: float
    typical: float
    high: float

    @classmethod
    def of(cls, draws: ArrayLike) -> Band:
        """Return the band of an array of draws."""
        low, typical, high = np.quantile(np.asarray(draws, dtype=np.float64), (LOW, 0.5, HIGH))
        return cls(float(low), float(typical), float(high))

    def scaled(self, factor: float) -> Band:
        """Return the band in another unit; the factor is positive."""
        return Band(self.low * factor, self.typical * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A value that is known as a distribution, not as one number.

    Make it with the named constructors; they refuse what is no distribution.
    """

    family: Family
    parameters: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse parameters that are no distribution."""
        if not self.parameters or not all(math.isfinite(p) for p in self.parameters):
            raise InputError(
                f"A parameter of a {self.family} value is missing or not a finite number",
                value=self.parameters,
                allowed="finite numbers",
                remedy="Leave the value out if it is not known",
            )
        names = PARAMETERS[self.family]
        if self.family is not Family.SAMPLES and len(names) != len(self.parameters):
            raise InputError(
                f"A {self.family} value has the wrong number of parameters",
                value=self.parameters,
                allowed=", ".join(names),
            )
        CHECKS[self.family](*self.parameters)

    @classmethod
    def exact(cls, value: float) -> Uncertain:
        """Return a value without any uncertainty, such as a count or a definition."""
        return cls(Family.EXACT, (float(value),))

    @classmethod
    def normal(cls, mean: float, sd: float) -> Uncertain:
        """Return a normal value by mean and standard deviation (zero or more)."""
        return cls(Family.NORMAL, (float(mean), float(sd)))

    @classmethod
    def log_normal(cls, median: float, cv: float) -> Uncertain:
        """Return a positive value by median and coefficient of variation (sd over mean)."""
        return cls(Family.LOG_NORMAL, (float(median), float(cv)))

    @classmethod
    def truncated_normal(cls, mean: float, sd: float, least: float, most: float) -> Uncertain:
        """Return a normal value (mean and sd before cutting) that cannot leave its limits."""
        return cls(Family.TRUNCATED_NORMAL, (float(mean), float(sd), float(least), float(most)))

    @classmethod
    def uniform(cls, least: float, most: float) -> Uncertain:
        """Return a value of which only the two limits are known."""
        return cls(Family.UNIFORM, (float(least), float(most)))

    @classmethod
    def pert(cls, least: float, mode: float, most: float) -> Uncertain:
        """Return a beta-PERT value by its limits and its most likely value."""
        return cls(Family.PERT, (float(least), float(mode), float(most)))

    @classmethod
    def random_sign(cls, median: float, cv: float) -> Uncertain:
        """Return a value of known size and unknown sign; the size is log-normal."""
        return cls(Family.RANDOM_SIGN, (float(median), float(cv)))

    @classmethod
    def from_low_typical_high(cls, low: float, typical: float, high: float) -> Uncertain:
        """Return the value whose 5, 50 and 95 % points a person typed.

        All three points are kept exactly. With a low point above zero the value is positive and
        the two halves are log-normal (joined at the median); with a low point of zero the halves
        are normal and nothing falls below zero, so that one draw in twenty is zero itself; with a
        low point below zero the halves are normal.
        """
        return cls(Family.THREE_POINT, (float(low), float(typical), float(high)))

    @classmethod
    def samples(cls, values: ArrayLike) -> Uncertain:
        """Return a value known only by equally likely samples (2 to 100 000)."""
        return cls(Family.SAMPLES, tuple(sorted(np.asarray(values, dtype=np.float64).tolist())))

    def quantile(self, probability: ArrayLike) -> Array:
        """Return the values below which the given shares (0 to 1, ends excluded) lie."""
        p = np.asarray(probability, dtype=np.float64)
        if p.size and not (np.all(p > 0) and np.all(p < 1)):
            raise InputError("A probability is not inside 0 to 1", allowed="above 0 and below 1")
        return QUANTILES[self.family](p, *self.parameters)

    def draw(self, n: int, rng: np.random.Generator) -> Array:
        """Return n draws, spread evenly over the distribution (stratified) in random order."""
        return self.quantile(stratified(n, rng))

    @property
    def band(self) -> Band:
        """The 5, 50 and 95 % points."""
        low, typical, high = self.quantile(np.array([LOW, 0.5, HIGH]))
        return Band(float(low), float(typical), float(high))

    @property
    def typical(self) -> float:
        """The median."""
        return float(self.quantile(np.array(0.5)))

    @property
    def mean(self) -> float:
        """The mean, by integrating the quantile function."""
        return _moments(self)[0]

    @property
    def sd(self) -> float:
        """The standard deviation, by integrating the quantile function."""
        return _moments(self)[1]

    def scaled(self, factor: float) -> Uncertain:
        """Return the same value in another unit; the factor is positive."""
        if not (factor > 0 and math.isfinite(factor)):
            raise InputError(
                "A unit factor must be positive", value=factor, allowed="a finite number above 0"
            )
        if self.family is Family.SAMPLES:
            return Uncertain(self.family, tuple(v * factor for v in self.parameters))
        named = zip(PARAMETERS[self.family], self.parameters, strict=True)
        return Uncertain(
            self.family, tuple(v if name in PURE_NUMBERS else v * factor for name, v in named)
        )

    def to_json(self) -> dict[str, object]:
        """Return the value as the JSON object that models, entries and pages share."""
        if self.family is Family.SAMPLES:
            return {"family": self.family.value, "values": list(self.parameters)}
        named = dict(zip(PARAMETERS[self.family], self.parameters, strict=True))
        return {"family": self.family.value, **named}

    @classmethod
    def from_json(cls, data: Mapping[str, object]) -> Uncertain:
        """Return the value that a JSON object describes; refuse unknown or missing fields."""
        family = _family(data.get("family"))
        names = PARAMETERS[family]
        if set(data) != {"family", *names}:
            raise InputError(
                f"The fields of a {family} value are wrong",
                value=", ".join(sorted(map(str, data))),
                allowed=", ".join(("family", *names)),
            )
        if family is Family.SAMPLES:
            values = data["values"]
            if not isinstance(values, list | tuple):
                raise InputError("The samples of a value are not a list", allowed="a list")
            return cls.samples([_number("values", v) for v in values])
        return cls(family, tuple(_number(name, data[name]) for name in names))


def stratified(n: int, rng: np.random.Generator) -> Array:
    """Return n shares, one from each n-th of 0 to 1, in random order.

    Parameters
    ----------
    n : int, how many [1], 1 or more
    rng : Generator, seeded source of random numbers

    Returns
    -------
    numpy array, shares strictly between 0 and 1 [1]

    Source: mckay1979 (Latin hypercube, one variable).
    Checked against: tests/science/test_uncertain.py.

    Example
    -------
    >>> import numpy as np
    >>> np.sort(np.floor(stratified(4, np.random.default_rng(0)) * 4)).tolist()
    [0.0, 1.0, 2.0, 3.0]
    """
    shares = (rng.permutation(n) + rng.random(n)) / n
    return np.clip(shares, 1e-15, 1 - 1e-15)


def _family(name: object) -> Family:
    try:
        return Family(str(name))
    except ValueError:
        raise InputError(
            "The family of an uncertain value is not known",
            value=name,
            allowed=", ".join(Family),
        ) from None


def _number(name: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"The field {name} is not a number", value=value, allowed="a number")
    return float(value)


@lru_cache(maxsize=4096)
def _moments(value: Uncertain) -> tuple[float, float]:
    """Return mean and sd: the quantile function against the normal weight, trapezoid rule."""
    if value.family is Family.EXACT:
        return value.parameters[0], 0.0
    from scipy.special import ndtr

    z = np.linspace(-8.0, 8.0, 8001)
    weight = np.exp(-0.5 * z * z)
    weight /= weight.sum()
    x = value.quantile(np.clip(ndtr(z), 1e-15, 1 - 1e-15))
    mean = float(weight @ x)
    return mean, math.sqrt(max(float(weight @ (x - mean) ** 2), 0.0))
