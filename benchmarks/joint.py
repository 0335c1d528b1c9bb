"""A hundred thousand joints by Monte Carlo, and the ratio to a loop over single solutions.

Target: 300 ms of processor time once the chart of the body is drawn. Compared, in one run, with a
plain Python loop that solves each joint by itself (fewer draws, scaled up).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import statistics
import sys
import time

from softmend.science.joint.body import Body, Shape
from softmend.science.joint.criteria import (
    Bond,
    Climate,
    Filling,
    Joint,
    Matter,
    Movement,
    Opening,
)
from softmend.science.joint.giving import DRAWS_LOG2, first_to_give, net
from softmend.science.joint.sharing import Elastic, Gap, Section, load_sharing
from softmend.science.uncertain import Uncertain

TARGET_S, TARGET_RATIO = 0.3, 100.0
REPEATS, LOOPED = 7, 128


def joint() -> Joint:
    """Return a shaft with a radial crack that holds a pulp fill, everything uncertain."""
    log_normal, exact = Uncertain.log_normal, Uncertain.exact
    return Joint(
        Matter(
            log_normal(8e9, 0.25),
            Uncertain.truncated_normal(0.3, 0.03, 0, 0.495),
            log_normal(0.55, 0.35),
            log_normal(1.6e6, 0.35),
            log_normal(30e6, 0.35),
        ),
        Opening(
            Body(Shape.CYLINDER),
            Section.BONDED,
            log_normal(0.02, 0.1),
            log_normal(0.002, 0.15),
            log_normal(0.05, 0.02),
        ),
        Filling(
            log_normal(4e7, 0.8),
            Uncertain.truncated_normal(0.2, 0.06, 0, 0.495),
            exact(1.0),
            log_normal(1.5e6, 0.6),
            log_normal(0.15, 0.6),
        ),
        Bond(energy=log_normal(50, 0.8)),
        Movement(mismatch=Uncertain.random_sign(1.5e-4, 0.6)),
        Climate(log_normal(10, 0.3), log_normal(10, 0.3)),
    )


def looped(one: Joint) -> None:
    """Solve a few joints one by one."""
    draws = net(one.values(), 10, 0)
    for i in range(LOOPED):
        value = {name: float(column[i]) for name, column in draws.items()}
        swing = value["movement of the crack with humidity"] * value["fall of humidity"]
        relaxed = value["stiffness of the object"] * min(1.0, value["relaxation of the object"])
        load_sharing(
            Gap(
                one.opening.body,
                value["radius of the object"],
                value["depth of the crack"],
                value["width of the crack"],
            ),
            Elastic(relaxed, value["Poisson's ratio of the object"]),
            Elastic(value["stiffness of the fill"], value["Poisson's ratio of the fill"]),
            swing,
        )


def main() -> int:
    """Measure both ways, print the medians, and return 1 when a target is missed."""
    one = joint()
    first_to_give(one)
    ours, theirs = [], []
    for seed in range(REPEATS):
        started = time.process_time()
        first_to_give(one, seed=seed)
        ours.append(time.process_time() - started)
        started = time.process_time()
        looped(one)
        theirs.append((time.process_time() - started) * (1 << DRAWS_LOG2) / LOOPED)
    seconds, plain_s = statistics.median(ours), statistics.median(theirs)
    sys.stdout.write(
        f"{1 << DRAWS_LOG2} joints: {1e3 * seconds:.0f} ms (target {1e3 * TARGET_S:.0f} ms); "
        f"a loop {plain_s:.0f} s, {plain_s / seconds:.0f} times as long (target "
        f"{TARGET_RATIO:.0f})\n"
    )
    return int(seconds > TARGET_S or plain_s / seconds < TARGET_RATIO)


if __name__ == "__main__":
    raise SystemExit(main())
