"""How surely the fit of a flake is known: against refits of outlines that were drawn anew."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.drawn.breakage import broken_outline, turned, worn
from softmend.errors import InputError
from softmend.science.photo.fragment_seat import EdgeAllowance, best_seat, candidates
from softmend.science.photo.fragment_spread import EDGES, SCALES, seat_spreads

RULE = EdgeAllowance()


def broken() -> tuple[np.ndarray, dict[int, np.ndarray]]:
    rng = np.random.default_rng(4)
    losses = {number: broken_outline(16, rng) for number in range(3)}
    return turned(worn(losses[1], 0.2, rng), rng), losses


def spreads(relative_sd: float, edge_sd: float, seed: int = 0):
    flake, losses = broken()
    found = candidates(flake, losses)
    placed = [(losses[one.number], one.seat) for one in found]
    return found, seat_spreads(flake, placed, RULE, relative_sd, edge_sd, seed)


def test_what_was_measured_stands_in_the_middle_of_its_spread() -> None:
    found, known = spreads(0.01, 5e-5)
    assert known[0].residual.band.typical == pytest.approx(found[0].seat.residual_m, rel=0.05)
    assert known[0].matched.band.typical == pytest.approx(found[0].seat.matched_m, rel=0.02)
    assert known[0].uniqueness.band.typical == pytest.approx(found[0].uniqueness, abs=0.02)
    assert known[0].uniqueness.band.low > 0.2
    # The others lead nothing, whatever the draw.
    assert max(one.uniqueness.band.high for one in known[1:]) < 0.1


def test_the_spread_is_that_of_outlines_measured_at_another_scale() -> None:
    flake, losses = broken()
    middle = flake.mean(axis=0)
    rng = np.random.default_rng(1)
    refitted = [
        best_seat(middle + (flake - middle) * (1 + 0.02 * rng.standard_normal()), losses[1], RULE)
        for _ in range(40)
    ]
    _, known = spreads(0.02, 0.0)
    by_hand = np.std([one.matched_m for one in refitted])
    assert known[0].matched.sd == pytest.approx(by_hand, rel=0.5)
    assert known[0].matched.drivers[0].name == SCALES


def test_edges_drawn_less_truly_are_known_less_surely() -> None:
    _, sharp = spreads(0.0, 2e-5)
    _, blunt = spreads(0.0, 2e-4)
    assert blunt[0].matched.sd > 2 * sharp[0].matched.sd
    assert blunt[0].residual.drivers[0].name in (EDGES, SCALES)
    assert spreads(0.0, 2e-4)[1] == blunt


def test_an_uncertainty_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="The uncertainty of a flake's outline is out of range"):
        seat_spreads(broken()[0], [], RULE, 0.8)
