"""Ruled and drawn lines are told from cracks by running on straight or bending too smoothly."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools

import numpy as np

from softmend.science.photo.ruled import are_ruled, is_smooth, misfit_px
from tests.science.photo.drawn_cracks import wandering


def test_a_crack_wanders_and_a_drawn_line_does_not() -> None:
    rng = np.random.default_rng(0)
    crack = wandering((0, 0), (300, 40), 0.08, rng)
    turn = np.linspace(0, 1, 200)
    arc = 300 * np.column_stack([np.cos(turn), np.sin(turn)])
    assert misfit_px(crack) > 1.0
    assert misfit_px(np.round(arc)) < 0.6

    assert is_smooth(np.round(arc))
    assert not is_smooth(crack)


def test_a_ruled_line_that_others_cut_to_pieces_is_still_ruled() -> None:
    x = np.arange(0.0, 22.0)
    turn = np.array([np.cos(0.4), np.sin(0.4)])
    pieces = [np.floor(np.array([20.0, 30.0]) + (30 * n + x)[:, None] * turn) for n in range(9)]
    crack = wandering((30, 220), (330, 180), 0.08, np.random.default_rng(3))
    steps = np.linspace(0, len(crack) - 1, 15).astype(int)
    cracked = [crack[a : b + 1] for a, b in itertools.pairwise(steps)]
    told = are_ruled([*pieces, *cracked], (260, 360))
    assert all(told[:9])
    assert sum(told[9:]) <= 2


def test_a_short_line_at_the_edge_cannot_be_told() -> None:
    line = np.column_stack([np.arange(30.0), np.full(30, 5.0)])
    assert are_ruled([line], (12, 32)) == [False]
