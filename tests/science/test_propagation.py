"""Propagation against the end-gauge example of JCGM 100:2008, H.1, and closed forms."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from softmend.errors import InputError
from softmend.science.propagation import combine, propagate, spread, variance_share
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

ROOT_3 = math.sqrt(3)
END_GAUGE = {
    "standard": Uncertain.normal(50_000_623.0, 25.0),
    "difference": Uncertain.normal(215.0, math.hypot(5.8, 3.9, 6.7)),
    "expansion": Uncertain.uniform(11.5e-6 - 2e-6, 11.5e-6 + 2e-6),
    "expansion_difference": Uncertain.uniform(-1e-6, 1e-6),
    "temperature": Uncertain.normal(-0.1, math.hypot(0.2, 0.35)),
    "temperature_difference": Uncertain.uniform(-0.05, 0.05),
}


def end_gauge_nm(
    standard, difference, expansion, expansion_difference, temperature, temperature_difference
):
    return (
        standard
        + difference
        - standard * (expansion_difference * temperature + expansion * temperature_difference)
    )


def test_first_order_agrees_with_the_end_gauge_of_the_guide() -> None:
    found = combine(end_gauge_nm, END_GAUGE)
    checks = expected("jcgm100")
    checks["end_gauge_length_nm"].accept(found.value)
    checks["end_gauge_standard_uncertainty_nm"].accept(found.standard_uncertainty)
    checks["end_gauge_part_standard_nm"].accept(found.parts["standard"])
    checks["end_gauge_part_difference_nm"].accept(found.parts["difference"])
    checks["end_gauge_part_expansion_difference_nm"].accept(found.parts["expansion_difference"])
    checks["end_gauge_part_temperature_difference_nm"].accept(found.parts["temperature_difference"])


def test_monte_carlo_finds_the_second_order_that_the_guide_names() -> None:
    found = propagate(end_gauge_nm, END_GAUGE, n=50_000, seed=1)
    expected("jcgm100")["end_gauge_with_second_order_nm"].accept(found.sd)
    assert found.drivers[0].name == "standard"


def test_shares_of_a_sum_are_shares_of_variance_and_sum_to_one() -> None:
    inputs = {"a": Uncertain.normal(0, 1), "b": Uncertain.normal(0, 2), "c": Uncertain.normal(0, 4)}
    found = propagate(lambda a, b, c: a + b + c, inputs, n=20_000, seed=3)
    shares = {driver.name: driver.share for driver in found.drivers}
    assert shares["c"] == pytest.approx(16 / 21, abs=0.02)
    assert shares["b"] == pytest.approx(4 / 21, abs=0.02)
    assert sum(shares.values()) == pytest.approx(1.0, abs=0.05)


def test_a_share_of_one_column_is_the_squared_rank_correlation() -> None:
    rng = np.random.default_rng(5)
    x = rng.normal(size=400)
    y = np.exp(x) + rng.normal(size=400)
    assert variance_share(x, y) == pytest.approx(stats.spearmanr(x, y).statistic ** 2, rel=1e-9)


def test_what_is_not_among_the_draws_gets_the_rest() -> None:
    rng = np.random.default_rng(6)
    known, unknown = rng.normal(size=5000), rng.normal(size=5000)
    found = spread(known + 2 * unknown, {"known": known}, rest="unknown")
    assert found.drivers[0].name == "unknown"
    assert found.drivers[0].share == pytest.approx(0.8, abs=0.03)


def test_a_product_of_log_normals_is_the_closed_form() -> None:
    inputs = {"a": Uncertain.log_normal(2.0, 0.3), "b": Uncertain.log_normal(5.0, 0.4)}
    found = propagate(lambda a, b: a * b, inputs, n=100_000, seed=2)
    sigma = math.sqrt(math.log(1.09) + math.log(1.16))
    oracle = stats.lognorm(sigma, scale=10.0)
    assert found.band.low == pytest.approx(oracle.ppf(0.05), rel=0.01)
    assert found.band.typical == pytest.approx(10.0, rel=0.01)
    assert found.band.high == pytest.approx(oracle.ppf(0.95), rel=0.01)


def test_the_same_seed_gives_the_same_answer() -> None:
    inputs = {"a": Uncertain.normal(1, 0.1)}
    assert propagate(lambda a: a**2, inputs, seed=4) == propagate(lambda a: a**2, inputs, seed=4)


def test_draws_without_a_result_are_refused_and_counted() -> None:
    with (
        np.errstate(invalid="ignore"),
        pytest.raises(InputError, match=r"Some draws give no finite result; got 500 of 1000"),
    ):
        propagate(lambda a: np.sqrt(a - 0.0), {"a": Uncertain.normal(0, 1)}, n=1000)
