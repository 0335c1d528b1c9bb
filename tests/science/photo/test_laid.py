"""A photograph laid on another: a point stands where the plane says, to a tenth of a pixel."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.laid import laid_picture, on_later


def spot(at: tuple[float, float], size: tuple[int, int], wide: float = 3.0) -> np.ndarray:
    """Return a soft bright spot about a place counted from the corner."""
    x, y = np.meshgrid(np.arange(size[0]) + 0.5, np.arange(size[1]) + 0.5)
    return (200 * np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * wide**2))).astype(np.uint8)


def middle(picture: np.ndarray) -> tuple[float, float]:
    x, y = np.meshgrid(np.arange(picture.shape[1]) + 0.5, np.arange(picture.shape[0]) + 0.5)
    return float((picture * x).sum() / picture.sum()), float((picture * y).sum() / picture.sum())


def test_a_spot_goes_where_its_plane_carries_it() -> None:
    plane = np.array([[1.03, 0.02, 4.0], [-0.01, 0.98, 7.5], [1e-5, 2e-5, 1.0]])
    at = (60.25, 40.75)
    carried = plane @ (*at, 1.0)
    laid = laid_picture(spot(at, (140, 100)), plane, (150, 110))
    assert laid.shape == (110, 150)
    assert middle(laid.astype(float)) == pytest.approx(
        (carried[0] / carried[2], carried[1] / carried[2]), abs=0.1
    )


def test_colours_and_depth_stay() -> None:
    deep = np.full((30, 40, 3), (60000, 300, 9), dtype=np.uint16)
    assert np.array_equal(laid_picture(deep, np.eye(3), (40, 30)), deep)


def test_a_flat_plane_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be turned round"):
        laid_picture(spot((5, 5), (20, 20)), np.zeros((3, 3)), (20, 20))


def test_a_point_carried_back_and_forth_is_where_it_was() -> None:
    plane = np.array([[1.03, 0.02, 4.0], [-0.01, 0.98, 7.5], [1e-5, 2e-5, 1.0]])
    back = on_later([[60.0, 40.0]], plane)[0]
    carried = plane @ (*back, 1.0)
    assert carried[:2] / carried[2] == pytest.approx((60.0, 40.0))
