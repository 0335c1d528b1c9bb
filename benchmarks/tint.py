"""Every set of up to four of twelve paints, and the ratio to scipy taking one set at a time.

Target: 200 ms of processor time and 50 times quicker. The slow way solves a fair sample of the
sets, from one start each, and is scaled up; both make the same straightened differences small.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import statistics
import sys
import time
from itertools import combinations
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from softmend.science.tint.ranking import ErrorBudget, ranked  # noqa: E402
from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp  # noqa: E402
from tests.science.tint import invented  # noqa: E402
from tests.science.tint.one_by_one import solved_alone  # noqa: E402

TARGET_S, TARGET_RATIO = 0.2, 50.0
REPEATS, EVERY = 9, 20


def main() -> int:
    """Measure both ways, print the medians, and return 1 when a target is missed."""
    palette, skin = invented.palette(), invented.SKIN
    lamps = tuple(invented.lamp(name) for name in ("D65", "LED-B2", "FL11"))
    sets = [one for size in range(1, 5) for one in combinations(range(12), size)]
    ours, ranking, theirs = [], [], []
    for number, reflectance in enumerate(invented.targets(REPEATS)):
        target = Target(lab_by_lamp(reflectance, lamps), lamps)
        started = time.process_time()
        found = all_sets(target, palette, skin)
        ours.append(time.process_time() - started)
        started = time.process_time()
        ranked(found, target, palette, skin, ErrorBudget())
        ranking.append(time.process_time() - started)
        if number < 3:
            some = sets[number::EVERY]
            started = time.process_time()
            for one in some:
                solved_alone(target, palette, skin, one, starts=1)
            theirs.append((time.process_time() - started) * len(sets) / len(some))
    seconds, slow = statistics.median(ours), statistics.median(theirs)
    sys.stdout.write(
        f"{len(sets)} sets of paints: {1e3 * seconds:.0f} ms (target {1e3 * TARGET_S:.0f} ms), "
        f"ranking {1e3 * statistics.median(ranking):.0f} ms; one set at a time {slow:.1f} s, "
        f"{slow / seconds:.0f} times as long (target {TARGET_RATIO:.0f})\n"
    )
    return int(seconds > TARGET_S or slow / seconds < TARGET_RATIO)


if __name__ == "__main__":
    raise SystemExit(main())
