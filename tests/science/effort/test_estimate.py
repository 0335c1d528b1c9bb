"""The sum of three-point estimates: the table of practice, and the beta distribution of scipy."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from softmend.errors import InputError
from softmend.science.effort.estimate import ThreePoint, total_hours
from softmend.tables import table
from tests.science.checks import expected

PRACTICE = expected("softmend-practice")


def tasks_of_the_table() -> list[ThreePoint]:
    return [
        ThreePoint(*(float(row[name]) for name in ("least_hours", "likely_hours", "most_hours")))
        for row in table("task_hours").rows
    ]


def test_the_sum_of_the_table_of_practice() -> None:
    total = total_hours(tasks_of_the_table())
    PRACTICE["likely_hours"].accept(total.likely)
    PRACTICE["mean_hours"].accept(total.mean)
    PRACTICE["sd_independent_hours"].accept(total.sd_independent)
    PRACTICE["sd_together_hours"].accept(total.sd_together)


def test_records_are_about_a_fifth_of_the_likely_hours() -> None:
    rows = table("task_hours").rows
    PRACTICE["record_hours"].accept(sum(row["likely_hours"] for row in rows if row["records"] == 1))


def test_the_mean_is_that_of_the_beta_distribution_and_the_sd_near_it() -> None:
    for task in tasks_of_the_table():
        width = task.most - task.least
        a, b = 1 + 4 * (task.likely - task.least) / width, 1 + 4 * (task.most - task.likely) / width
        oracle = stats.beta(a, b, task.least, width)
        assert task.mean == pytest.approx(oracle.mean())
        assert task.sd == pytest.approx(oracle.std(), rel=0.14)
        assert task.uncertain().mean == pytest.approx(oracle.mean(), rel=1e-4)


def test_the_two_standard_deviations_are_those_of_numbers_drawn_together_and_apart() -> None:
    tasks = [ThreePoint(10, 20, 30), ThreePoint(5, 20, 35)]
    rng = np.random.default_rng(1)
    apart = rng.normal(0, [[t.sd] for t in tasks], (2, 200_000)).sum(axis=0)
    together = np.outer([t.sd for t in tasks], rng.normal(size=200_000)).sum(axis=0)
    total = total_hours(tasks)
    assert total.sd_independent == pytest.approx(apart.std(), rel=0.01)
    assert total.sd_together == pytest.approx(together.std(), rel=0.01)


def test_hours_out_of_order_and_empty_plans_are_refused() -> None:
    with pytest.raises(InputError, match=r"out of order; got \(3, 2, 5\)"):
        ThreePoint(3, 2, 5)
    with pytest.raises(InputError, match="The hours of a task are out of order"):
        ThreePoint(-1, 2, 5)
    with pytest.raises(InputError, match="There is no task to add up"):
        total_hours([])


def test_a_task_of_known_hours_is_exact() -> None:
    assert ThreePoint(4, 4, 4).uncertain().sd == 0
