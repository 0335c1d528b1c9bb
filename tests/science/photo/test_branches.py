"""A branched crack becomes one line that runs on and one for each branch; nothing is lost."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np

from softmend.science.photo.branches import joined_lines
from softmend.science.photo.standing_out import levels
from softmend.science.photo.suggest import suggestions
from tests.science.photo.drawn_cracks import add_crack, textured, wandering


def length(line: np.ndarray) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def test_a_crack_with_a_branch_is_one_line_and_its_branch() -> None:
    rng = np.random.default_rng(8)
    picture = textured((300, 500), rng)
    trunk = wandering((30, 150), (470, 160), 0.06, rng)
    fork = trunk[len(trunk) // 2]
    branch = wandering(tuple(fork), (360, 40), 0.06, rng)
    for line in (trunk, branch):
        add_crack(picture, line, 3.0, 0.5)
    grey = cv2.GaussianBlur(picture, (0, 0), 0.8).astype(np.float32)
    found, _ = suggestions(grey, levels(grey))
    whole = max(found, key=lambda one: one.length_px)
    lines = joined_lines(whole.lines_px)
    assert length(lines[0]) > 0.85 * length(trunk)
    assert length(lines[1]) > 0.7 * length(branch)
    assert sum(map(len, lines)) == sum(map(len, whole.lines_px))
    # The long line follows the trunk and not the branch.
    off = np.hypot(*(lines[0][:, None] - trunk[None]).transpose(2, 0, 1)).min(axis=1)
    assert np.quantile(off, 0.9) < 4


def test_two_lines_that_do_not_meet_stay_two_and_a_sharp_turn_is_a_branch() -> None:
    x = np.arange(0.0, 41.0, 4)
    level = np.column_stack([x, 0 * x])
    assert len(joined_lines([level, level + np.array([80, 0])])) == 2
    back = np.column_stack([41 - x, 3 + 0.6 * x])
    assert len(joined_lines([level, back])) == 2
    assert joined_lines([level])[0].tolist() == level.tolist()
