"""The chart against single solutions."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.chart import chart, spread_of_depths
from softmend.science.joint.crack import slit

BODIES = [Body(Shape.PLANE), Body(Shape.CYLINDER), Body(Shape.HOLLOW, 0.4), Body(Shape.HOLLOW, 0.8)]


@pytest.mark.parametrize("body", BODIES, ids=lambda body: f"{body.shape} {body.hole:g}")
def test_the_chart_reads_what_is_solved(body: Body) -> None:
    rng = np.random.default_rng(5)
    depths = rng.uniform(0.1, 0.9, 40) * body.deepest
    ratios = 10 ** rng.uniform(-3, 3.5, 40)
    drawn = chart(body)
    open_ = drawn.unfilled_at(depths)
    filled = drawn.filled_at(depths, ratios, open_)
    for i, depth in enumerate(depths.tolist()):
        one = slit(body, depth)
        even, none = np.ones_like(one.own), np.zeros_like(one.own)
        free, pressed = one.solve(0.0, one.own, none)[0], one.solve(0.0, even, none)[0]
        spring = ratios[i] / float(one.mean(pressed))
        moved, rested = one.solve(spring, one.own, none)[0], one.solve(spring, none, even)[0]
        opening = one.profile(free)
        for found, truth, near in (
            (open_.mean[i], one.mean(free), 3e-4),
            (open_.mouth[i], one.mouth(free), 3e-4),
            (open_.compliance[i], one.mean(pressed), 1e-3),
            (filled.mean[i], one.mean(moved), 5e-3),
            (filled.work[i], one.weights @ (one.profile(moved) * opening), 3e-3),
            (filled.rest_mean[i], one.mean(rested), 1e-3),
            (filled.rest_work[i], one.weights @ (one.profile(rested) * opening), 3e-3),
            (filled.rest_tip[i], one.tip(rested), 3e-3),
        ):
            assert found == pytest.approx(float(truth), rel=near)
        # In a deep crack the tip may be pressed shut: near to the open tip, not to nothing.
        assert abs(filled.tip[i] - float(one.tip(moved))) < 2e-3 * abs(float(one.tip(free))) + 2e-3


def test_cracks_beyond_the_chart_are_counted() -> None:
    assert spread_of_depths(BODIES[1], np.array([0.5, 0.96, 1.2, 0.1])) == 0.5
    assert spread_of_depths(BODIES[0], np.array([0.5, 5.0])) == 0


def test_a_wall_next_to_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="The hole of a body is not possible"):
        chart(Body(Shape.HOLLOW, 0.99))
