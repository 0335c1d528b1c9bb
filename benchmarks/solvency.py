"""Every blend of the shelf with its chance of dissolving, and the ratio to direct evaluation.

Target: 231 441 blends of 21 solvents in 2 s of processor time after a table of at most 5 s; here
the table is drawn only where the blends lie, so both are timed as one. Compared, in one run, with
direct evaluation over the same particles (fewer blends, scaled up). Then the fifty-solvent shelf
without any rule, whose winner does not mix, must be refused with the reason.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import statistics
import sys
import time

import numpy as np

from softmend.catalogue.solvency_coating import classes
from softmend.science.solvency.blend import (
    all_blends,
    blend_chances,
    direct_chances,
    places,
    thinned,
)
from softmend.science.solvency.coating import Liquid, Outcome, Particles, drawn
from softmend.science.solvency.search import Search, Stocked, searched, shelf_of
from softmend.science.solvency.spot import Reading, updated
from softmend.tables.solvency import mixing
from softmend.tables.solvents import Solvent, solvent, solvents

TARGET_S, TARGET_RATIO, TARGET_RMS = 2.0, 10.0, 0.005
REPEATS, DIRECT, FIFTY = 5, 4000, 50
TESTS = (("heptane", Outcome.NONE), ("ethanol", Outcome.NONE), ("acetone", Outcome.DISSOLVES))


def tested() -> Particles:
    """Return the possible coatings after three swabs."""
    readings = []
    for name, outcome in TESTS:
        one = solvent(name)
        readings.append(Reading(Liquid(one.position, one.molar_volume), outcome))
    return updated(drawn(classes()), readings)


def refused_of_fifty(coating: Particles) -> Search:
    """Return the search over fifty solvents, all of which count as leaving by themselves."""
    chosen = [one for one in solvents() if one.status in {"ok", "caution"}][:FIFTY]
    rows = [Stocked(one.id, one.position, one.position, one.molar_volume, 0.0, 1.0, True)
            for one in chosen]  # fmt: skip
    return searched(coating, shelf_of(rows, [[_mix(a, b) for b in chosen] for a in chosen]))


def _mix(one: Solvent, other: Solvent) -> bool:
    return mixing(one.id, other.id).may_be_mixed


def main() -> int:
    """Measure both ways, print the medians, and return 1 when a target is missed."""
    coating = tested()
    shelf = [one for one in solvents() if one.status == "ok"]
    ours, theirs, errors = [], [], []
    for seed in range(REPEATS):
        started = time.process_time()
        some = thinned(coating)
        at = places(all_blends(len(shelf)), [one.position for one in shelf],
                    [one.molar_volume for one in shelf])  # fmt: skip
        found = blend_chances(some, at, Outcome.DISSOLVES)
        ours.append(time.process_time() - started)
        few = np.random.default_rng(seed).choice(len(at), DIRECT, replace=False)
        started = time.process_time()
        exact = direct_chances(some, at[few], Outcome.DISSOLVES)
        theirs.append((time.process_time() - started) * len(at) / DIRECT)
        errors.append(float(np.sqrt(np.mean((found[few] - exact) ** 2))))
    seconds, plain_s, rms = (statistics.median(one) for one in (ours, theirs, errors))
    sys.stdout.write(
        f"{len(at)} blends with their table: {seconds:.2f} s (target {TARGET_S:g} s after a table "
        f"of 5 s); direct {plain_s:.1f} s, {plain_s / seconds:.0f} times as long (target "
        f"{TARGET_RATIO:g}); rms error {rms:.4f} (target {TARGET_RMS:g})\n"
    )
    fifty = refused_of_fifty(coating)
    why = "" if fifty.refused is None else "; ".join(fifty.refused.reasons)
    named = "" if fifty.refused is None else " + ".join(fifty.refused.agent.names)
    sys.stdout.write(f"{fifty.looked_at} blends of {FIFTY}: {named} refused: {why}\n")
    missed = seconds > TARGET_S or plain_s / seconds < TARGET_RATIO or rms > TARGET_RMS
    return int(missed or "not known to mix" not in why)


if __name__ == "__main__":
    raise SystemExit(main())
