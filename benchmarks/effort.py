"""The weeks until a plan ends: 15 tasks, 20 000 draws, and the ratio to a loop over the days.

Target: 300 ms of processor time (what else the machine does is not counted), so that a what-if
answers at once. Compared, in one run, with a plain Python loop
that walks through the same plan draw by draw (fewer draws, scaled up).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import statistics
import sys
import time

import numpy as np

from softmend.science.effort.calendar import Calendar
from softmend.science.effort.estimate import ThreePoint
from softmend.science.effort.finish import Task, finish
from softmend.science.effort.together import DRAWS, SHARED, shared_draws
from softmend.science.uncertain import Uncertain
from softmend.tables import table

TARGET_S = 0.3
REPEATS, LOOPED_DRAWS = 9, 200
HOURS_A_DAY, WORKED = 4.0, 5


def plan() -> list[Task]:
    """Return the plan of the table of hours, each task followed by drying."""
    drying = Uncertain.from_low_typical_high(1, 2, 5)
    names = ("least_hours", "likely_hours", "most_hours")
    return [
        Task(str(row["task"]), ThreePoint(*(float(row[n] or 0) for n in names)).uncertain(), drying)
        for row in table("task_hours").rows
    ]


def looped(tasks: list[Task]) -> list[float]:
    """Return ends by walking through each draw's working days one at a time."""
    rng = np.random.default_rng(0)
    hours = shared_draws([task.hours for task in tasks], SHARED, LOOPED_DRAWS, rng).T
    waits = shared_draws([task.wait_days for task in tasks if task.wait_days], 0.0, LOOPED_DRAWS,
                         rng).T  # fmt: skip
    ends = []
    for works, dries in zip(hours.tolist(), waits.tolist(), strict=True):
        now = 0.0
        for work, dry in zip(works, dries, strict=True):
            left = work
            while left > 1e-9:
                if int(now) % 7 >= WORKED:
                    now = float(int(now) + 1)
                    continue
                part = min(left, (int(now) + 1 - now) * HOURS_A_DAY)
                left -= part
                now += part / HOURS_A_DAY + 1e-12
            now += dry
        ends.append(now)
    return ends


def main() -> int:
    """Measure both ways in turns, print the medians, and return 1 when the target is missed."""
    tasks, calendar = plan(), Calendar(Uncertain.exact(HOURS_A_DAY * WORKED))
    finish(tasks, calendar)
    ours, theirs = [], []
    for _ in range(REPEATS):
        started = time.process_time()
        found = finish(tasks, calendar)
        ours.append(time.process_time() - started)
        started = time.process_time()
        ends = looped(tasks)
        theirs.append((time.process_time() - started) * DRAWS / LOOPED_DRAWS)
    seconds, plain_s = statistics.median(ours), statistics.median(theirs)
    sys.stdout.write(
        f"{len(tasks)} tasks, {DRAWS} draws: {1e3 * seconds:.0f} ms (target {1e3 * TARGET_S:.0f} "
        f"ms); a loop {plain_s:.1f} s, {plain_s / seconds:.0f} times as long\n"
        f"median end: {found.days.typical:.0f} days, by the loop {statistics.median(ends):.0f}\n"
    )
    return int(seconds > TARGET_S)


if __name__ == "__main__":
    raise SystemExit(main())
