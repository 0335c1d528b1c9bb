"""The surround's own texture round a fill: what it is made of is what is found, and no more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.colorimetry import xyz_of_lab
from softmend.science.tint.surround import coarser, round_a_fill, surround_texture

DAY = np.array([95.047, 100.0, 108.883])
GROUND = np.array([70.0, 4.0, 18.0])
SAMPLES = 60.0


def a_fill(rows: int = 160, columns: int = 240) -> np.ndarray:
    fill = np.zeros((rows, columns), dtype=bool)
    fill[70:84, 90:140] = True
    return fill


def lightness(steps: np.ndarray) -> np.ndarray:
    """Return a surround whose L* differs from the ground's by steps."""
    return xyz_of_lab(GROUND + steps[..., None] * [1.0, 0.0, 0.0], DAY)


def blocks(side: int, spread: float, seed: int = 3) -> np.ndarray:
    rng = np.random.default_rng(seed)
    coarse = rng.normal(0, spread, (160 // side, 240 // side))
    return np.repeat(np.repeat(coarse, side, axis=0), side, axis=1)


def test_even_ground_has_neither_noise_nor_grain() -> None:
    found = surround_texture(lightness(np.zeros((160, 240))), a_fill(), ~a_fill(), DAY, SAMPLES)
    assert found.noise == pytest.approx(0, abs=1e-9)
    assert found.grain == pytest.approx(0, abs=1e-9)
    assert found.piece == 1


def test_a_lamp_from_one_side_and_a_round_shaft_are_no_texture() -> None:
    y, x = np.meshgrid(np.linspace(-1, 1, 160), np.linspace(-1, 1, 240), indexing="ij")
    light = 1 + 0.15 * x - 0.2 * y * y
    shaded = lightness(np.zeros((160, 240))) * light[..., None]
    found = surround_texture(shaded, a_fill(), ~a_fill(), DAY, SAMPLES)
    assert found.noise < 0.05
    assert found.grain < 0.1


def test_patches_larger_than_the_fill_are_noise_and_smaller_ones_grain() -> None:
    large = surround_texture(lightness(blocks(80, 2.0)), a_fill(), ~a_fill(), DAY, SAMPLES)
    small = surround_texture(lightness(blocks(4, 4.0)), a_fill(), ~a_fill(), DAY, SAMPLES)
    assert large.noise > large.grain
    assert small.grain > 3 * small.noise


def test_the_noise_is_the_spread_of_the_places_counted_one_by_one() -> None:
    """The same by the plain way: blur, move the fill over the ground, take the rms of means."""
    from softmend.science.tint.colorimetry import lab
    from softmend.science.tint.difference import colour_difference_ciede2000
    from softmend.science.tint.seen_picture import as_seen

    picture, fill = lightness(blocks(20, 2.0)), a_fill()
    found = surround_texture(picture, fill, ~fill, DAY, SAMPLES)
    y, x = np.meshgrid(np.linspace(-1, 1, 160), np.linspace(-1, 1, 240), indexing="ij")
    terms = np.stack([x**a * y**b for a, b in ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))], -1)
    known = ~fill
    light = np.linalg.lstsq(terms[known], picture[known], rcond=None)[0]
    even = picture / (terms @ light) * picture[known].mean(axis=0)
    even[fill] = even[known].mean(axis=0)
    seen = as_seen(even, SAMPLES)
    means = [
        seen[top : top + 14, left : left + 50].mean(axis=(0, 1))
        for top in range(0, 160 - 13, 3)
        for left in range(0, 240 - 49, 12)
        if not fill[top : top + 14, left : left + 50].any()
    ]
    assert found.places == len(means)
    off = colour_difference_ciede2000(lab(np.array(means), DAY), lab(np.mean(means, axis=0), DAY))
    assert found.noise == pytest.approx(float(np.sqrt(np.mean(off**2))), rel=1e-6)


def test_from_afar_fine_texture_is_gone() -> None:
    picture = lightness(blocks(2, 5.0))
    near = surround_texture(picture, a_fill(), ~a_fill(), DAY, 30.0)
    far = surround_texture(picture, a_fill(), ~a_fill(), DAY, 240.0)
    assert far.grain < near.grain / 3
    small = coarser(picture, 4)
    assert small.shape == (40, 60, 3)
    assert small.mean(axis=(0, 1)) == pytest.approx(picture.mean(axis=(0, 1)))


def test_a_line_that_the_eye_does_not_resolve_lacks_no_grain() -> None:
    hair = np.zeros((160, 240), dtype=bool)
    hair[80, 60:180] = True
    picture = lightness(blocks(20, 4.0))
    wide = surround_texture(picture, a_fill(), ~a_fill(), DAY, 240.0)
    narrow = surround_texture(picture, hair, ~hair, DAY, 240.0)
    assert wide.grain > 1
    assert narrow.grain < wide.grain / 4


def test_background_counts_only_where_it_is_said_to_be_the_object() -> None:
    picture, fill = lightness(np.zeros((160, 240))), a_fill()
    picture[:40] = xyz_of_lab([20, 0, 0], DAY)
    ring = round_a_fill(fill, 25)
    assert surround_texture(picture, fill, ring, DAY, SAMPLES).noise < 0.3
    assert surround_texture(picture, fill, ~fill, DAY, SAMPLES).noise > 3


def test_a_fill_whose_shape_fits_nowhere_is_compared_in_pieces() -> None:
    fill = np.zeros((160, 240), dtype=bool)
    fill[78:84, 10:230] = True
    found = surround_texture(lightness(blocks(8, 2.0)), fill, round_a_fill(fill, 14), DAY, SAMPLES)
    assert found.piece < 1
    assert 0 < found.noise_least < found.noise


def test_what_cannot_be_told_is_refused_in_words() -> None:
    picture, fill = lightness(np.zeros((160, 240))), a_fill()
    with pytest.raises(InputError, match="marks no fill"):
        surround_texture(picture, fill & False, ~fill, DAY, SAMPLES)
    with pytest.raises(InputError, match="Nothing of the surround"):
        surround_texture(picture, fill, fill, DAY, SAMPLES)
    with pytest.raises(InputError, match="Too little of the surround"):
        surround_texture(picture, fill, round_a_fill(fill, 1), DAY, SAMPLES)
