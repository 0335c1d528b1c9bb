"""Sample sizes, intervals and agreement, against scipy, the package krippendorff and its author."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import krippendorff
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from softmend.errors import InputError
from softmend.science.sampling import (
    agreement,
    design_effect,
    krippendorff_alpha,
    sample_size,
    wilson_interval,
)
from tests.science.checks import expected

NAN = np.nan
PRACTICE = expected("softmend-practice")
# Krippendorff 2011, four observers and twelve units with missing values (recalled).
FOUR_OBSERVERS = np.array(
    [
        [1, 2, 3, 3, 2, 1, 4, 1, 2, NAN, NAN, NAN],
        [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, NAN, 3],
        [NAN, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, NAN],
        [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, NAN],
    ]
)


@pytest.mark.parametrize("population", [100, 200, 500, 1000, 5000, 40_000, 800_000])
@pytest.mark.parametrize("points", [5, 10])
def test_the_sample_sizes_of_practice(population: int, points: int) -> None:
    PRACTICE[f"size_{population}_at_{points}"].accept(sample_size(points / 100, population))


def test_without_a_finite_collection_384_point_1_is_rounded_up() -> None:
    PRACTICE["size_unlimited_at_5"].accept(sample_size(0.05))


def test_clusters_ask_for_more_and_a_small_collection_for_all() -> None:
    assert sample_size(0.05, design_effect=2.9) == pytest.approx(384.146 * 2.9, abs=1)
    assert sample_size(0.01, 12) == 12


@settings(deadline=None)
@given(st.integers(2, 100_000), st.floats(0.02, 0.3), st.floats(0.05, 0.95))
def test_the_size_asked_for_gives_the_width_asked_for(
    population: int, half: float, share: float
) -> None:
    n = sample_size(half, population, share)
    # The normal interval with the finite correction, of which the formula is the inverse.
    reached = stats.norm.ppf(0.975) * np.sqrt(
        share * (1 - share) / n * (population - n) / (population - 1)
    )
    assert reached <= half * (1 + 1e-6)


@pytest.mark.parametrize(("found", "graded"), [(18, 60), (0, 40), (12, 60)])
def test_the_intervals_of_practice(found: int, graded: int) -> None:
    interval = wilson_interval(found, graded)
    PRACTICE[f"wilson_{found}_of_{graded}_low"].accept(interval.low)
    PRACTICE[f"wilson_{found}_of_{graded}_high"].accept(interval.high)


@settings(deadline=None)
@given(st.integers(1, 2000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_agrees_with_scipy(counts: tuple[int, int]) -> None:
    found, graded = counts
    oracle = stats.binomtest(found, graded).proportion_ci(method="wilson")
    interval = wilson_interval(found, graded)
    assert interval.low == pytest.approx(oracle.low, abs=1e-9)
    assert interval.high == pytest.approx(oracle.high, abs=1e-9)
    assert interval.low <= interval.found <= interval.high


def test_thirty_percent_and_twenty_percent_of_sixty_overlap() -> None:
    assert wilson_interval(18, 60).low < wilson_interval(12, 60).high


def test_clusters_widen_the_interval_and_a_small_collection_narrows_it() -> None:
    plain = wilson_interval(30, 100)
    assert wilson_interval(30, 100, design_effect=2).low < plain.low
    assert wilson_interval(15, 50).low == pytest.approx(
        wilson_interval(30, 100, design_effect=2).low
    )
    assert wilson_interval(30, 100, population=150).low > plain.low


def test_when_all_were_graded_the_share_is_known() -> None:
    interval = wilson_interval(30, 100, population=100)
    assert (interval.low, interval.high) == (0.3, 0.3)


def test_intervals_of_small_collections_hold_the_truth_as_often_as_they_say() -> None:
    # 60 drawn without putting back from 150 objects of which 45 are in the grade.
    drawn = np.random.default_rng(4).hypergeometric(45, 105, 60, size=4000)
    intervals = {k: wilson_interval(int(k), 60, population=150) for k in np.unique(drawn)}
    held = np.mean([intervals[k].low <= 0.3 <= intervals[k].high for k in drawn])
    assert 0.93 <= held <= 0.98


@pytest.mark.parametrize(
    ("rho", "name"), [(0.05, "design_effect_20_005"), (0.1, "design_effect_20_010")]
)
def test_shelves_are_clusters(rho: float, name: str) -> None:
    PRACTICE[name].accept(design_effect(20, rho))


def test_alpha_agrees_with_its_author() -> None:
    checks = expected("krippendorff2011")
    alpha = krippendorff_alpha(FOUR_OBSERVERS)
    assert alpha is not None
    checks["ordinal_four_observers"].accept(alpha)
    checks["pairable_values"].accept(agreement(FOUR_OBSERVERS, draws=100).grades)


@pytest.mark.parametrize("seed", range(12))
def test_alpha_agrees_with_an_independent_program(seed: int) -> None:
    rng = np.random.default_rng(seed)
    truth = rng.integers(1, 5, 40)
    grades = np.clip(truth + rng.integers(-1, 2, (rng.integers(2, 6), 40)), 1, 4).astype(float)
    grades[rng.random(grades.shape) < 0.2] = NAN
    oracle = krippendorff.alpha(reliability_data=grades, level_of_measurement="ordinal")
    assert krippendorff_alpha(grades) == pytest.approx(oracle, abs=1e-12)


def test_only_the_order_of_grades_counts_not_their_names() -> None:
    assert krippendorff_alpha(FOUR_OBSERVERS**3) == pytest.approx(
        krippendorff_alpha(FOUR_OBSERVERS), abs=1e-12
    )


def test_full_agreement_is_one_and_chance_is_about_zero() -> None:
    same = np.tile(np.arange(1.0, 5.0), (3, 10))
    assert krippendorff_alpha(same) == pytest.approx(1.0)
    thrown = np.random.default_rng(1).integers(1, 5, (3, 4000)).astype(float)
    assert krippendorff_alpha(thrown) == pytest.approx(0.0, abs=0.03)


def test_one_grade_for_everything_says_nothing_of_agreement() -> None:
    found = agreement(np.full((2, 10), 3.0), draws=100)
    assert found.alpha is None
    assert found.band is None


def test_the_band_of_alpha_holds_alpha_and_narrows_with_more_objects() -> None:
    few = agreement(FOUR_OBSERVERS, seed=1)
    many = agreement(np.tile(FOUR_OBSERVERS, 20), seed=1)
    assert few.band is not None
    assert many.band is not None
    assert few.alpha is not None
    assert few.band.low < few.alpha < few.band.high
    assert many.band.high - many.band.low < (few.band.high - few.band.low) / 3
    assert agreement(FOUR_OBSERVERS, seed=1) == few


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="A count does not fit its sample; got 7 of 6"):
        wilson_interval(7, 6)
    with pytest.raises(InputError, match="More objects were graded than the collection has"):
        wilson_interval(3, 6, population=5)
    with pytest.raises(InputError, match=r"half the width of an interval is out of range; got 0.5"):
        sample_size(0.5)
    with pytest.raises(InputError, match="A collection has no objects"):
        sample_size(0.05, 0)
    with pytest.raises(InputError, match="the likeness inside a cluster is out of range"):
        design_effect(20, -0.1)
    with pytest.raises(InputError, match="Too few objects were graded by two or more; got 1"):
        krippendorff_alpha([[1, 2, NAN], [1, NAN, 3]])
    with pytest.raises(InputError, match="not a table of graders by objects"):
        krippendorff_alpha([1.0, 2.0])
    with pytest.raises(InputError, match="The number of draws is out of range"):
        agreement(FOUR_OBSERVERS, draws=10)
