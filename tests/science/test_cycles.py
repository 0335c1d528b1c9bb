"""The rainflow count against the standard's example, another program, and what must not matter."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
import rainflow as oracle
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.cycles import (
    Cycles,
    damage_shares,
    equivalent_range,
    overstretched,
    rainflow,
    reversals,
)
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

CHECKS = expected("astm-e1049")
EXAMPLE = [-2, 1, -3, 5, -1, 3, -4, 4, -2]
exact = Uncertain.exact
whole = st.lists(st.integers(-50, 50).map(float), min_size=2, max_size=120)


def by_range(cycles: Cycles, weights: np.ndarray) -> Counter[float]:
    found: Counter[float] = Counter()
    for size, weight in zip(cycles.ranges.tolist(), weights.tolist(), strict=True):
        found[size] += weight
    return found


def test_the_example_of_the_standard() -> None:
    cycles = rainflow(EXAMPLE)
    counts = by_range(cycles, cycles.counts)
    assert sorted(counts) == [3, 4, 6, 8, 9]
    for size, count in counts.items():
        CHECKS[f"count_{size:g}"].accept(count)


@pytest.mark.parametrize("exponent", [3, 8, 20])
def test_the_damage_of_the_example(exponent: int) -> None:
    cycles = rainflow(EXAMPLE)
    for size, share in by_range(cycles, damage_shares(cycles, exponent)).items():
        CHECKS[f"miner_{exponent}_range_{size:g}"].accept(share)


@settings(max_examples=300)
@given(whole.filter(lambda history: len(history) > 2))
def test_another_program_counts_the_same(history: list[float]) -> None:
    ours = rainflow(history)
    theirs = Counter()
    for size, mean, count, _, _ in oracle.extract_cycles(history):
        theirs[size, mean] += count
    # A history that never moves is no swing; the other program counts one of range zero.
    theirs = Counter({key: count for key, count in theirs.items() if key[0] > 0})
    found = Counter()
    for size, mean, count in zip(ours.ranges, ours.means, ours.counts, strict=True):
        found[float(size), float(mean)] += float(count)
    assert found == theirs


def test_a_long_record_counts_the_same_as_the_other_program() -> None:
    walk = np.cumsum(np.random.default_rng(0).normal(size=20_000))
    ours = rainflow(walk)
    theirs = sorted(size for size, *_ in oracle.extract_cycles(walk))
    assert np.sort(ours.ranges) == pytest.approx(np.array(theirs))


@given(whole, st.floats(0.1, 10), st.floats(-100, 100))
def test_scale_and_zero_do_not_matter(history: list[float], scale: float, zero: float) -> None:
    base, moved = rainflow(history), rainflow(np.asarray(history) * scale + zero)
    assert moved.ranges == pytest.approx(base.ranges * scale, abs=1e-9)
    assert moved.counts == pytest.approx(base.counts)


@given(whole)
def test_points_between_and_the_mirror_do_not_matter(history: list[float]) -> None:
    values = np.asarray(history)
    middles = (values[1:] + values[:-1]) / 2
    finer = np.empty(values.size + middles.size)
    finer[::2], finer[1::2] = values, middles
    base = rainflow(values)
    assert rainflow(finer).ranges == pytest.approx(base.ranges)
    assert rainflow(-values).ranges == pytest.approx(base.ranges)


@given(whole)
def test_the_largest_swing_is_from_the_lowest_to_the_highest(history: list[float]) -> None:
    found = rainflow(history)
    span = max(history) - min(history)
    assert (found.ranges.max() if found.ranges.size else 0.0) == pytest.approx(span)
    # A half cycle goes one way, a cycle there and back: the ways add up to the whole path.
    path = np.abs(np.diff(reversals(history))).sum()
    assert 2 * float(found.ranges @ found.counts) == pytest.approx(path)


def test_the_noise_of_a_logger_can_be_left_out() -> None:
    days = np.linspace(0, 365, 8760)
    season = 5 * np.sin(2 * np.pi * days / 365)
    noise = 0.1 * np.where(np.arange(days.size) % 2, 1, -1)
    assert rainflow(season + noise).ranges.size > 4000
    assert rainflow(season + noise).at_least(1.0).ranges.max() == pytest.approx(10.2, abs=0.05)


def test_a_large_exponent_leaves_only_the_largest_swings() -> None:
    cycles = rainflow(EXAMPLE)
    assert equivalent_range(cycles, 50) > 0.95 * 9 * (0.5 / cycles.counts.sum()) ** (1 / 50)
    assert equivalent_range(cycles, 1) == pytest.approx(
        np.average(cycles.ranges, weights=cycles.counts)
    )


def test_how_often_a_fill_is_overstretched_is_read_off_the_sorted_swings() -> None:
    cycles = rainflow(EXAMPLE)
    for limit, times in ((2.9, 4.0), (3.0, 3.5), (5.0, 2.0), (8.5, 0.5), (9.0, 0.0)):
        found = overstretched(cycles, exact(0.01), exact(limit * 0.01 * (1 + 1e-12)))
        assert found.times.mean == times
        assert found.ever == float(times > 0)


def test_a_fill_that_follows_an_uncertain_range_is_overstretched_with_that_chance() -> None:
    cycles = rainflow([0.0, 10.0, 0.0])
    found = overstretched(cycles, exact(0.001), Uncertain.uniform(0.005, 0.025))
    assert found.ever == pytest.approx(0.25, abs=0.001)
    assert found.times.drivers[0].name == "what the fill follows"


def test_a_fill_that_does_not_move_is_never_overstretched() -> None:
    assert overstretched(rainflow(EXAMPLE), exact(0.0), exact(0.01)).ever == 0


def test_a_history_that_never_moves_has_no_swing() -> None:
    assert rainflow([4.0, 4.0, 4.0]).ranges.size == 0
    assert overstretched(rainflow([4.0, 4.0]), exact(1.0), exact(1.0)).ever == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: rainflow([1.0]),
            "A history is too short or too long; got 1; allowed: 2 to 1000000 values.",
        ),
        (
            lambda: rainflow([1.0, float("nan"), 2.0]),
            "A history has gaps; got 1 of 3; allowed: finite numbers; Cut the record at its gaps.",
        ),
        (
            lambda: damage_shares(rainflow([1.0, 1.0]), 3),
            "There is no swing in the history; allowed: a history that moves.",
        ),
        (
            lambda: equivalent_range(rainflow(EXAMPLE), 0),
            "A fatigue exponent is out of range; got 0; allowed: 0 to 50.",
        ),
        (
            lambda: overstretched(rainflow(EXAMPLE), exact(0.01), exact(0.0)),
            "A fill follows nothing, or moves the wrong way; got (0.0, 0.01); allowed: a range "
            "above 0, and a strain of 0 or more for each unit.",
        ),
        (
            lambda: overstretched(rainflow(EXAMPLE), exact(0.01), exact(0.1), n=5),
            "The number of draws is out of range; got 5; allowed: 100 to 100 000.",
        ),
    ],
)
def test_what_cannot_be_counted_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
