"""What an eye notices, from what it finds and misses: an eye of known sight is told as such."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.eyes import DETECTED, chance_of_right, noticed_difference

BARS = np.geomspace(0.12, 2.0, 12)


def answers(detected: float, bars: np.ndarray, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).random(bars.size) < chance_of_right(bars, detected)


@pytest.mark.parametrize("detected", [0.25, 0.53, 1.2])
def test_many_bars_tell_an_eye_s_own_limit(detected: float) -> None:
    bars = np.tile(BARS, 60)
    found = noticed_difference(bars, answers(detected, bars, 5))
    assert found.typical == pytest.approx(detected / DETECTED, rel=0.12)
    assert found.low < detected / DETECTED < found.high


def test_twelve_bars_hold_the_truth_in_their_band_nine_times_in_ten() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for seed in range(300):
        detected = float(DETECTED * np.exp(rng.normal(0, np.log(2))))
        found = noticed_difference(BARS, answers(detected, BARS, seed))
        held += found.low <= detected / DETECTED <= found.high
    assert 0.85 < held / 300 < 0.95


def test_a_keener_eye_notices_less_and_a_guess_says_little() -> None:
    keen = noticed_difference(BARS, BARS > 0.2)
    dull = noticed_difference(BARS, BARS > 0.9)
    assert keen.typical < 1 < dull.typical
    usual = noticed_difference(BARS, (BARS > 0.45) | (np.arange(12) % 2 == 0))
    assert usual.typical == pytest.approx(1, abs=0.3)
    guessed = noticed_difference(BARS, np.arange(12) % 2 == 0)
    assert guessed.high / guessed.low > 3


def test_half_is_right_by_chance_alone() -> None:
    assert chance_of_right(0.0, 0.5) == pytest.approx(0.5)
    assert chance_of_right(50.0, 0.5) == pytest.approx(0.98)


def test_too_few_bars_and_bars_of_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="too few bars"):
        noticed_difference(BARS[:5], np.ones(5, dtype=bool))
    with pytest.raises(InputError, match="no difference to see"):
        noticed_difference(np.zeros(12), np.ones(12, dtype=bool))
