"""The sRGB curve undone, and the picture as it is coded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from skimage.color import rgb2xyz

from softmend.errors import InputError
from softmend.science.photo.light import checked_picture, coded_grey, linear_light


def test_the_curve_is_that_of_the_standard_in_8_and_16_bit() -> None:
    codes = np.arange(256, dtype=np.uint8).reshape(16, 16)
    expected = rgb2xyz(np.dstack([codes] * 3))[..., 1]
    assert linear_light(codes) == pytest.approx(expected, abs=1e-4)
    assert linear_light(codes.astype(np.uint16) * 257) == pytest.approx(expected, abs=1e-4)


def test_colours_add_up_to_their_luminance() -> None:
    patch = np.full((16, 16, 3), (200, 90, 30), dtype=np.uint8)
    assert float(linear_light(patch)[3, 3]) == pytest.approx(rgb2xyz(patch)[3, 3, 1], abs=2e-4)


def test_a_box_gives_the_part_alone() -> None:
    picture = np.random.default_rng(0).integers(0, 255, (40, 50, 3)).astype(np.uint8)
    assert np.array_equal(linear_light(picture, (5, 7, 30, 20)), linear_light(picture)[7:20, 5:30])


def test_grey_is_read_the_same_from_8_and_16_bit() -> None:
    grey = np.random.default_rng(0).integers(0, 255, (20, 20)).astype(np.uint8)
    assert coded_grey(grey.astype(np.uint16) * 257) == pytest.approx(coded_grey(grey), abs=1e-3)


@pytest.mark.parametrize(
    "wrong", [np.zeros((20, 20)), np.zeros((8, 40), np.uint8), np.zeros((20, 20, 2), np.uint8)]
)
def test_what_is_no_picture_is_refused(wrong: np.ndarray) -> None:
    with pytest.raises(InputError, match="The picture is not one that can be measured; got"):
        checked_picture(wrong)
