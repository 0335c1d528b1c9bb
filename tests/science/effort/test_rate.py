"""Rates learned from a log: against the posterior integrated on a grid, and drawn benches."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from softmend.errors import InputError
from softmend.science.effort.rate import (
    PRIOR_FREEDOM,
    PRIOR_TASKS,
    LoggedTask,
    hours_of,
    learned_rate,
)
from softmend.science.uncertain import Uncertain

LOG = [LoggedTask(40, 30.0), LoggedTask(22, 18.0), LoggedTask(60, 29.0), LoggedTask(8, 9.0)]


def predicted_on_a_grid(median: float, cv: float, logs: np.ndarray) -> tuple[float, float]:
    """Return mean and variance of the next log-rate by brute force, no conjugacy used."""
    scatter = math.log1p(cv**2) * (PRIOR_FREEDOM - 2) / PRIOR_FREEDOM / (1 + 1 / PRIOR_TASKS)
    mu = np.linspace(math.log(median) - 5, math.log(median) + 5, 1201)[:, None]
    variance = np.exp(np.linspace(math.log(1e-3), math.log(200), 1601))[None, :]
    prior = stats.invgamma(PRIOR_FREEDOM / 2, scale=PRIOR_FREEDOM * scatter / 2).pdf(variance)
    weight = prior * stats.norm.pdf(mu, math.log(median), np.sqrt(variance / PRIOR_TASKS))
    for one in logs:
        weight = weight * stats.norm.pdf(one, mu, np.sqrt(variance))
    weight = weight * variance  # the grid is even in the logarithm of the variance
    weight /= weight.sum()
    mean = float((weight * mu).sum())
    return mean, float((weight * (variance + (mu - mean) ** 2)).sum())


@pytest.mark.parametrize("count", [1, 2, 4])
def test_the_next_rate_agrees_with_brute_force(count: int) -> None:
    logs = np.log([task.hours / task.quantity for task in LOG[:count]])
    mean, variance = predicted_on_a_grid(0.5, 0.8, logs)
    rate = learned_rate(0.5, 0.8, LOG[:count]).rate
    found_cv = rate.parameters[1]
    assert math.log(rate.typical) == pytest.approx(mean, abs=1e-3)
    assert math.log1p(found_cv**2) == pytest.approx(variance, rel=0.02)


@settings(deadline=None)
@given(st.floats(0.01, 100), st.floats(0.05, 3))
def test_with_nothing_logged_the_guess_comes_back(median: float, cv: float) -> None:
    found = learned_rate(median, cv)
    assert found.rate.typical == pytest.approx(median)
    assert found.rate.parameters[1] == pytest.approx(cv)
    assert (found.logged_tasks, found.logged_hours) == (0, 0.0)


def test_many_tasks_drown_the_guess() -> None:
    rng = np.random.default_rng(3)
    rates = 2.0 * np.exp(0.3 * rng.normal(size=400))
    found = learned_rate(0.2, 1.0, [LoggedTask(10.0, 10.0 * rate) for rate in rates])
    assert found.rate.typical == pytest.approx(2.0, rel=0.05)
    assert found.rate.parameters[1] == pytest.approx(math.sqrt(math.expm1(0.09)), rel=0.1)


def test_the_next_task_falls_inside_the_band_about_nine_times_in_ten() -> None:
    rng = np.random.default_rng(8)
    inside = []
    for _ in range(600):
        true_rate, scatter = math.exp(rng.normal(math.log(0.5), 0.4)), 0.4
        *past, coming = true_rate * np.exp(scatter * rng.normal(size=6))
        band = learned_rate(0.5, 0.7, [LoggedTask(10, 10 * rate) for rate in past]).rate.band
        inside.append(band.low <= coming <= band.high)
    assert 0.86 <= np.mean(inside) <= 0.97


def test_a_log_narrows_what_it_agrees_with() -> None:
    like = [LoggedTask(10, 5.0)] * 5
    assert learned_rate(0.5, 0.8, like).rate.sd < learned_rate(0.5, 0.8).rate.sd


def test_a_log_that_contradicts_its_guess_widens_it_and_is_not_refused() -> None:
    found = learned_rate(0.001, 0.5, [LoggedTask(1, 400.0)])
    assert found.rate.parameters[1] == pytest.approx(10.0)


def test_the_order_of_the_log_does_not_matter_and_hours_are_counted() -> None:
    assert learned_rate(0.5, 0.8, LOG).rate.typical == pytest.approx(
        learned_rate(0.5, 0.8, LOG[::-1]).rate.typical
    )
    assert learned_rate(0.5, 0.8, LOG).logged_hours == 86.0


def test_hours_are_quantity_times_rate() -> None:
    rate = Uncertain.log_normal(0.5, 0.3)
    assert hours_of(Uncertain.exact(120), rate) == rate.scaled(120)
    product = hours_of(Uncertain.log_normal(120, 0.2), rate)
    sigma = math.hypot(math.sqrt(math.log(1.09)), math.sqrt(math.log(1.04)))
    oracle = stats.lognorm(sigma, scale=60)
    assert product.band.low == pytest.approx(oracle.ppf(0.05), rel=0.04)
    assert product.band.high == pytest.approx(oracle.ppf(0.95), rel=0.04)
    assert hours_of(Uncertain.exact(0), rate).mean == 0


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="A logged task needs a quantity and hours"):
        LoggedTask(0, 3)
    with pytest.raises(InputError, match="A prior rate needs a positive median"):
        learned_rate(0.0, 0.5)
    with pytest.raises(InputError, match="A quantity to be worked may be negative"):
        hours_of(Uncertain.normal(1, 2), Uncertain.exact(1))
