"""Uncertain values against scipy's distributions."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from softmend.errors import InputError
from softmend.science.uncertain import Band, Uncertain

SHARES = np.array([0.001, 0.05, 0.3, 0.5, 0.77, 0.95, 0.999])


def log_sd(cv: float) -> float:
    return math.sqrt(math.log(1 + cv * cv))


ORACLES = [
    (Uncertain.normal(3.0, 0.4), stats.norm(3.0, 0.4)),
    (Uncertain.log_normal(2.0, 0.5), stats.lognorm(log_sd(0.5), scale=2.0)),
    (Uncertain.uniform(-1.0, 3.0), stats.uniform(-1.0, 4.0)),
    (
        Uncertain.truncated_normal(1.0, 2.0, 0.0, 4.0),
        stats.truncnorm((0.0 - 1.0) / 2.0, (4.0 - 1.0) / 2.0, 1.0, 2.0),
    ),
    (Uncertain.pert(1.0, 2.0, 6.0), stats.beta(1 + 4 / 5, 1 + 16 / 5, 1.0, 5.0)),
]


@pytest.mark.parametrize(("value", "oracle"), ORACLES, ids=lambda v: getattr(v, "family", ""))
def test_quantiles_mean_and_sd_agree_with_scipy(value: Uncertain, oracle: stats.rv_frozen) -> None:
    np.testing.assert_allclose(value.quantile(SHARES), oracle.ppf(SHARES), rtol=1e-9)
    assert value.mean == pytest.approx(oracle.mean(), rel=1e-5)
    assert value.sd == pytest.approx(oracle.std(), rel=1e-4)


def test_a_pert_mean_is_least_plus_four_modes_plus_most_over_six() -> None:
    assert Uncertain.pert(2, 5, 14).mean == pytest.approx((2 + 4 * 5 + 14) / 6, rel=1e-5)


def test_a_random_sign_value_has_the_size_of_its_log_normal_and_no_mean() -> None:
    value = Uncertain.random_sign(0.6, 0.3)
    drawn = value.draw(20_000, np.random.default_rng(1))
    size = stats.lognorm(log_sd(0.3), scale=0.6)
    assert stats.kstest(np.abs(drawn), size.cdf).pvalue > 0.01
    assert np.mean(drawn > 0) == pytest.approx(0.5, abs=0.001)
    assert value.mean == pytest.approx(0.0, abs=1e-9)


@settings(deadline=None)
@given(
    st.tuples(*[st.floats(-1e4, 1e4, allow_nan=False) for _ in range(3)]).map(sorted),
)
def test_low_typical_high_are_kept_exactly(points: list[float]) -> None:
    low, typical, high = points
    assume(not 0 < low < high / 1e9)
    band = Uncertain.from_low_typical_high(low, typical, high).band
    expected = (max(low, 0.0), typical, high) if low == 0 else (low, typical, high)
    for found, point in zip((band.low, band.typical, band.high), expected, strict=True):
        assert found == pytest.approx(point, rel=1e-9, abs=1e-9)


def test_a_positive_typed_value_never_falls_to_zero_or_below() -> None:
    drawn = Uncertain.from_low_typical_high(0.1, 0.5, 5.0).draw(50_000, np.random.default_rng(2))
    assert drawn.min() > 0


def test_a_typed_low_of_zero_means_one_draw_in_twenty_is_nothing() -> None:
    drawn = Uncertain.from_low_typical_high(0.0, 2.0, 5.0).draw(20_000, np.random.default_rng(2))
    assert np.mean(drawn == 0) == pytest.approx(0.05, abs=0.001)
    assert drawn.min() == 0


def test_symmetric_typed_points_around_zero_are_a_normal_value() -> None:
    value = Uncertain.from_low_typical_high(-1.6448536, 0.0, 1.6448536)
    np.testing.assert_allclose(value.quantile(SHARES), stats.norm.ppf(SHARES), atol=1e-6)


def test_samples_give_back_their_own_quantiles() -> None:
    values = np.random.default_rng(3).gamma(2.0, size=500)
    value = Uncertain.samples(values)
    np.testing.assert_allclose(value.quantile(SHARES), np.quantile(values, SHARES))
    assert value.mean == pytest.approx(values.mean(), rel=5e-3)


def test_the_same_seed_gives_the_same_draws() -> None:
    value = Uncertain.log_normal(1.0, 0.2)
    first = value.draw(100, np.random.default_rng(7))
    assert np.array_equal(first, value.draw(100, np.random.default_rng(7)))
    assert not np.array_equal(first, value.draw(100, np.random.default_rng(8)))


@pytest.mark.parametrize(
    "value",
    [
        Uncertain.exact(4.0),
        Uncertain.normal(3.0, 0.4),
        Uncertain.log_normal(2.0, 0.5),
        Uncertain.truncated_normal(1.0, 2.0, 0.0, 4.0),
        Uncertain.uniform(1.0, 2.0),
        Uncertain.pert(1.0, 2.0, 6.0),
        Uncertain.random_sign(1.0, 0.3),
        Uncertain.from_low_typical_high(1, 2, 5),
        Uncertain.samples([1.0, 3.0, 2.0]),
    ],
    ids=lambda value: value.family.value,
)
def test_every_family_survives_json_and_a_change_of_unit(value: Uncertain) -> None:
    assert Uncertain.from_json(value.to_json()) == value
    np.testing.assert_allclose(
        value.scaled(1000.0).quantile(SHARES), 1000.0 * value.quantile(SHARES), rtol=1e-12
    )


def test_a_band_of_draws_is_their_quantiles() -> None:
    assert Band.of(np.arange(101.0)) == Band(5.0, 50.0, 95.0)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (
            {"family": "cauchy", "mean": 1},
            "The family of an uncertain value is not known; got cauchy; allowed: exact, normal, "
            "log_normal, truncated_normal, uniform, pert, random_sign, three_point, samples.",
        ),
        (
            {"family": "normal", "mean": 1},
            "The fields of a normal value are wrong; got family, mean; allowed: family, mean, sd.",
        ),
        (
            {"family": "normal", "mean": True, "sd": 1},
            "The field mean is not a number; got True; allowed: a number.",
        ),
        (
            {"family": "normal", "mean": 1, "sd": -1},
            "A standard deviation is negative; got -1.0; allowed: 0 or more.",
        ),
        (
            {"family": "three_point", "low": 3, "typical": 2, "high": 4},
            "The low, typical and high values are not in order; got (3.0, 2.0, 4.0); allowed: "
            "each at least as large as the one before.",
        ),
    ],
)
def test_what_is_no_distribution_is_refused_in_one_sentence(
    data: dict[str, object], sentence: str
) -> None:
    with pytest.raises(InputError) as refused:
        Uncertain.from_json(data)
    assert str(refused.value) == sentence


def test_not_a_number_and_infinity_are_refused() -> None:
    for number in (math.nan, math.inf):
        with pytest.raises(InputError, match="not a finite number"):
            Uncertain.normal(number, 1.0)
