"""Many lines in one go give what each gives by itself, by numpy's and scipy's own ways."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from softmend.science.photo.lines_at_once import (
    Lines,
    lengths_px,
    main_axes,
    one_after_another,
    softened,
    ways,
)


@pytest.fixture
def apart() -> list[np.ndarray]:
    rng = np.random.default_rng(4)
    return [np.cumsum(rng.integers(-1, 2, (n, 2)), axis=0) + 100.5 for n in (2, 5, 6, 7, 31, 400)]


@pytest.fixture
def lines(apart) -> Lines:
    return one_after_another(apart)


def test_lines_come_apart_as_they_went_in(apart, lines: Lines) -> None:
    for one, other in zip(apart, lines.apart(lines.points_px), strict=True):
        assert np.array_equal(one, other)


def test_lengths_are_those_of_each_line(apart, lines: Lines) -> None:
    alone = [np.hypot(*np.diff(one, axis=0).T).sum() for one in apart]
    assert lengths_px(lines) == pytest.approx(alone)


def test_no_line_is_blurred_into_the_next(apart, lines: Lines) -> None:
    for one, soft in zip(apart, lines.apart(softened(lines)), strict=True):
        alone = gaussian_filter1d(one, 2.0, axis=0, mode="nearest") if len(one) >= 6 else one
        assert soft == pytest.approx(alone, abs=1e-9)


def test_ways_are_the_gradient_of_each_line() -> None:
    rng = np.random.default_rng(5)
    apart = [np.cumsum(rng.normal(size=(n, 2)), axis=0) for n in (2, 3, 40)]
    for one, way in zip(apart, _each(apart), strict=True):
        run = np.gradient(one, axis=0)
        assert way == pytest.approx(run / np.hypot(*run.T)[:, None])


def _each(apart: list[np.ndarray]) -> list[np.ndarray]:
    lines = one_after_another(apart)
    return lines.apart(ways(lines))


def test_axes_are_those_of_the_singular_values(apart, lines: Lines) -> None:
    for one, middle, way, stray in zip(apart, *main_axes(lines), strict=True):
        _, spread, axes = np.linalg.svd(one - one.mean(axis=0), full_matrices=False)
        assert middle == pytest.approx(one.mean(axis=0))
        assert stray == pytest.approx(spread[1] / np.sqrt(len(one)), abs=1e-6)
        if spread[0] > 1.01 * spread[1]:
            assert abs(way @ axes[0]) == pytest.approx(1.0, abs=1e-9)
