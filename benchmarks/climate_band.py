"""Five hundred loggers, two years hourly: the season's level and the 7 and 93 % points of each.

Target: 1 s of processor time on one core. Compared, in one run, with pandas' centred moving window
in time, both ends closed, and its quantiles; the results must agree.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import statistics
import sys
import time

import numpy as np
import pandas as pd

from softmend.science.climate.band import swings

TARGET_S, TARGET_RATIO = 1.0, 1.5
LOGGERS, HOURS, HOUR, REPEATS = 500, 2 * 365 * 24, 3600.0, 5


def records() -> np.ndarray:
    """Return invented humidity of many rooms, one row a logger."""
    rng = np.random.default_rng(0)
    days = np.arange(HOURS) / 24
    season = 48 + 12 * np.sin(2 * np.pi * days / 365) + 3 * np.sin(2 * np.pi * days)
    return np.clip(season + rng.normal(0, 3, (LOGGERS, HOURS)), 0, 100)


def by_pandas(read: np.ndarray, index: pd.DatetimeIndex) -> np.ndarray:
    """Return level's end points and quantiles of each logger by another library."""
    inner = slice(15 * 24, HOURS - 15 * 24)
    found = []
    for row in read:
        series = pd.Series(row, index=index)
        level = series.rolling("30D", center=True, closed="both").mean()
        apart = (series - level).iloc[inner]
        low, high = apart.quantile([0.07, 0.93])
        found.append((level.iloc[15 * 24], low, high))
    return np.array(found)


def main() -> int:
    """Measure both ways, print the medians, and return 1 when a target is missed."""
    read = records()
    index = pd.date_range("2020-01-01", periods=HOURS, freq="h")
    swings(read[:5], HOUR)
    ours, theirs = [], []
    for _ in range(REPEATS):
        started = time.process_time()
        level, low, high = swings(read, HOUR)
        ours.append(time.process_time() - started)
        started = time.process_time()
        other = by_pandas(read, index)
        theirs.append(time.process_time() - started)
    apart = float(np.max(np.abs(np.stack([level[:, 15 * 24], low, high], axis=1) - other)))
    seconds, pandas_s = statistics.median(ours), statistics.median(theirs)
    sys.stdout.write(
        f"{LOGGERS} loggers x 2 years hourly: {seconds:.2f} s on one core (target {TARGET_S:.0f} "
        f"s); pandas {pandas_s:.2f} s, {pandas_s / seconds:.1f} times as long (target "
        f"{TARGET_RATIO:.1f}); largest difference {apart:.1g} %RH\n"
    )
    return int(seconds > TARGET_S or pandas_s / seconds < TARGET_RATIO or apart > 1e-9)


if __name__ == "__main__":
    raise SystemExit(main())
