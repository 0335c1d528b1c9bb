"""What is left of a fill at a distance: bars in closed form, by convolution, and as pictures."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.colorimetry import xyz_of_lab
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.seen_picture import (
    as_seen,
    outline_gains,
    samples_per_degree,
    seen_difference_of_mask,
    surround_noise,
)
from softmend.science.tint.visibility import (
    Bar,
    bar_gains,
    index,
    limit,
    seen_difference,
    visual_angle,
    wave_gains,
)
from tests.science.checks import expected
from tools.oracles import tint as oracle

CHECKS = expected("zhang1996")
ORACLE = expected("softmend-tint-oracle")
DAY = np.array([95.047, 100.0, 108.883])
GROUND = np.array([80.0, 2.0, 18.0])


@pytest.mark.parametrize("distance", [1829, 457, 250, 152.4])
def test_one_millimetre_fills_the_known_angle(distance: float) -> None:
    CHECKS[f"angle_1mm_{distance:g}"].accept(60 * float(visual_angle(0.001, distance / 1e3)))


@pytest.mark.parametrize("distance", [1829, 250, 152.4])
@pytest.mark.parametrize("width", [0.2, 0.5, 1, 2, 5, 10])
def test_long_bars_keep_what_the_table_says(width: float, distance: float) -> None:
    gains = bar_gains(Bar(width / 1e3, 10.0, distance / 1e3))
    for name, gain in zip("LRY", gains, strict=True):
        CHECKS[f"gain_{width:g}_{distance:g}_{name}"].accept(gain)


def test_the_closed_form_is_the_convolution() -> None:
    short = float(bar_gains(Bar(0.001, 0.01, 1.829))[0])
    CHECKS["gain_short_closed"].accept(short)
    CHECKS["gain_short_convolved"].accept(short)
    for width, length, distance in oracle.BARS:
        gains = bar_gains(Bar(width / 1e3, length / 1e3, distance / 1e3))
        for name, gain in zip("LRY", gains, strict=True):
            ORACLE[f"bar_{width:g}_{length:g}_{distance:g}_{name}"].accept(gain)


def test_a_convolution_made_now_gives_the_same() -> None:
    gains = bar_gains(Bar(0.0008, 0.006, 0.4))
    assert oracle.bar(0.8, 6, 400, oracle.RED_GREEN) == pytest.approx(gains[1], abs=1e-4)


SEEN = sorted({name.rsplit("_", 1)[0] for name in CHECKS if name.startswith("seen_")})


@pytest.mark.parametrize("name", SEEN)
def test_differences_as_seen_are_those_of_the_review(name: str) -> None:
    _, width, step = name.split("_")
    fill = GROUND + [float(v) for v in step.split("/")]
    CHECKS[f"{name}_beside"].accept(float(colour_difference_ciede2000(fill, GROUND)))
    for distance in (1829, 250, 152.4):
        gains = bar_gains(Bar(float(width) / 1e3, 0.02, distance / 1e3))
        seen = float(seen_difference(fill, GROUND, DAY, gains))
        CHECKS[f"{name}_{distance:g}"].accept(seen)


@pytest.mark.parametrize("width", [0.5, 1, 2, 5, 10])
def test_bars_that_an_independent_detector_just_finds_look_alike_here(width: float) -> None:
    """Steps at the threshold of another model of the eye span 0.5 to 2.7 L*, here 0.45 to 0.69."""
    fill = GROUND - [CHECKS[f"detected_{width:g}"].value, 0, 0]
    seen = float(seen_difference(fill, GROUND, DAY, bar_gains(Bar(width / 1e3, 0.02, 1.829))))
    assert 0.44 < seen < 0.70


@pytest.mark.parametrize("period", [0.5, 0.8, 1.0, 1.5, 2.0])
def test_a_hatch_keeps_what_the_review_says(period: float) -> None:
    for distance in (1829, 250, 152.4):
        gain = float(wave_gains(period / 1e3, distance / 1e3)[0])
        CHECKS[f"hatch_{period}_{distance:g}"].accept(gain)


def test_a_narrow_bar_is_less_seen_from_further_away() -> None:
    far = [float(seen_difference(GROUND - [2, 0, 0], GROUND, DAY, bar_gains(Bar(0.0005, 0.02, d))))
           for d in np.linspace(0.4, 6, 30)]  # fmt: skip
    assert np.all(np.diff(far) < 0)


def test_the_picture_of_a_bar_is_the_closed_form() -> None:
    per_mm, distance = 4, 1.829
    mask = np.zeros((61, 141), dtype=bool)
    mask[26:34, 30:110] = True  # 2 x 20 mm
    fill = GROUND - [2, 0, 0]
    samples = samples_per_degree(per_mm * 1e3, distance)
    found = seen_difference_of_mask(mask, fill, GROUND, DAY, samples)
    bar = bar_gains(Bar(0.002, 0.02, distance))
    closed = float(seen_difference(fill, GROUND, DAY, bar))
    assert found == pytest.approx(closed, abs=0.02)


@pytest.mark.parametrize("size", [(0.001, 0.02), (0.002, 0.02), (0.006, 0.02), (0.018, 0.03)])
@pytest.mark.parametrize("distance", [1.829, 0.25])
def test_an_outline_like_a_bar_keeps_what_the_closed_form_says(
    size: tuple[float, float], distance: float
) -> None:
    wide, long = size
    found = outline_gains(np.array([(0, 0), (long, 0), (long, wide), (0, wide)]), distance)
    closed = bar_gains(Bar(wide, long, distance))
    assert found.max(axis=0) == pytest.approx(closed, abs=0.003)


def test_an_even_picture_stays_and_a_fine_chequer_becomes_its_mean() -> None:
    even = np.broadcast_to(xyz_of_lab(GROUND, DAY), (30, 40, 3))
    assert as_seen(even, 80) == pytest.approx(even, abs=1e-9)
    chequer = np.indices((64, 64)).sum(axis=0) % 2
    picture = np.where(chequer[..., None], 60.0, 40.0) * np.ones(3)
    assert as_seen(picture, 300)[20:44, 20:44] == pytest.approx(np.full((24, 24, 3), 50), abs=0.05)


def test_the_surround_s_own_texture_hides_a_fill() -> None:
    rng = np.random.default_rng(2)
    coarse = np.repeat(np.repeat(rng.normal(0, 3, (20, 20)), 8, axis=0), 8, axis=1)
    surround = xyz_of_lab(GROUND + coarse[..., None] * [1, 0, 0], DAY)
    noise, grain = surround_noise(surround, DAY, 120, (8, 40))
    assert 0.3 < noise < grain
    assert index(2.0, noise) < index(2.0)
    assert limit(3**0.5 / 2) == pytest.approx(2)


def test_bad_sizes_are_refused_in_words() -> None:
    with pytest.raises(InputError, match=r"width is out of range; got 0 mm"):
        Bar(0.0, 0.01, 1.0)
    with pytest.raises(InputError, match="distance is out of range"):
        visual_angle(0.001, 0.001)
    with pytest.raises(InputError, match="marks no fill"):
        seen_difference_of_mask(np.zeros((5, 5), dtype=bool), GROUND, GROUND, DAY, 60)
    with pytest.raises(InputError, match="too small for this fill"):
        surround_noise(np.ones((10, 10, 3)), DAY, 60, (9, 9))
    with pytest.raises(InputError, match="too coarse"):
        as_seen(np.ones((4, 4, 3)), 0.1)
    with pytest.raises(InputError, match="noticed"):
        limit(0.0, 0.0)
