"""Which residual differences are both unseen far and found near; what else does it where none is.

Conventions of the house, not measurements: unseen is an index below 1 at the visitor's distance,
found is an index of 1.5 at the bench's.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.visibility import (
    FOUND,
    NOTICED,
    Bar,
    bar_gains,
    limit,
    seen_difference,
    visual_angle,
    wave_gains,
)
from softmend.science.uncertain import Array

DIRECTIONS: Mapping[str, tuple[float, float, float]] = {
    "lighter": (1.0, 0.0, 0.0),
    "darker": (-1.0, 0.0, 0.0),
    "redder": (0.0, 1.0, 0.0),
    "greener": (0.0, -1.0, 0.0),
    "yellower": (0.0, 0.0, 1.0),
    "bluer": (0.0, 0.0, -1.0),
}
FURTHEST_STEP, STEPS = 40.0, 801
PERIODS_MM = (3.0, 2.5, 2.0, 1.5, 1.2, 1.0, 0.8, 0.6, 0.5, 0.4, 0.3)
HATCH_STEPS = (2.0, 3.0, 4.0)
LINES_WANTED, LINES_LEAST = 7, 3
HATCH_LEFT_FAR = 0.1
"""Share of the noticed difference that a hatch may leave far away, beside the flat colour's own."""


@dataclass(frozen=True, slots=True)
class Looking:
    """Where a fill of stated size is looked at from, on what surround, and by whom.

    `noise_far` and `noise_near` are what the surround's own places differ by from each distance,
    `noticed` the difference that draws this observer's eye. `gains_far` and `gains_near` are what
    is left of a fill of its own outline, by opponent channel; without them it is a straight bar.
    """

    width: float
    length: float
    far: float
    near: float
    ground: tuple[float, float, float]
    white: tuple[float, float, float]
    noise_far: float = 0.0
    noise_near: float = 0.0
    noticed: float = NOTICED
    gains_far: Array | None = None
    gains_near: Array | None = None

    def __post_init__(self) -> None:
        """Refuse a near that is not nearer, and sizes outside what is looked at."""
        if not self.near < self.far:
            raise InputError(
                "The near distance is not nearer than the far one",
                value=f"near {1e3 * self.near:g} mm, far {1e3 * self.far:g} mm",
                allowed="near below far",
            )
        Bar(self.width, self.length, self.far)
        Bar(self.width, self.length, self.near)
        limit(self.noise_far, self.noticed)
        limit(self.noise_near, self.noticed)

    def seen(self, fill: ArrayLike, distance: float) -> Array:
        """Return what is left of a fill's difference from a distance, where most is left."""
        drawn = {self.far: self.gains_far, self.near: self.gains_near}.get(distance)
        if drawn is None:
            gains = bar_gains(Bar(self.width, self.length, distance))
            return seen_difference(fill, self.ground, self.white, gains)
        each = [seen_difference(fill, self.ground, self.white, one) for one in np.atleast_2d(drawn)]
        return np.asarray(np.max(each, axis=0))

    @property
    def limit_far(self) -> float:
        """Return the largest difference as seen that does not draw the eye far away."""
        return limit(self.noise_far, self.noticed)

    @property
    def limit_near(self) -> float:
        """Return the smallest difference as seen that is found at the bench."""
        return FOUND * limit(self.noise_near, self.noticed)


@dataclass(frozen=True, slots=True)
class Window:
    """The residual differences allowed along one direction; None on both sides when there is none.

    `least` and `most` are CIEDE2000 side by side, `step_least` and `step_most` the steps of L*, a*
    or b*. `most_unseen` is the largest that stays unseen far away, `least_found` the smallest found
    near, also where they contradict each other.
    """

    direction: str
    least: float | None
    most: float | None
    step_least: float | None
    step_most: float | None
    most_unseen: float
    least_found: float | None


@dataclass(frozen=True, slots=True)
class Hatch:
    """An even hatch about the right mean colour: line to line, and up and down in L*."""

    period: float
    step: float
    seen_far: float
    seen_near: float
    lines: int


