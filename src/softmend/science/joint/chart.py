"""All cracks of a body on one chart, so that a hundred thousand joints are read off at once.

Read off are the unfilled crack, exact along the depth, and how much of it each spring leaves. What
is left falls almost as 1 / (1 + stiffness ratio); the chart holds what it lacks to that, which is
smooth and nearly straight between nodes.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.crack import slit
from softmend.science.uncertain import Array

LEAST_DEPTH, DEPTHS = 0.01, 20
SOFTEST, STIFFEST, PER_DECADE = -4, 5, 16
"""Decimal logarithms of the stiffness ratio between which the chart is drawn."""


@dataclass(frozen=True, slots=True)
class Unfilled:
    """An open crack: openings over depth for unit mismatch, and for unit pressure.

    Openings are over the depth, intensities over modulus and root of depth; `square` is the mean
    square of the opening, `compliance` and `pressed_tip` answer an even pressure.
    """

    mean: Array
    square: Array
    mouth: Array
    tip: Array
    compliance: Array
    pressed_tip: Array


@dataclass(frozen=True, slots=True)
class Filled:
    """What springs leave of an open crack: for unit mismatch, and for unit rest opening.

    `work` and `rest_work` are means of the opening times that of the unfilled crack.
    """

    mean: Array
    work: Array
    tip: Array
    rest_mean: Array
    rest_work: Array
    rest_tip: Array


@dataclass(frozen=True, slots=True)
class Chart:
    """The nodes of one body: depth ratios, unfilled values, what springs leave over one spring."""

    body: Body
    depths: Array
    unfilled: Array
    left: Array

    def unfilled_at(self, depth_ratio: Array) -> Unfilled:
        """Return the open cracks at depth ratios; beyond the chart its edge."""
        from scipy.interpolate import CubicSpline

        if self.depths.size == 1:
            return Unfilled(*(np.full_like(depth_ratio, v) for v in self.unfilled[:, 0]))
        at = np.clip(depth_ratio, self.depths[0], self.depths[-1])
        return Unfilled(*np.ascontiguousarray(CubicSpline(self.depths, self.unfilled.T)(at).T))

    def filled_at(self, depth_ratio: Array, stiffness_ratio: Array, open_: Unfilled) -> Filled:
        """Return the filled cracks at depth ratios and stiffness ratios (above 0)."""
        steps = (np.log10(stiffness_ratio) - SOFTEST) * PER_DECADE
        column = np.clip(steps.astype(np.int64), 0, self.left.shape[2] - 2)
        across = steps - column
        row, down = self._row(depth_ratio)
        quantities, _, width = self.left.shape
        flat, corner = self.left.reshape(quantities, -1), row * width + column
        parts = (1 - across) * flat[:, corner] + across * flat[:, corner + 1]
        if self.depths.size > 1:
            corner = corner + width
            below = (1 - across) * flat[:, corner] + across * flat[:, corner + 1]
            parts += down * (below - parts)
        spring = stiffness_ratio / open_.compliance
        shared = 1 / (1 + stiffness_ratio)
        return Filled(
            mean=parts[0] * shared * open_.mean,
            work=parts[1] * shared * open_.square,
            tip=parts[2] * shared * open_.tip,
            rest_mean=parts[3] * shared * stiffness_ratio,
            rest_work=parts[4] * shared * stiffness_ratio * open_.mean,
            rest_tip=parts[5] * shared * spring * open_.pressed_tip,
        )

    def _row(self, depth_ratio: Array) -> tuple[Array, Array]:
        if self.depths.size == 1:
            return np.zeros(depth_ratio.shape, dtype=np.int64), np.zeros(depth_ratio.shape)
        at = np.clip(depth_ratio, self.depths[0], self.depths[-1])
        step = self.depths[1] - self.depths[0]
        places = (at - self.depths[0]) / step
        row = np.minimum(places.astype(np.int64), self.depths.size - 2)
        return row, places - row


@lru_cache(maxsize=16)
def chart(body: Body) -> Chart:
    """Return the chart of a body, made once.

    Parameters
    ----------
    body : Body, what the crack runs into

    Returns
    -------
    Chart, without units

    Raises
    ------
    InputError
        When the wall of a hollow body is too thin for a chart.

    Source: own rule (table of joint.crack, straight between nodes).
    Checked against: tests/science/joint/test_chart.py (against single solutions).

    Example
    -------
    >>> import numpy as np
    >>> drawn = chart(Body(Shape.PLANE))
    >>> round(float(drawn.unfilled_at(np.array([1.0])).compliance[0]), 2)
    3.95
    """
    depths = np.array([1.0])
    if body.shape is not Shape.PLANE:
        if body.deepest <= 2 * LEAST_DEPTH:
            raise InputError("The wall of the hollow body is too thin", value=body.hole)
        depths = np.linspace(LEAST_DEPTH, body.deepest, DEPTHS)
    ratios = np.logspace(SOFTEST, STIFFEST, (STIFFEST - SOFTEST) * PER_DECADE + 1)
    columns = [_column(body, float(depth), ratios) for depth in depths]
    return Chart(
        body,
        depths,
        np.stack([column[0] for column in columns], axis=1),
        np.stack([column[1] for column in columns], axis=1),
    )


def _column(body: Body, depth_ratio: float, ratios: Array) -> tuple[Array, Array]:
    """Return the open crack (6 values) and what each spring leaves of it (6 rows) at one depth."""
    one = slit(body, depth_ratio)
    even, none = np.ones_like(one.own), np.zeros_like(one.own)
    free, pressed = one.solve(0.0, one.own, none)[0], one.solve(0.0, even, none)[0]
    opening = one.profile(free)
    values = (one.mean(free), one.weights @ opening**2, one.mouth(free), one.tip(free),
              one.mean(pressed), one.tip(pressed))  # fmt: skip
    mean, square, _, tip, compliance, pressed_tip = (float(v) for v in values)
    springs = ratios / compliance
    moved, rested = one.solve(springs, one.own, none), one.solve(springs, none, even)
    shared = 1 / (1 + ratios)
    left = np.stack([
        one.mean(moved) / (mean * shared),
        one.profile(moved) @ (one.weights * opening) / (square * shared),
        one.tip(moved) / (tip * shared),
        one.mean(rested) / (shared * ratios),
        one.profile(rested) @ (one.weights * opening) / (mean * shared * ratios),
        one.tip(rested) / (pressed_tip * shared * springs),
    ])  # fmt: skip
    return np.array([float(v) for v in values]), left


def spread_of_depths(body: Body, depth_ratio: Array) -> float:
    """Return the share of cracks that are deeper than the chart, and are read at its edge.

    Parameters
    ----------
    body : Body, what the cracks run into
    depth_ratio : numpy array, depths over the outer radius [1]

    Returns
    -------
    float, share 0 to 1 [1]

    Source: own rule.
    Checked against: tests/science/joint/test_chart.py.

    Example
    -------
    >>> import numpy as np
    >>> spread_of_depths(Body(Shape.CYLINDER), np.array([0.5, 1.2]))
    0.5
    """
    if body.shape is Shape.PLANE or not math.isfinite(body.deepest):
        return 0.0
    return float(np.mean(depth_ratio > body.deepest))
