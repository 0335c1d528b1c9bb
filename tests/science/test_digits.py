"""Rounding by JCGM 100:2008, 7.2.6."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.digits import (
    ROUNDING_NOISE,
    at_least,
    band_text,
    few_digits,
    narrower_than,
    rounded,
)


@pytest.mark.parametrize(
    ("value", "uncertainty", "text"),
    [
        (153.4127, 2.6271, "153.4 ± 2.6 mm"),
        (10.0572, 0.02805, "10.057 ± 0.028 mm"),
        (5.0, 1.2, "5.0 ± 1.2 mm"),
        (12345.6, 1234.5, "12300 ± 1200 mm"),
        (0.5, 0.0995, "0.50 ± 0.10 mm"),
        (1.0, 9.97, "1 ± 10 mm"),
        (-0.004, 1.0, "0.0 ± 1.0 mm"),
        (1e-7, 2.34e-9, "0.0000001000 ± 0.0000000023 mm"),
        (12.0, 0.0, "12 mm"),
        (12.25, 0.0, "12.25 mm"),
        (1200.0, 0.0, "1200 mm"),
        (0.1 + 0.2, 1e-17, "0.3 mm"),
        (12.345678, None, "12.3 mm (uncertainty not known)"),
        (12.345678, math.nan, "12.3 mm (uncertainty not known)"),
        (None, 1.0, "not known"),
        (math.nan, 1.0, "not known"),
    ],
)
def test_a_value_ends_where_its_uncertainty_ends(
    value: float | None, uncertainty: float | None, text: str
) -> None:
    assert rounded(value, uncertainty).text("mm") == text


@settings(deadline=None)
@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e5))
def test_value_and_uncertainty_share_the_last_place_and_lose_little(
    value: float, uncertainty: float
) -> None:
    # Below the noise of floating point an uncertainty is none; the test after this one holds that.
    assume(uncertainty > float(ROUNDING_NOISE) * abs(value))
    found = rounded(value, uncertainty)
    shown = Decimal(found.uncertainty)
    assert abs(float(shown) - uncertainty) <= 0.051 * uncertainty
    assert abs(float(found.value) - value) <= 0.051 * uncertainty
    if "." in found.uncertainty:
        assert len(found.value.split(".")[1]) == len(found.uncertainty.split(".")[1])


def test_an_uncertainty_below_the_noise_of_floating_point_is_none() -> None:
    assert rounded(1e6, 0.5 * float(ROUNDING_NOISE) * 1e6).uncertainty == ""
    assert rounded(1e6, 2 * float(ROUNDING_NOISE) * 1e6).uncertainty != ""


@settings(deadline=None)
@given(st.floats(1e-6, 1e6))
def test_bounds_stay_true_when_rounded(limit: float) -> None:
    assert float(narrower_than(limit).split()[-1]) >= limit
    assert float(at_least(limit).split()[-1]) <= limit


def test_a_number_of_few_digits_is_never_a_power_of_ten() -> None:
    told = [few_digits(one) for one in (0.0, 0.0284, 1.02, 28.4, 218.4, 1386.0, 99.7)]
    assert told == ["0", "0.028", "1", "28", "220", "1400", "100"]
    assert few_digits(-1234.5, 3) == "-1230"


def test_a_band_ends_where_half_its_width_deserves() -> None:
    assert band_text(1.234, 3.1, 9.83, "mL") == "3.1 (1.2 to 9.8) mL"
    assert band_text(3.0, 3.0, 3.0, "mL") == "3 mL"


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: rounded(1.0, -0.5), "An uncertainty is negative; got -0.5; allowed: 0 or more."),
        (
            lambda: rounded(math.inf, 1.0),
            "A number to print is not finite; got inf; allowed: a finite number.",
        ),
        (lambda: narrower_than(0.0), "A limit is not above zero; got 0.0; allowed: above 0."),
        (
            lambda: band_text(2.0, 1.0, 3.0),
            "A band is out of order; got (2.0, 1.0, 3.0); allowed: low, typical, high.",
        ),
    ],
)
def test_what_cannot_be_printed_is_refused(call, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == sentence
