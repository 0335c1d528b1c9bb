"""Colours on a screen, strips and painted fills: the numbers stand beside, and grey still reads."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.pictures.tint_colour import lab_of_screen, screen_hex
from softmend.pictures.tint_sight import Hatching, painted, seen_from
from softmend.pictures.tint_strip import StripField, StripRow, strips_in_words, strips_svg

FIELDS = tuple(
    StripField(coat, (lightness, 5.0, 20.0), off)
    for coat, lightness, off in ((70.0, 68.0, 3.1), (100.0, 65.0, 1.4), (130.0, 62.0, 2.6))
)
ROW = StripRow("gallery 2", "LED-B2", (65.0, 5.0, 19.0), FIELDS)
RING = ((40.0, 30.0), (80.0, 30.0), (80.0, 60.0), (40.0, 60.0))


@pytest.mark.parametrize("srgb", [(255, 255, 255), (52, 96, 120), (0, 0, 0), (196, 150, 118)])
def test_a_colour_of_the_screen_comes_back_as_it_was(srgb: tuple[int, int, int]) -> None:
    assert screen_hex(lab_of_screen(srgb)) == "#" + "".join(f"{one:02x}" for one in srgb)


def test_white_and_middle_grey_are_where_cielab_has_them() -> None:
    # iec61966: white is L* 100; 118.9 of 255 is L* 50 by the curve of sRGB.
    assert lab_of_screen((255, 255, 255)) == (100.0, 0.0, 0.0)
    assert lab_of_screen((119, 119, 119))[0] == pytest.approx(50.0, abs=0.1)


def test_every_strip_says_lamp_coat_and_difference_in_words() -> None:
    drawn = strips_svg([ROW])
    for words in ("gallery 2", "LED-B2", "30 % thinner", "coat as asked", "30 % thicker",
                  "tint, 3.1 off", "tint, 1.4 off", "object"):  # fmt: skip
        assert words in drawn
    assert strips_in_words([ROW])[0].startswith("Under gallery 2: 30 % thinner, L* 68")
    with pytest.raises(InputError, match="no strip"):
        strips_svg([])


def crop() -> np.ndarray:
    return np.full((90, 120, 3), (150, 122, 92), dtype=np.uint8)


def test_a_fill_without_a_step_is_the_surround_and_with_one_differs_by_it() -> None:
    same = painted(crop(), RING, (0.0, 0.0, 0.0), 5.0)
    assert same.fill_lab == pytest.approx(same.surround_lab)
    other = painted(crop(), RING, (-4.0, 1.0, 2.0), 5.0)
    step = np.subtract(other.fill_lab, other.surround_lab)
    assert step == pytest.approx((-4.0, 1.0, 2.0))


def test_what_is_plain_at_the_bench_goes_with_distance() -> None:
    made = painted(crop(), RING, (-10.0, 0.0, 0.0), 5.0)
    near, far = seen_from(made, 250.0), seen_from(made, 30_000.0)
    assert abs(int(near[45, 60, 1]) - 122) > 15
    assert abs(int(far[45, 60, 1]) - 122) < abs(int(near[45, 60, 1]) - 122) / 3


def test_a_hatch_keeps_the_mean_and_shows_only_near() -> None:
    hatched = painted(crop(), RING, (0.0, 0.0, 0.0), 10.0, Hatching(3.0, 0.8))
    near, far = (seen_from(hatched, mm)[35:55, 45:75, 1] for mm in (250.0, 1829.0))
    assert int(near.max()) - int(near.min()) >= 6
    assert int(far.max()) - int(far.min()) <= 2
    assert float(far.mean()) == pytest.approx(122.0, abs=1.5)


def test_a_fill_outside_the_crop_is_refused() -> None:
    ring = tuple((x + 500, y) for x, y in RING)
    with pytest.raises(InputError, match="not in this part"):
        painted(crop(), ring, (0.0, 0.0, 0.0), 5.0)
