"""Spot tests on simulated coatings: is what is said as often right, and what is the advice worth?

Fixed seeds. Coatings drawn from the classes are tested with swabs chosen by expected information,
then by the order that ships (harm first). Targets: in each band of what is said, right within 0.06;
over 90 % sure and wrong at most 2 %; 0.67 right in all, and for acrylics 0.50, 0.68 and 0.74 after
three, five and eight swabs; after five swabs the recommended agent of the shelf truly dissolves
0.75 of the coatings that any agent of the shelf dissolves at all.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from softmend.catalogue.solvency_agent import Part, known, liquid
from softmend.catalogue.solvency_coating import classes
from softmend.catalogue.solvency_next import candidate_of
from softmend.science.solvency.advice import next_swab
from softmend.science.solvency.coating import at_least_chances, drawn, outcome_chances
from softmend.science.solvency.spot import information
from softmend.tables.solvents import solvents

CAREFUL = ("mek", "cyclohexanone", "toluene", "xylene", "benzyl-alcohol", "thf", "butan-1-ol")
SHELF = [one.id for one in solvents() if one.status == "ok"]
POOL = [[known(Part(solvent=name))] for name in (*SHELF, *CAREFUL)]
NAMES = [one[0].name for one in POOL]
LIQUIDS = [liquid(one) for one in POOL]
CANDIDATES = [candidate_of(one) for one in POOL]
MINE, TRUTHS = drawn(classes(), 8000, seed=0), drawn(classes(), 20_000, seed=99)
TABLE = [outcome_chances(MINE, one) for one in LIQUIDS]
REAL = [outcome_chances(TRUTHS, one).astype(float) for one in LIQUIDS]
DISSOLVES = np.stack([at_least_chances(MINE, one)[2] for one in LIQUIDS[: len(SHELF)]])
TRULY = np.stack([at_least_chances(TRUTHS, one)[2] for one in LIQUIDS[: len(SHELF)]])
WITHIN, LEAST_RIGHT, LEAST_ADVICE, MOST_WRONG = 0.06, 0.67, 0.75, 0.02
ACRYLIC = {3: 0.50, 5: 0.68, 8: 0.74}
BANDS = ((0.0, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 1.01))
Chooser = Callable[[np.ndarray, list[int]], int | None]


@dataclass(frozen=True)
class Run:
    """What was said and true of many coatings after each swab, arrays of (coatings, swabs)."""

    said: np.ndarray
    right: np.ndarray
    advice: np.ndarray
    best: np.ndarray


def by_information(weight: np.ndarray, tested: list[int]) -> int | None:
    """Return the swab that is expected to tell most about the class."""
    told = information(replace(MINE, weight=weight), TABLE)
    told[tested] = -1
    return int(np.argmax(told))


def by_harm(weight: np.ndarray, tested: list[int]) -> int | None:
    """Return the swab that ships: the mildest that is worth a test."""
    found = next_swab(replace(MINE, weight=weight), CANDIDATES, [NAMES[one] for one in tested])
    return None if found.choice is None else NAMES.index(found.choice.candidate.name)


def simulated(truths: np.ndarray, chooser: Chooser, swabs: int, seed: int) -> Run:
    """Return what tests of true coatings lead to."""
    rng = np.random.default_rng(seed)
    said, right, advice = (np.zeros((truths.size, swabs)) for _ in range(3))
    for at, truth in enumerate(truths):
        weight, tested = MINE.weight.copy(), []
        for swab in range(swabs):
            chosen = chooser(weight, tested)
            if chosen is not None:
                tested.append(chosen)
                chances = REAL[chosen][:, truth]
                weight = weight * TABLE[chosen][rng.choice(4, p=chances / chances.sum())]
                weight /= weight.sum()
            groups = np.bincount(MINE.group, weight, len(MINE.groups))
            said[at, swab] = groups.max()
            right[at, swab] = np.argmax(groups) == TRUTHS.group[truth]
            advice[at, swab] = TRULY[int(np.argmax(DISSOLVES @ weight)), truth]
    return Run(said, right, advice, TRULY[:, truths].max(axis=0))


def main() -> int:
    """Simulate, print, and return 1 when a target is missed."""
    rng = np.random.default_rng(5)
    anyone = rng.choice(TRUTHS.weight.size, 600, p=TRUTHS.weight)
    acrylics = rng.choice(np.flatnonzero(TRUTHS.group == MINE.groups.index("acrylic")), 200)
    told = simulated(anyone, by_information, 5, 1)
    missed = False
    for low, high in BANDS:
        band = (told.said[:, 4] >= low) & (told.said[:, 4] < high)
        said, right = told.said[band, 4].mean(), told.right[band, 4].mean()
        # Two standard errors of the share, to be read beside it.
        doubt = 2 * np.sqrt(right * (1 - right) / band.sum())
        missed |= abs(said - right) > WITHIN
        say(f"said {said:.2f}, right {right:.2f} ± {doubt:.2f} ({band.sum()} coatings)")
    wrong = float(((told.said > 0.9) & (told.right == 0)).mean(axis=0).max())
    missed |= wrong > MOST_WRONG or told.right[:, 4].mean() < LEAST_RIGHT
    say(f"right in all {told.right[:, 4].mean():.2f} (at least {LEAST_RIGHT}); over 90 % sure and "
        f"wrong {wrong:.3f} (at most {MOST_WRONG})")  # fmt: skip
    of_acrylics = simulated(acrylics, by_information, 8, 2)
    for swabs, least in ACRYLIC.items():
        share = of_acrylics.right[:, swabs - 1].mean()
        missed |= share < least
        say(f"acrylics, right after {swabs}: {share:.2f} (at least {least})")
    for name, run in (("by information", told), ("harm first", simulated(anyone, by_harm, 5, 3))):
        can = run.best > 0.5
        share = run.advice[can, 4].mean()
        missed |= share < LEAST_ADVICE
        steps = ", ".join(f"{one:.2f}" for one in run.advice[can].mean(axis=0))
        say(f"{name}: the agent advised dissolves {steps} after 1 to 5 swabs (at least "
            f"{LEAST_ADVICE}; best {run.best[can].mean():.2f}) of the {can.mean():.0%} of coatings "
            f"that the shelf can dissolve; of all {run.advice[:, 4].mean():.2f} "
            f"(best {run.best.mean():.2f})")  # fmt: skip
    return int(missed)


def say(line: str) -> None:
    """Print one line."""
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    raise SystemExit(main())
