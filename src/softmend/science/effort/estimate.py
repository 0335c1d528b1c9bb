"""Three-point estimates of hours and their sum, whether the tasks move together or not."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.science.uncertain import Uncertain


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """The least, the most likely and the most hours that a task can take; the ends are limits."""

    least: float
    likely: float
    most: float

    def __post_init__(self) -> None:
        """Refuse hours that are negative, not finite or out of order."""
        if not (0 <= self.least <= self.likely <= self.most and math.isfinite(self.most)):
            raise InputError(
                "The hours of a task are out of order",
                value=(self.least, self.likely, self.most),
                allowed="least, likely, most: each 0 or more and at least the one before",
            )

    @property
    def mean(self) -> float:
        """The mean of the beta-PERT distribution [h]."""
        return (self.least + 4 * self.likely + self.most) / 6

    @property
    def sd(self) -> float:
        """A sixth of the range, the customary standard deviation of a three-point estimate [h].

        The beta-PERT distribution's own is up to 13 % larger when the likely value lies in the
        middle and up to 15 % smaller when it lies at an end; simulations draw from the
        distribution itself.
        """
        return (self.most - self.least) / 6

    def uncertain(self) -> Uncertain:
        """Return the hours as a beta-PERT value; equal limits are an exact one."""
        if self.least == self.most:
            return Uncertain.exact(self.likely)
        return Uncertain.pert(self.least, self.likely, self.most)


@dataclass(frozen=True, slots=True)
class TotalHours:
    """The sum of three-point estimates [h]: the truth of its sd lies between the two."""

    likely: float
    mean: float
    sd_independent: float
    sd_together: float


def total_hours(tasks: Sequence[ThreePoint]) -> TotalHours:
    """Return the sum of three-point estimates, with its sd for either extreme of dependence.

    Parameters
    ----------
    tasks : sequence of ThreePoint, hours of each task [h], one task or more

    Returns
    -------
    TotalHours, sum of the likely values, mean, and sd if the tasks are independent and if they
    move together [h]

    Raises
    ------
    InputError
        When there is no task.

    Source: malcolm1959, appendix A (mean and sd of a three-point estimate).
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> total = total_hours([ThreePoint(3, 6, 12), ThreePoint(12, 20, 40)])
    >>> total.likely, total.mean, round(total.sd_independent, 2), round(total.sd_together, 2)
    (26, 28.5, 4.9, 6.17)
    """
    if not tasks:
        raise InputError("There is no task to add up", value=0, allowed="1 or more")
    return TotalHours(
        sum(task.likely for task in tasks),
        sum(task.mean for task in tasks),
        math.hypot(*(task.sd for task in tasks)),
        sum(task.sd for task in tasks),
    )
