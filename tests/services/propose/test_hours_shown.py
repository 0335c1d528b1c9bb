"""Hours as they are shown: no estimate is rounded to nothing, and a mean keeps its spread."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.records.dossier import ObjectHead
from softmend.records.estimate import EstimateClass, ThreeHours
from softmend.services.dossiers import describe_object, opened
from softmend.services.propose.hours import plan_to_begin_with, record_estimate
from softmend.services.propose.hours_shown import (
    estimate_shown,
    hours_words,
    spent_words,
    spread_words,
    still_words,
)


@pytest.mark.parametrize(
    ("band", "words"),
    [
        ((0.021, 0.083, 0.312), "0.08 (0.02 to 0.31) h"),
        ((4.04, 6.41, 9.36), "6.4 (4.0 to 9.4) h"),
        ((74.2, 115.1, 178.4), "115 (74 to 178) h"),
        ((4.0, 4.0, 4.0), "4 h"),
    ],
)
def test_a_band_of_hours_keeps_the_digits_that_its_width_deserves(band, words) -> None:
    assert hours_words(dict(zip(("low", "typical", "high"), band, strict=True))) == words


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.0, ""), (0.07, "4 min"), (0.5, "30 min"), (1.0, "1.0 h"), (6.04, "6.0 h")],
)
def test_logged_time_below_an_hour_is_told_in_minutes(hours, words) -> None:
    assert spent_words(hours) == words


# practice.md 2.9: mean 375 h, standard deviation 35 h apart and 108 h together.
def test_the_mean_ends_where_its_spread_ends() -> None:
    told = {"mean_hours": 374.7, "sd_apart_hours": 34.8, "sd_together_hours": 108.2}
    assert spread_words(told).startswith("mean 370 h; standard deviation 35 h if")
    assert "110 h if they move together" in spread_words(told)
    small = {"mean_hours": 0.383, "sd_apart_hours": 0.031, "sd_together_hours": 0.052}
    assert spread_words(small).startswith("mean 0.383 h; standard deviation 0.031 h")
    exact = {"mean_hours": 4.0, "sd_apart_hours": 0.0, "sd_together_hours": 0.0}
    assert spread_words(exact).startswith("mean 4 h; standard deviation 0 h")


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(5.2, 17.4, "5 to 17 working days"), (0.1, 0.4, "less than a working day"),
     (0.9, 1.2, "1 working day"), (2.6, 3.4, "3 working days")],
)  # fmt: skip
def test_the_bench_never_stands_still_for_nothing_to_nothing_days(low, high, words) -> None:
    assert still_words({"low_days": low, "high_days": high}) == words


def test_the_newest_estimate_is_shown_with_its_drawing_and_says_when_it_is_stale(
    bench, author, dossier_id
) -> None:
    with bench.store.reading() as reader:
        assert estimate_shown(reader, dossier_id) is None
        begun = plan_to_begin_with(bench, reader, dossier_id)
    tiny = replace(begun.tasks[0], hours=ThreeHours(0.02, 0.05, 0.2))
    plan = replace(begun, tasks=(tiny, *begun.tasks[1:]))
    record_estimate(bench, author, dossier_id, EstimateClass.ROUGH, "seen once", plan)
    with bench.store.reading() as reader:
        shown = estimate_shown(reader, dossier_id)
        head = opened(reader, dossier_id)
    assert shown is not None
    assert "from guesses" in shown.weeks
    assert shown.stale_because == ""
    assert shown.drawing.startswith("<svg")
    assert shown.tasks[0][1].startswith("0.0")
    assert not shown.tasks[0][1].startswith("0.0 ")
    later = ObjectHead(title="beam", deadline_on="2199-12-31")
    describe_object(bench, author, dossier_id, later, head.object_entry_id)
    with bench.store.reading() as reader:
        again = estimate_shown(reader, dossier_id)
    assert again is not None
    assert "the deadline is 2199-12-31 now" in again.stale_because
