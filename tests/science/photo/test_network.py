"""The network suggests at least as well as the classical way, on cracks drawn by another law."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from benchmarks.drawn.crack_scenes import KINDS, scene
from softmend.errors import InputError
from softmend.science.photo.network import chances, predictor, suggested_by_network
from softmend.science.photo.standing_out import levels
from softmend.science.photo.suggest import allowed, suggestions
from softmend.tables.suggest_network import suggest_network
from tests.science.photo.test_suggest import centre_lines, f1


@pytest.fixture(scope="module")
def predict():
    return predictor(suggest_network())


def lines_of(found) -> list[np.ndarray]:
    return [line for one in found for line in one.lines_px]


@pytest.mark.parametrize("kind", KINDS)
def test_the_network_is_no_worse_than_the_classical_way(kind: str, predict) -> None:
    grey, truth = scene(kind, 1)
    where = allowed(grey)
    true = (truth > 0) & where
    by_network, _ = suggested_by_network(grey, chances(grey, where, predict))
    classical, _ = suggestions(grey, levels(grey, where), 40.0)
    scored = [f1(centre_lines(lines_of(one), grey.shape), true) for one in (by_network, classical)]
    assert scored[0] >= scored[1]
    assert scored[0] > 0.5


def test_tiles_meet_without_a_seam(predict) -> None:
    grey, _ = scene("road", 2)
    where = np.ones(grey.shape, dtype=bool)
    whole = chances(grey, where, predict)
    # The same place in the middle of a tile: 224 px further on, half an inner tile.
    moved = chances(np.roll(grey, (224, 224), (0, 1)), where, predict)
    there = np.roll(moved, (-224, -224), (0, 1))[300:500, 300:600]
    assert np.mean((whole[300:500, 300:600] >= 128) != (there >= 128)) < 0.01


def test_a_plain_sheet_and_glare_yield_nothing(predict) -> None:
    sheet = np.random.default_rng(1).normal(150, 3, (400, 400)).astype(np.float32)
    cv2.circle(sheet, (200, 200), 60, 255.0, -1)
    where = allowed(sheet)
    found, more = suggested_by_network(sheet, chances(sheet, where, predict))
    assert (found, more) == ([], 0)


def test_a_sensitivity_out_of_range_is_refused() -> None:
    with pytest.raises(InputError, match="The sensitivity is out of range; got 101"):
        suggested_by_network(np.zeros((50, 50), np.float32), np.zeros((50, 50), np.uint8), 101)
