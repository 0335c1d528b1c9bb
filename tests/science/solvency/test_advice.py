"""The next swab: harm before information, and never harsh only to know more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError
from softmend.science.solvency.advice import Candidate, NextSwab, next_swab
from softmend.science.solvency.coating import Outcome, drawn, outcome_chances
from softmend.science.solvency.spot import Reading, information, updated
from tests.science.solvency.classes import classes, liquid

PRIOR = drawn(classes(), 4000)
STEPS = {"heptane": 1, "isooctane": 1, "acetone": 2, "ethyl-acetate": 2, "n-butyl-acetate": 2,
         "ethanol": 3, "propan-2-ol": 3}  # fmt: skip
HARSH = {"toluene": 5, "cyclohexanone": 6, "propylene-carbonate": 6, "benzyl-alcohol": 6}
MILD = [Candidate(name, liquid(name), step, False) for name, step in STEPS.items()]
ALL = [*MILD, *(Candidate(name, liquid(name), step, True) for name, step in HARSH.items())]


def after(*tests: tuple[str, Outcome], candidates: list[Candidate] = ALL) -> NextSwab:
    readings = [Reading(liquid(name), outcome) for name, outcome in tests]
    return next_swab(updated(PRIOR, readings), candidates, [name for name, _ in tests])


def test_the_first_swab_is_the_mildest_though_a_harsh_one_would_tell_most() -> None:
    told = dict(zip(
        [one.name for one in ALL],
        information(PRIOR, [outcome_chances(PRIOR, one.liquid) for one in ALL]), strict=True,
    ))  # fmt: skip
    assert max(told, key=lambda name: told[name]) in HARSH
    found = after()
    assert found.choice is not None
    assert found.choice.candidate.step == 1
    assert "mildest" in found.why


def test_among_equally_mild_agents_the_one_that_tells_most_is_taken() -> None:
    found = after(("heptane", Outcome.NONE))
    assert found.choice is not None
    equals = [one for one in found.weighed if one.candidate.step == found.choice.candidate.step]
    assert found.choice.told == max(one.told for one in equals)


@pytest.mark.parametrize(
    "tests",
    [
        (),
        (("heptane", Outcome.NONE),),
        (("heptane", Outcome.NONE), ("acetone", Outcome.SWELLS)),
        (("heptane", Outcome.NONE), ("acetone", Outcome.SOFTENS), ("ethanol", Outcome.NONE)),
        (("heptane", Outcome.NONE), ("acetone", Outcome.NONE), ("ethanol", Outcome.NONE)),
        tuple((name, Outcome.NONE) for name in STEPS),
        tuple((name, Outcome.SWELLS) for name in STEPS),
    ],
)
def test_a_harsh_swab_must_promise_to_dissolve_more_than_any_mild_one(
    tests: tuple[tuple[str, Outcome], ...],
) -> None:
    found = after(*tests)
    if found.choice is None or not found.choice.candidate.is_harsh:
        assert found.why
        return
    mild = max(one.dissolves for one in found.weighed if not one.candidate.is_harsh)
    assert found.choice.dissolves >= max(0.25, mild + 0.10)
    assert "nothing milder" in found.why


def test_what_comes_off_with_a_mild_agent_is_not_tried_with_a_harsher() -> None:
    found = after(("heptane", Outcome.NONE), ("acetone", Outcome.DISSOLVES),
                  ("ethyl-acetate", Outcome.DISSOLVES))  # fmt: skip
    assert found.choice is None or found.choice.candidate.step <= 2
    if found.choice is None:
        assert "nothing harsher is asked for" in found.why


def test_agents_that_were_passed_over_are_named_with_the_reason() -> None:
    found = after(("heptane", Outcome.NONE))
    assert any("isooctane" in one and "next to nothing" in one for one in found.passed)


def test_what_the_shelf_marks_with_caution_comes_after_its_equals() -> None:
    twins = [Candidate("careful", liquid("acetone"), 2, False, needs_care=True),
             Candidate("plain", liquid("acetone"), 2, False)]  # fmt: skip
    found = next_swab(PRIOR, twins, [])
    assert found.choice is not None
    assert found.choice.candidate.name == "plain"


def test_when_nothing_is_left_leaving_it_is_an_option() -> None:
    found = after(*((name, Outcome.NONE) for name in STEPS), candidates=MILD)
    assert found.choice is None
    assert "leaving it is an option" in found.why


def test_nothing_to_test_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="Nothing may be tested on this object"):
        next_swab(PRIOR, [], [])
