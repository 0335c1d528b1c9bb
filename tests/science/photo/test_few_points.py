"""Few points for a fine line: never further off than allowed, and as few as another way finds."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.few_points import few_points


def wavy(seed: int) -> np.ndarray:
    random = np.random.default_rng(seed)
    x = np.arange(0, 900, 2.0)
    return np.column_stack([x, 40 * np.sin(x / 70) + np.cumsum(random.normal(0, 0.4, len(x)))])


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("off_px", [0.4, 2.0])
def test_no_point_lies_further_off_than_allowed(seed: int, off_px: float) -> None:
    import shapely

    line = wavy(seed)
    left = shapely.LineString(few_points(line, off_px))
    assert max(left.distance(shapely.Point(*point)) for point in line) <= off_px + 1e-9


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_as_few_are_kept_as_by_opencv(seed: int) -> None:
    line = wavy(seed).astype(np.float32)
    theirs = cv2.approxPolyDP(line.reshape(-1, 1, 2), 1.0, closed=False)
    assert abs(len(few_points(line, 1.0)) - len(theirs)) <= 2


def test_a_line_that_may_lie_anywhere_is_refused() -> None:
    with pytest.raises(InputError, match="above 0 to 100 px"):
        few_points([[0, 0], [5, 5]], 0)
