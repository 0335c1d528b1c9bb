"""Scales from two clicks: the closed formula, the simulation and the standoff."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.scale import PlaneScale, relative_sd, two_click_scale
from softmend.science.photo.surface import Standoff, click_means
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

IN_PLANE = Standoff(Uncertain.exact(0.0), Uncertain.exact(0.5))


@pytest.mark.parametrize("distance", [200, 500, 1000, 3000])
def test_one_pixel_clicks_give_the_simulated_spread(distance: int) -> None:
    scale = two_click_scale([[0, 0]], [[distance, 0]], Uncertain.exact(0.1), 1.0, IN_PLANE)
    expected("softmend-imaging")[f"two_clicks_{distance}_px"].accept(scale.relative_sd)
    rng = np.random.default_rng(1)
    ends = np.array([[0.0, 0.0], [distance, 0.0]]) + rng.normal(size=(40_000, 2, 2))
    simulated = np.std(np.hypot(*(ends[:, 1] - ends[:, 0]).T)) / distance
    assert scale.relative_sd == pytest.approx(simulated, rel=0.02)


def test_three_clicks_an_end_divide_the_spread_by_root_three() -> None:
    one = two_click_scale([[0, 0]], [[900, 0]], Uncertain.exact(0.1), 1.0, IN_PLANE)
    end_a, end_b = [[0, 0], [0.5, 0], [-0.5, 0]], [[900, 0], [900.5, 0], [899.5, 0]]
    three = two_click_scale(end_a, end_b, Uncertain.exact(0.1), 1.0, IN_PLANE)
    assert three.px_per_m == pytest.approx(one.px_per_m)
    assert one.relative_sd / three.relative_sd == pytest.approx(np.sqrt(3))


def test_clicks_that_scatter_more_than_stated_count_by_their_own_scatter() -> None:
    mean, sd = click_means([[0, 0], [10, 0], [20, 0], [0, 10]], 1.0)
    assert mean.tolist() == [7.5, 2.5]
    assert sd > 3


def test_a_scale_nearer_to_the_camera_reads_the_surface_too_small() -> None:
    near = Standoff(Uncertain.exact(0.010), Uncertain.exact(0.500))
    scale = two_click_scale([[0, 0]], [[1000, 0]], Uncertain.exact(0.1), 1.0, near)
    assert scale.px_per_m == pytest.approx(10_000 * (1 - 0.010 / 0.500))


def test_the_standoff_spread_follows_first_order_and_the_draws_agree() -> None:
    standoff = Standoff(Uncertain.normal(0.010, 0.003), Uncertain.normal(0.5, 0.05))
    scale = PlaneScale(10_000.0, {"clicks on the scale": 0.002}, standoff)
    drawn = scale.scale_draws(scale.draws(50_000, np.random.default_rng(2)))
    assert np.std(drawn) / np.mean(drawn) == pytest.approx(scale.relative_sd, rel=0.03)
    assert np.median(drawn) == pytest.approx(scale.px_per_m, rel=1e-3)


def test_an_unknown_standoff_costs_more_than_a_known_one() -> None:
    known = two_click_scale([[0, 0]], [[1000, 0]], Uncertain.exact(0.1), 1.0, IN_PLANE)
    unknown = two_click_scale([[0, 0]], [[1000, 0]], Uncertain.exact(0.1), 1.0)
    assert unknown.relative_sd > 3 * known.relative_sd


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: two_click_scale([[0, 0]], [[5, 0]], Uncertain.exact(0.1)),
            "The two ends of the scale lie too close together in the picture; got 5.0 px; "
            "allowed: at least 20 px; Zoom in, or click a longer stretch of the scale.",
        ),
        (
            lambda: relative_sd(Uncertain.exact(0.0)),
            "A known length must be above zero and known to better than a third; got 0 m, sd 0 m; "
            "allowed: above 0, sd below a third of it; "
            "Measure the scale itself with a calliper or steel rule.",
        ),
        (
            lambda: Standoff(Uncertain.exact(0.3), Uncertain.exact(0.4)),
            "The scale cannot lie so far from the surface at this camera distance; got 0.3 m at "
            "0.4 m; allowed: a scale within half the camera distance of the surface; "
            "Check the two distances, or leave the camera distance as not known.",
        ),
        (
            lambda: click_means([[0, 0]], 0.0),
            "The spread of a click is out of range; got 0.0; allowed: above 0 to 100 px.",
        ),
        (
            lambda: PlaneScale(-1.0, {}),
            "A scale is not above zero; got -1.0; allowed: above 0.",
        ),
        (
            lambda: click_means([[0, float("nan")]], 1.0),
            "A picture point is not a finite number within reach; allowed: -1e6 to 1e6 px.",
        ),
    ],
)
def test_a_scale_that_cannot_be_is_refused_in_one_sentence(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
