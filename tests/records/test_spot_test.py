"""Spot tests: what a test must say, when to stop, what is owed beside it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.kinds import KINDS, kind_of
from softmend.records.payload import as_plain, from_plain
from softmend.records.spot_test import (
    Carrier,
    Clearance,
    Coating,
    GoOn,
    OnObject,
    PatchGrid,
    Role,
    Share,
    SpotDecision,
    SpotTest,
    Tack,
    ToolUse,
)
from softmend.records.spot_test_rules import (
    check_may_test,
    check_patch_is_free,
    check_test_correction,
    check_wet_test_is_explained,
    checked_decision,
    checked_grid,
    checked_test,
    prompts,
)

TODAY = "2026-03-02"
GRID = PatchGrid(2, "view-1", 100.0, 50.0, 20.0, 4, 2)
ACETONE = SpotTest(
    3, 2, 5, TODAY, shares=(Share("acetone"),), area_mm2=25.0, applied_ml=0.05, dwell_s=30.0,
    passes=3, coating_observed=Coating.DISSOLVES, swab_observed="yellow, sticky",
    tack=(Tack(1.0, "tacky"), Tack(30.0, "dry")), gloss_observed="as before",
    stop_because="60 s in all", magnification="x 10",
)  # fmt: skip


def test_a_test_and_its_grid_come_back_as_they_were_written() -> None:
    for record in (ACETONE, GRID, SpotDecision(3, GoOn.STOP, "P. Person", "it moved")):
        plain = as_plain(record)
        assert from_plain(KINDS[kind_of(record)].record, plain) == record


def test_patches_are_numbered_from_the_top_left_and_named_by_their_grid() -> None:
    assert GRID.box(1) == (100.0, 50.0, 20.0)
    assert GRID.box(6) == pytest.approx((127.0, 77.0, 20.0))
    assert GRID.name(6) == "B6"
    assert PatchGrid(27, "", 0, 0, 5, 1, 1).letter == "AA"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"columns": 13}, "1 to 12 columns"),
        ({"patch_px": 3.0}, "cannot be seen"),
        ({"left_px": 350.0}, "leaves the photograph"),
    ],
)
def test_a_grid_lies_on_its_view(change: dict[str, float], words: str) -> None:
    assert checked_grid(GRID, 400, 300) == GRID
    with pytest.raises(InputError, match=words):
        checked_grid(replace(GRID, **change), 400, 300)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"patch": 9}, "no patch of that number"),
        ({"shares": ()}, "what was on the swab"),
        ({"role": Role.DRY}, "has no liquid"),
        ({"role": Role.REPEAT}, "names the test that it repeats"),
        ({"role": Role.TOOL, "shares": ()}, "names the tool"),
        ({"tool": ToolUse("scalpel")}, "Only a test with a tool"),
        ({"carrier": Carrier.GEL}, "cleared as a step of its own"),
        ({"object_observed": OnObject.GLOSS, "stop_because": "not known"}, "why it ended"),
        ({"done_on": "2026-03-03"}, "not come yet"),
        ({"done_on": "yesterday"}, "cannot be read"),
    ],
)
def test_a_test_that_does_not_say_enough_is_refused(change: dict[str, object], words: str) -> None:
    assert checked_test(ACETONE, GRID, TODAY) == ACETONE
    with pytest.raises(InputError, match=words):
        checked_test(replace(ACETONE, **change), GRID, TODAY)


def test_a_cleared_gel_and_a_named_tool_are_whole() -> None:
    gel = replace(ACETONE, carrier=Carrier.GEL, clearance=Clearance("heptane", 60.0, "nothing"))
    tool = replace(ACETONE, role=Role.TOOL, shares=(), tool=ToolUse("scalpel", work_minutes=15.0))
    assert checked_test(gel, GRID, TODAY) == gel
    assert checked_test(tool, GRID, TODAY).cm2_per_hour == pytest.approx(1.0)


@pytest.mark.parametrize("effect", [one for one in OnObject if one is not OnObject.NONE])
def test_anything_on_the_object_stops_the_tests_until_a_person_decides(effect: OnObject) -> None:
    touched = replace(ACETONE, object_observed=effect)
    check_may_test([ACETONE], [])
    with pytest.raises(RuleError, match=f"Stop: test 3 .acetone. showed {effect.value}"):
        check_may_test([touched], [])
    check_may_test([touched], [SpotDecision(3, GoOn.GO_ON, "P. Person", "an old stain")])
    with pytest.raises(RuleError, match="no further test"):
        check_may_test([touched], [SpotDecision(3, GoOn.STOP, "P. Person", "it whitened")])


def test_a_decision_needs_a_name_and_a_reason() -> None:
    for by, because in (("", "x"), ("not known", "x"), ("P. Person", " ")):
        with pytest.raises(InputError, match="name and a reason"):
            checked_decision(SpotDecision(3, GoOn.GO_ON, by, because))


def test_a_wetted_patch_is_not_wetted_again_unless_a_layer_came_off() -> None:
    again = replace(ACETONE, number=0)
    with pytest.raises(InputError, match="test 3"):
        check_patch_is_free(again, [ACETONE])
    check_patch_is_free(replace(again, layer=2), [ACETONE])
    check_patch_is_free(replace(again, patch=6), [ACETONE])


def test_a_correction_keeps_the_number_and_says_why() -> None:
    with pytest.raises(RuleError, match="keeps its number"):
        check_test_correction(ACETONE, replace(ACETONE, number=4, correction_because="x"))
    with pytest.raises(RuleError, match="never overwritten"):
        check_test_correction(ACETONE, ACETONE)
    check_test_correction(ACETONE, replace(ACETONE, correction_because="read again"))


def test_a_wet_test_before_its_answers_says_why() -> None:
    with pytest.raises(RuleError, match="a sample"):
        check_wet_test_is_explained(ACETONE, ["a sample"])
    check_wet_test_is_explained(replace(ACETONE, wet_because="agreed"), ["a sample"])
    check_wet_test_is_explained(replace(ACETONE, role=Role.DRY, shares=()), ["a sample"])


def test_one_in_five_is_a_repeat_and_dry_and_bare_controls_are_asked_for() -> None:
    assert "Begin dry" in prompts([])[0]
    first = prompts([ACETONE])
    assert any("dry swab is owed" in one for one in first)
    assert any(one.startswith("acetone: the same") for one in first)
    assert not any("One test in five" in one for one in first)
    four = [replace(ACETONE, number=n, patch=n) for n in range(1, 5)]
    assert any("One test in five" in one for one in prompts(four))
    repeat = replace(ACETONE, number=5, role=Role.REPEAT, repeats_number=1)
    bare = replace(ACETONE, number=6, role=Role.BARE)
    dry = replace(ACETONE, number=7, role=Role.DRY, shares=())
    assert prompts([*four, repeat, bare, dry]) == ()
