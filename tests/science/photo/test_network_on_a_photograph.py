"""On a real photograph of a glossy cast the network follows the drawn sutures through their breaks.

The two courses were marked by hand on the picture beside its attribution, tests/data/photographs.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.network import chances, predictor, suggested_by_network
from softmend.science.photo.standing_out import levels
from softmend.science.photo.suggest import Suggestion, allowed, suggestions
from softmend.tables.suggest_network import suggest_network

PICTURE = Path(__file__).parents[2] / "data" / "photographs" / "10.jpg"
PART = (slice(300, 700), slice(380, 1060))
"""The part of the picture that is looked at: rows, columns [px]."""

COURSES = (
    [(770, 460), (789, 467), (811, 473), (827, 480), (845, 484), (866, 488), (884, 490),
     (909, 500), (941, 508), (948, 523), (957, 541), (962, 568)],
    [(427, 548), (459, 538), (477, 527), (498, 510), (514, 501), (525, 486), (573, 484)],
)  # fmt: skip
WITHIN_PX = 8.0
"""How far off a hand-marked course may be of the suture's middle, and two strands of each other."""


def dense(line: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a place every 2 px along a line."""
    parts = [
        a + (b - a) * np.linspace(0, 1, int(np.hypot(*(b - a)) / 2) + 1)[:, None]
        for a, b in pairwise(line)
    ]
    return np.vstack(parts)


def met(found: list[Suggestion]) -> list[float]:
    """Return how much of each course lies along a suggestion."""
    lines = [line for one in found for line in one.lines_px if len(line) > 1]
    places = np.vstack([dense(np.asarray(line, dtype=float)) for line in lines])
    corner = np.array([PART[1].start, PART[0].start])
    return [
        float(
            np.mean(
                [
                    np.hypot(*(places + corner - place).T).min() < WITHIN_PX
                    for place in dense(np.asarray(course, dtype=float))
                ]
            )
        )
        for course in COURSES
    ]


def test_broken_sutures_are_followed_where_the_classical_way_finds_parts() -> None:
    whole = cv2.imread(str(PICTURE), cv2.IMREAD_GRAYSCALE)
    assert whole is not None
    grey = whole[PART].astype(np.float32)
    where = allowed(grey)
    chance = chances(grey, where, predictor(suggest_network()))
    network, _ = suggested_by_network(grey, chance)
    classical, _ = suggestions(grey, levels(grey, where), 50.0)
    assert min(met(network)) > 0.85
    assert max(met(classical)) < min(met(network))
    length = [sum(one.length_px for one in found) for found in (network, classical)]
    assert length[0] < 1.3 * length[1], "more is found, not more is drawn"