def allowed_window(looking: Looking, direction: str) -> Window:
    """Return the differences along a direction that are unseen far away and found near.

    Parameters
    ----------
    looking : Looking, fill, distances, surround
    direction : str, lighter, darker, redder, greener, yellower, bluer or duller [1]

    Returns
    -------
    Window, CIEDE2000 [1]

    Raises
    ------
    InputError
        When the direction is not known, or the surround is grey and cannot get duller.

    Source: softmend-colour, section 5.4.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> day = (95.047, 100.0, 108.883)
    >>> one = allowed_window(Looking(0.001, 0.02, 1.829, 0.25, (80, 2, 18), day), "redder")
    >>> round(one.least, 2), round(one.most, 2)
    (2.14, 3.79)
    """
    ground = np.array(looking.ground, np.float64)
    steps = np.linspace(0, _reach(ground, direction), STEPS)
    fills = ground + steps[:, None] * _toward(ground, direction)
    beside = colour_difference_ciede2000(fills, ground)
    far, near = looking.seen(fills, looking.far), looking.seen(fills, looking.near)
    top = _crossing(far, looking.limit_far, steps)
    bottom = _crossing(near, looking.limit_near, steps)
    unseen = float(np.interp(steps[-1] if top is None else top, steps, beside))
    found = None if bottom is None else float(np.interp(bottom, steps, beside))
    last = float(steps[-1]) if top is None else top
    if bottom is None or bottom >= last:
        return Window(direction, None, None, None, None, unseen, found)
    return Window(direction, found, unseen, bottom, last, unseen, found)


def hatch_for(looking: Looking) -> Hatch | None:
    """Return the widest hatch that is gone far away and found near; None when none is.

    Parameters
    ----------
    looking : Looking, fill, distances, surround

    Returns
    -------
    Hatch, period [m] and step of L* [1]

    Source: softmend-colour, section 5.5; the number of lines is common practice.
    Checked against: tests/science/tint/test_window.py.

    Example
    -------
    >>> day = (95.047, 100.0, 108.883)
    >>> one = hatch_for(Looking(0.006, 0.02, 1.829, 0.25, (80, 2, 18), day))
    >>> round(1e3 * one.period, 2), one.step
    (0.8, 3.0)
    """
    for wanted in (LINES_WANTED, LINES_LEAST):
        for period in (mm / 1e3 for mm in PERIODS_MM):
            lines = int(looking.width / period + 1e-9)
            if lines < wanted or float(visual_angle(period, looking.near)) > 1.0:
                continue
            found = _hatch(looking, period, lines)
            if found is not None:
                return found
    return None


def _hatch(looking: Looking, period: float, lines: int) -> Hatch | None:
    ground = np.array(looking.ground, np.float64)
    steps = np.array(HATCH_STEPS, np.float64)
    away = (steps if ground[0] < 60 else -steps)[:, None] * np.array([1.0, 0.0, 0.0])
    far, near = (
        seen_difference(ground + away, ground, looking.white, wave_gains(period, distance))
        for distance in (looking.far, looking.near)
    )
    found = np.flatnonzero(near >= looking.limit_near)
    if not found.size:
        return None
    first = int(found[0])
    gone = far[first] <= HATCH_LEFT_FAR * looking.limit_far
    if not gone:
        return None
    return Hatch(period, float(steps[first]), float(far[first]), float(near[first]), lines)


def _toward(ground: Array, direction: str) -> Array:
    if direction == "duller":
        chroma = float(np.hypot(ground[1], ground[2]))
        if chroma < 1:
            raise InputError(
                "A grey surround cannot get duller",
                value=f"chroma {chroma:.1f}",
                allowed="chroma 1 or more",
                remedy="Ask for another direction",
            )
        return np.array([0.0, -ground[1] / chroma, -ground[2] / chroma])
    if direction not in DIRECTIONS:
        raise InputError(
            "That direction of colour is not known",
            value=direction,
            allowed=", ".join([*DIRECTIONS, "duller"]),
        )
    return np.array(DIRECTIONS[direction])


def _reach(ground: Array, direction: str) -> float:
    """Return how far a colour can go: to black, to white, to grey."""
    if direction == "lighter":
        return float(min(FURTHEST_STEP, max(100 - ground[0], 0.01)))
    if direction == "darker":
        return float(min(FURTHEST_STEP, max(ground[0], 0.01)))
    if direction == "duller":
        return float(max(np.hypot(ground[1], ground[2]), 0.01))
    return FURTHEST_STEP


def _crossing(values: Array, level: float, steps: Array) -> float | None:
    """Return the first step at which a rising value meets a level."""
    above = np.flatnonzero(values >= level)
    if above.size == 0:
        return None
    at = int(above[0])
    if at == 0:
        return 0.0
    share = (level - values[at - 1]) / (values[at] - values[at - 1])
    return float(steps[at - 1] + share * (steps[at] - steps[at - 1]))
