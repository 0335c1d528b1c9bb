"""A body without a middle line on three pads: pressure, stance and tipping against exact ones."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.holding import Plumb
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.stance import (
    body_footing,
    seen_below,
    standing_places,
    widest_stance,
)
from softmend.science.solid.support import tipping
from tests.science.solid.bodies import path, sphere, turned

DOWN = np.array([0, 0, -1.0])
BEDDING = 6e6
BALL = sphere(0.05, 0.001)


def test_a_ball_on_a_flat_pad_presses_as_the_exact_one() -> None:
    below = seen_below(BALL, Plumb(DOWN, np.zeros(3), 0.0))
    found = body_footing(below, np.zeros(2), (0.06, 0.06), BEDDING)
    # Springs under a ball: F = pi k R d^2, so the peak k d is the root of k F / (pi R).
    assert found.peak(10.0) == pytest.approx(np.sqrt(BEDDING * 10 / (np.pi * 0.05)), rel=0.02)
    sunk = np.sqrt(10 / (np.pi * BEDDING * 0.05))
    assert found.touched(10.0)[1] == pytest.approx(2 * np.pi * 0.05 * sunk, rel=0.05)
    assert found.low[2] == pytest.approx(-0.05, abs=1e-4)


def test_a_carved_pad_under_a_ball_carries_what_the_integral_says() -> None:
    below = seen_below(BALL, Plumb(DOWN, np.zeros(3), 0.0))
    found = body_footing(below, np.zeros(2), (0.02, 0.02), BEDDING, np.pi / 4)
    # The cosine of the slope over the pad: sqrt(1 - (x^2 + y^2) / R^2) on a square.
    x = np.linspace(-0.01, 0.01, 401)
    cosine = np.sqrt(1 - (x[:, None] ** 2 + x[None] ** 2) / 0.05**2)
    bearing = np.trapezoid(np.trapezoid(cosine, x), x)
    assert found.peak(10.0) == pytest.approx(10 / bearing, rel=0.02)


def test_a_box_stands_on_the_three_places_that_tip_last() -> None:
    corners = np.array(list(itertools.product((-0.1, 0.1), (-0.06, 0.06), (-0.03, 0.03))))
    sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
             [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]  # fmt: skip
    plumb = Plumb(DOWN, np.zeros(3), 0.0)
    below = seen_below(Mesh(corners, np.array(sides)), plumb)
    places = standing_places(below, (0.02, 0.02), 0.3)
    feet = [body_footing(below, one, (0.02, 0.02), BEDDING) for one in places]
    chosen, least = widest_stance(plumb, feet, 20.0, 1e6, 0.1)
    assert chosen is not None
    plan = np.array([foot.touched(7.0)[0].mean(axis=0)[:2] for foot in feet])

    def margin(three: tuple[int, ...]) -> float:
        return tipping(plan[list(three)], np.zeros(2), 0.03, 0.03).least

    rng = np.random.default_rng(1)
    others = [tuple(rng.choice(len(feet), 3, replace=False)) for _ in range(300)]
    assert all(margin(one) <= margin(chosen) + 1e-9 for one in others)
    # A third of 20 N on each 20 mm square at the very least.
    assert least >= 20 / 3 / 0.02**2 * 0.99
    assert widest_stance(plumb, feet, 20.0, 1e3, 0.1)[0] is None


def test_where_nothing_was_scanned_no_pad_stands() -> None:
    cup = turned(path([(0.01, 0.0), (0.05, 0.0), (0.05, 0.1), (0.0, 0.1)], 0.004), 48)
    open_ = cup.part(np.hypot(*cup.centres[:, :2].T) > 0.02)
    below = seen_below(open_, Plumb(DOWN, np.array([0.0, 0, 0.05]), 0.0))
    with pytest.raises(InputError, match="no lower surface over a pad"):
        body_footing(below, np.zeros(2), (0.01, 0.01), BEDDING)
