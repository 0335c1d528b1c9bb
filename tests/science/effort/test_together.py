"""Hours that move together: sums against closed forms, draws against scipy."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from softmend.errors import InputError
from softmend.science.effort.estimate import ThreePoint
from softmend.science.effort.together import hours_together, shared_draws
from softmend.science.uncertain import Uncertain
from softmend.tables import table


def of_the_table() -> dict[str, Uncertain]:
    names = ("least_hours", "likely_hours", "most_hours")
    return {
        str(row["task"]): ThreePoint(*(float(row[name]) for name in names)).uncertain()
        for row in table("task_hours").rows
    }


def test_apart_and_together_are_the_two_standard_deviations() -> None:
    sds = [one.sd for one in of_the_table().values()]
    apart = hours_together(of_the_table(), 0.0, seed=1).total
    together = hours_together(of_the_table(), 1.0, seed=1).total
    assert apart.mean == pytest.approx(375, abs=0.5)
    assert apart.sd == pytest.approx(math.hypot(*sds), rel=0.02)
    # Beta-PERT hours that move together fall a little short of the plain sum, never beyond it.
    assert 0.98 * sum(sds) < together.sd < 1.001 * sum(sds)


def test_each_task_keeps_its_own_distribution_and_the_stated_correlation() -> None:
    value = ThreePoint(20, 60, 150).uncertain()
    a, b = shared_draws([value, value], 0.6, 20_000, np.random.default_rng(2))
    assert stats.kstest(a, stats.beta(1 + 160 / 130, 1 + 360 / 130, 20, 130).cdf).pvalue > 0.01
    scores = stats.norm.ppf((stats.rankdata([a, b], axis=1) - 0.5) / 20_000)
    assert np.corrcoef(scores)[0, 1] == pytest.approx(0.6, abs=0.02)


def test_the_widest_task_drives_the_sum_of_tasks_apart() -> None:
    found = hours_together(of_the_table(), 0.0)
    assert found.total.drivers[0].name == "old_fills_off"
    assert len(found.each) == 15


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="There is no task to add up"):
        hours_together({})
    with pytest.raises(InputError, match="The shared part of the spread is no share; got 2"):
        hours_together(of_the_table(), 2)
    with pytest.raises(InputError, match="The number of draws is out of range"):
        hours_together(of_the_table(), n=10)
