"""How much water a material holds at a relative humidity; taking up and giving off are two curves.

The two are never averaged: at one humidity oak holds a third more water when it comes from the wet.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


class Course(StrEnum):
    """Whether the material takes water up or gives it off."""

    ADSORPTION = "adsorption"
    DESORPTION = "desorption"


@dataclass(frozen=True, slots=True)
class Gab:
    """The three constants of a sorption curve: monolayer water [% of dry mass], c [1], k [1]."""

    monolayer_percent: float
    c: float
    k: float

    def __post_init__(self) -> None:
        """Refuse constants that are no sorption curve."""
        if not (0 < self.monolayer_percent <= 200 and 0 < self.c <= 1000 and 0 < self.k < 1):
            raise InputError(
                "The constants of a sorption curve are impossible",
                value=(self.monolayer_percent, self.c, self.k),
                allowed="monolayer above 0 to 200 % of dry mass, c above 0 to 1000, k between 0 "
                "and 1",
            )


Curves = Mapping[Course, Gab]


def moisture_content(rh_percent: ArrayLike, curve: Gab) -> Array:
    """Return the water held in equilibrium with the air, by the curve of Guggenheim and others.

    Parameters
    ----------
    rh_percent : float or array, relative humidity of the air [%], 0 to 100
    curve : Gab, constants of the material for one course

    Returns
    -------
    numpy array, water [% of dry mass]

    Raises
    ------
    InputError
        When a humidity is outside 0 to 100 %.

    Source: anderson1946 (the equation as used since); softmend-mechanics-moisture, section 1c.
    Checked against: tests/checks/softmend-mechanics-moisture.csv.

    Example
    -------
    >>> oak = Gab(6.19, 7.36, 0.72)
    >>> round(float(moisture_content(50, oak)), 1)
    7.8
    """
    activity = _activity(rh_percent)
    bound = curve.k * activity
    held = curve.monolayer_percent * curve.c * bound
    return np.asarray(held / ((1 - bound) * (1 + (curve.c - 1) * bound)))


def moisture_slope(rh_percent: ArrayLike, curve: Gab) -> Array:
    """Return how much more water is held for each percent of relative humidity.

    Parameters
    ----------
    rh_percent : float or array, relative humidity of the air [%], 0 to 100
    curve : Gab, constants of the material for one course

    Returns
    -------
    numpy array, slope [% of dry mass per %RH]

    Raises
    ------
    InputError
        When a humidity is outside 0 to 100 %.

    Source: anderson1946, differentiated.
    Checked against: tests/science/moisture/test_sorption.py (finite differences).

    Example
    -------
    >>> round(float(moisture_slope(50, Gab(6.19, 7.36, 0.72))), 3)
    0.135
    """
    bound = curve.k * _activity(rh_percent)
    below = (1 - bound) * (1 + (curve.c - 1) * bound)
    below_slope = (curve.c - 2) - 2 * (curve.c - 1) * bound
    slope = curve.monolayer_percent * curve.c * curve.k * (below - bound * below_slope) / below**2
    return np.asarray(slope / 100)


def moisture_between(before_percent: float, after_percent: float, curves: Curves) -> float:
    """Return the change of water content when the air goes from one humidity to another for long.

    The change is read on one curve, that of the course taken; after a turn the true change is
    smaller, since the material first crosses from one curve to the other.

    Parameters
    ----------
    before_percent : float, relative humidity before [%], 0 to 100
    after_percent : float, relative humidity after [%], 0 to 100
    curves : mapping, Course to Gab, both

    Returns
    -------
    float, change of water held, negative for drying [% of dry mass]

    Raises
    ------
    InputError
        When a humidity is outside 0 to 100 %.

    Source: own rule; the two courses by softmend-mechanics-moisture, section 1c.
    Checked against: tests/checks/softmend-mechanics-moisture.csv.

    Example
    -------
    >>> oak = {Course.ADSORPTION: Gab(6.19, 7.36, 0.72), Course.DESORPTION: Gab(11.1, 7.26, 0.51)}
    >>> round(moisture_between(40, 60, oak), 2), round(moisture_between(60, 40, oak), 2)
    (2.74, -3.12)
    """
    course = Course.ADSORPTION if after_percent >= before_percent else Course.DESORPTION
    ends = moisture_content(np.array([before_percent, after_percent]), curves[course])
    return float(ends[1] - ends[0])


def _activity(rh_percent: ArrayLike) -> Array:
    rh = np.asarray(rh_percent, dtype=np.float64)
    if not np.all((rh >= 0) & (rh <= 100)):
        raise InputError(
            "A relative humidity is out of range",
            value=float(rh.flat[int(np.argmax(~((rh >= 0) & (rh <= 100))))]),
            allowed="0 to 100 %",
        )
    return np.asarray(rh / 100)
