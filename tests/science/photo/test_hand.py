"""Two tracings of one crack."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.hand import hand_spread

LINE = np.column_stack([np.arange(0, 1001, 20.0), 30 * np.sin(np.arange(0, 1001, 20.0) / 150)])


def test_the_spread_of_two_hands_is_recovered() -> None:
    rng = np.random.default_rng(2)
    first, second = (LINE + rng.normal(0, 2.0, LINE.shape) for _ in range(2))
    found = hand_spread(first, second)
    # Along the line a shift does not count; vertices 20 px apart are joined by chords.
    assert 1.0 < found.sideways_sd_px < 2.2
    assert found.furthest_px < 12


def test_a_tracing_the_other_way_round_is_the_same_crack() -> None:
    assert hand_spread(LINE, LINE[::-1]).sideways_sd_px == pytest.approx(0, abs=1e-9)


def test_where_one_hand_stopped_earlier_is_said() -> None:
    found = hand_spread(LINE, LINE[:-5])
    assert found.end_apart_px == pytest.approx(101, abs=4)
    assert found.start_apart_px == pytest.approx(0, abs=1e-6)
    assert found.length_difference_px == pytest.approx(101, abs=4)


def test_lines_of_two_cracks_are_refused() -> None:
    with pytest.raises(InputError, match=r"The two tracings are not of one crack; got 39"):
        hand_spread(LINE, LINE + np.array([0.0, 400.0]))
