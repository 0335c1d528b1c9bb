"""Rules of the fragments ledger, each as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, RuleError
from softmend.records.fragment import (
    Code,
    Fragment,
    PlaceEvidence,
    Stand,
    Trait,
    Trial,
    balance_of,
    check_balance,
    check_may_be_bonded,
    check_step,
    checked_change,
    masses_of,
    may_bond,
    next_stands,
    place_words,
)

FOUND = Fragment(1, "in the crack of mark 3")
WAYS = {
    Stand.NUMBERED: {"candidate", "unplaced", "sampled", "returned", "missing"},
    Stand.CANDIDATE: {"placed dry", "unplaced", "sampled", "returned", "missing"},
    Stand.PLACED_DRY: {"candidate", "bonded", "sampled", "returned", "missing"},
    Stand.UNPLACED: {"bagged", "sampled", "returned", "missing"},
    Stand.BAGGED: {"candidate", "sampled", "returned", "missing"},
    Stand.BONDED: {"numbered"},
    Stand.SAMPLED: set(),
    Stand.RETURNED: set(),
    Stand.MISSING: {"numbered"},
}


def evidence(code: Code, trait: Trait = Trait.NONE, view_id: str = "") -> PlaceEvidence:
    """Return evidence for one place."""
    return PlaceEvidence("J7", code, "seen under the loupe", trait, view_id)


A, C, D = evidence(Code.A), evidence(Code.C), evidence(Code.D)
GRAIN, COLOUR = evidence(Code.B, Trait.GRAIN), evidence(Code.B, Trait.COLOUR)


@pytest.mark.parametrize("stand", list(Stand))
def test_a_fragment_takes_only_the_steps_of_the_ledger(stand: Stand) -> None:
    before = replace(FOUND, stand=stand)
    assert {one.value for one in next_stands(before)} == WAYS[stand]
    for other in Stand:
        after = replace(before, stand=other, because="x")
        if other is stand or other.value in WAYS[stand]:
            check_step(before, after)
        else:
            with pytest.raises(RuleError, match="does not become"):
                check_step(before, after)


def test_a_fragment_is_numbered_first() -> None:
    with pytest.raises(RuleError, match="numbered first"):
        checked_change(None, replace(FOUND, stand=Stand.UNPLACED))
    assert checked_change(None, FOUND) is FOUND


@pytest.mark.parametrize("stand", [Stand.BONDED, Stand.BAGGED, Stand.MISSING])
def test_a_way_back_says_what_happened(stand: Stand) -> None:
    before = replace(FOUND, stand=stand)
    (back,) = (one for one in next_stands(before) if one in (Stand.NUMBERED, Stand.CANDIDATE))
    with pytest.raises(RuleError, match="needs its reason"):
        check_step(before, replace(before, stand=back))


@pytest.mark.parametrize(
    ("held", "enough"),
    [
        ([], False),
        ([D], False),
        ([D, D], False),
        ([C], False),
        ([C, D], False),
        ([GRAIN], False),
        ([GRAIN, GRAIN], False),
        ([GRAIN, D], False),
        ([A], True),
        ([A, D], True),
        ([GRAIN, C], True),
        ([GRAIN, COLOUR], True),
    ],
)
def test_bonding_needs_a_or_b_with_c_or_two_independent_b(
    held: list[PlaceEvidence], enough: bool
) -> None:
    assert may_bond(held, "J7") is enough
    assert not may_bond(held, "J8")


def test_no_bonding_on_evidence_d() -> None:
    for count in range(1, 4):
        near = replace(FOUND, stand=Stand.BONDED, place="J7", evidence=(D,) * count, second_id="p2")
        with pytest.raises(RuleError, match="may not be bonded at J7: evidence D") as told:
            check_may_be_bonded(near, "p1")
        assert told.value.rule == 6


def test_bonding_needs_an_image_and_a_second_pair_of_eyes() -> None:
    seen = evidence(Code.A, view_id="view")
    ready = replace(FOUND, stand=Stand.BONDED, place="J7", evidence=(seen,), second_id="p2")
    check_may_be_bonded(ready, "p1")
    with pytest.raises(RuleError, match="one pair of eyes"):
        check_may_be_bonded(ready, "p2")
    with pytest.raises(RuleError, match="one pair of eyes"):
        check_may_be_bonded(replace(ready, second_id=""), "p1")
    with pytest.raises(RuleError, match="no image of its seat"):
        check_may_be_bonded(replace(ready, evidence=(A,)), "p1")


def test_the_program_never_states_a_place_as_fact() -> None:
    words = place_words(replace(FOUND, evidence=(GRAIN, D)))
    assert words == "candidates: J7 (B grain + D)"
    assert place_words(FOUND) == "no place is proposed"
    for stand, codes in product((Stand.PLACED_DRY, Stand.BONDED), ((A,), (GRAIN, C))):
        said = place_words(replace(FOUND, stand=stand, place="J7", evidence=codes))
        assert "evidence" in said


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"found_where": " "}, "where it was found"),
        ({"mass_g": 0.0}, "mass is not possible"),
        ({"evidence": (replace(A, reason_observed=""),)}, "reason in words"),
        ({"evidence": (evidence(Code.B),)}, "what runs on"),
        ({"stand": Stand.CANDIDATE}, "candidate has a place"),
        ({"trials": (Trial(" ", seats=False, seen_observed="rocks"),)}, "trial needs its place"),
    ],
)
def test_what_a_fragment_may_not_say_is_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_change(FOUND, replace(FOUND, **change))


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (Stand.UNPLACED, Stand.BAGGED, "in a bag"),
        (Stand.CANDIDATE, Stand.PLACED_DRY, "A place is missing"),
        (Stand.NUMBERED, Stand.SAMPLED, "needs where it went"),
        (Stand.NUMBERED, Stand.RETURNED, "needs where it went"),
    ],
)
def test_where_a_fragment_stands_is_told_whole(before: Stand, after: Stand, words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_change(replace(FOUND, stand=before), replace(FOUND, stand=after))


@given(st.lists(st.sampled_from(list(Stand)), max_size=30), st.integers(0, 5))
def test_the_fragment_balance_holds(stands: list[Stand], struck: int) -> None:
    fragments = [replace(FOUND, number=n, stand=stand) for n, stand in enumerate(stands, 1)]
    numbered = len(fragments) + struck
    check_balance(balance_of(fragments, numbered, struck))
    for wrong in (numbered - 1, numbered + 1):
        with pytest.raises(RuleError, match="are accounted for") as told:
            check_balance(balance_of(fragments, wrong, struck))
        assert told.value.rule == 5


def test_the_masses_are_a_second_balance() -> None:
    held = [
        replace(FOUND, mass_g=1.5),
        replace(FOUND, mass_g=2.5, stand=Stand.BAGGED),
        replace(FOUND, stand=Stand.MISSING),
    ]
    found = masses_of(held)
    assert found.by_stand_g == ((Stand.NUMBERED, 1.5), (Stand.BAGGED, 2.5))
    assert (found.total_g, found.not_weighed) == (4.0, 1)
