"""The eye's sensitivity by two formulas and a library, and one person's own threshold."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.sensitivity import (
    contrast_sensitivity_mannos1974,
    contrast_sensitivity_watson2005,
    own_threshold,
    self_test_differences,
)
from tests.science.checks import expected
from tests.science.tint.library import contrast_sensitivity_function_Barten1999

CHECKS = expected("zhang1996")


@pytest.mark.parametrize("f", ["0.5", "1", "2", "4", "8", "16", "32", "53"])
def test_the_standard_observer_is_met(f: str) -> None:
    CHECKS[f"watson_{f}"].accept(float(contrast_sensitivity_watson2005(float(f))))


@pytest.mark.parametrize("f", ["1", "4", "8", "16", "32"])
def test_the_older_model_is_met(f: str) -> None:
    CHECKS[f"mannos_{f}"].accept(float(contrast_sensitivity_mannos1974(float(f))))


def test_both_peak_where_they_should() -> None:
    f = np.linspace(0.1, 20, 19901)
    watson, mannos = contrast_sensitivity_watson2005(f), contrast_sensitivity_mannos1974(f)
    CHECKS["watson_peak"].accept(watson.max())
    CHECKS["mannos_peak"].accept(mannos.max())
    assert f[watson.argmax()] == pytest.approx(3.450, abs=0.002)
    assert f[mannos.argmax()] == pytest.approx(7.891, abs=0.002)


@pytest.mark.parametrize("f", ["0.5", "1", "2", "4", "8", "16", "32"])
def test_a_third_model_in_an_open_library_has_the_values_noted(f: str) -> None:
    CHECKS[f"barten_{f}"].accept(float(contrast_sensitivity_function_Barten1999(float(f))))


def test_the_self_test_finds_the_threshold_of_a_simulated_eye() -> None:
    rng = np.random.default_rng(4)
    bars = self_test_differences() * 6
    for threshold in (0.35, 0.8):
        chance = 0.5 + 0.48 * (1 - np.exp(-((np.array(bars) / threshold) ** 3.5)))
        low, typical, high = own_threshold(bars, list(rng.random(len(bars)) < chance))
        assert low < 2 * threshold < high
        assert typical == pytest.approx(2 * threshold, rel=0.3)


def test_twelve_bars_leave_a_wide_range_and_fewer_are_refused() -> None:
    bars = self_test_differences()
    low, _, high = own_threshold(bars, [one > 0.4 for one in bars])
    assert high / low > 1.2
    with pytest.raises(InputError, match="12 or more bars"):
        own_threshold(bars[:5], [True] * 5)
    with pytest.raises(InputError, match="frequency is negative"):
        contrast_sensitivity_mannos1974(-1)
