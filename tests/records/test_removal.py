"""Before anything comes off: the answers that are owed, clearance, wedging, one stretch a time."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.air_question import (
    AirQuestion,
    check_asked_before_swab,
    checked_air,
    numbers_missing,
    unasked_before_swab,
)
from softmend.records.kinds import KINDS, kind_of
from softmend.records.payload import as_plain, from_plain
from softmend.records.removal import (
    Behind,
    ByLiquid,
    ByTool,
    Does,
    Held,
    Leaving,
    LockOverride,
    Means,
    Precaution,
    RemovalWay,
    SolventItem,
    SolventTurnedOn,
    Stretch,
    check_next_stretch,
    checked_override,
    checked_solvent,
    checked_turned_on,
    checked_way,
    owed_before_removal,
    wedging_warning,
)
from softmend.records.shelf import ShelfItem
from softmend.records.spot_test import Carrier, Share

HELD = Precaution(Held.YES, "tissue, dry")
STRETCH = Stretch("view-1", 1.0, 2.0, 30.0, 40.0, "the left end")
WAY = RemovalWay(
    1, Leaving.TAKE_OFF, "it pulls", "P. Person", Behind.NOTHING, "X-ray", HELD, HELD, HELD,
    is_confined=True, means=Means.LIQUID, stretches=(STRETCH, STRETCH),
    by_liquid=ByLiquid((Share("acetone"),), does=Does.SWELLS, stays_away_mm=5.0),
)  # fmt: skip
AIR = AirQuestion((Share("acetone"),), 5.0, 60.0, room_volume_m3=50.0, air_changes_per_h=3.0)


@pytest.mark.parametrize(
    "record",
    [WAY, RemovalWay(2), LockOverride("water", "P", "x"), SolventTurnedOn("dcm", "P", "x"),
     SolventItem(ShelfItem("acetone"), "2026-01-02"), AIR],
    ids=lambda record: type(record).__name__,
)  # fmt: skip
def test_a_record_comes_back_as_it_was_written(record: object) -> None:
    assert from_plain(KINDS[kind_of(record)].record, as_plain(record)) == record


def test_leaving_it_is_an_option_that_asks_for_nothing_more() -> None:
    assert "leaving it is an option" in owed_before_removal(None)[0]
    left = RemovalWay(1, Leaving.LEAVE, "it is stable", "P. Person")
    assert owed_before_removal(checked_way(left)) == ()


def test_what_comes_off_is_supported_faced_secured_looked_behind_and_drawn_first() -> None:
    bare = RemovalWay(1, Leaving.TAKE_OFF, "it pulls", "P. Person")
    owed = " ".join(owed_before_removal(bare))
    for words in ("dowel or a wire", "Supported first", "Faced first", "Secured first", "order"):
        assert words in owed
    assert owed_before_removal(WAY) == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"leaving_by": "not known"}, "name and a reason"),
        ({"behind_known_how": "not known"}, "how that is known"),
        ({"faced": Precaution(Held.NOT_NEEDED)}, "Faced"),
        ({"by_liquid": ByLiquid()}, "names the liquid"),
        ({"means": Means.CARRIED}, "Clearing is a required step"),
        (
            {"by_liquid": ByLiquid((Share("acetone"),), Carrier.POULTICE)},
            "Clearing is a required step",
        ),
    ],
)
def test_a_way_with_half_an_answer_is_refused(change: dict[str, object], words: str) -> None:
    assert checked_way(WAY) == WAY
    with pytest.raises(InputError, match=words):
        checked_way(replace(WAY, **change))


def test_what_only_swells_a_confined_fill_is_warned_about() -> None:
    assert "wedges the crack" in wedging_warning(WAY)
    unknown = replace(WAY.by_liquid, does=Does.NOT_KNOWN)
    assert wedging_warning(replace(WAY, by_liquid=unknown))
    dissolves = replace(WAY.by_liquid, does=Does.DISSOLVES)
    assert wedging_warning(replace(WAY, by_liquid=dissolves)) == ""
    assert wedging_warning(replace(WAY, is_confined=False)) == ""
    assert wedging_warning(replace(WAY, means=Means.TOOL, by_tool=ByTool("scalpel"))) == ""


def test_a_stretch_waits_for_the_photograph_of_the_one_before() -> None:
    check_next_stretch(WAY, 1)
    with pytest.raises(RuleError, match="Stretch 1 has no photograph after it"):
        check_next_stretch(WAY, 2)
    done = replace(STRETCH, check_view_id="view-2")
    check_next_stretch(replace(WAY, stretches=(done, STRETCH)), 2)


def test_opening_a_lock_needs_a_rule_a_name_and_a_reason() -> None:
    assert checked_override(LockOverride("water", "P", "x"), ("water",)).rule == "water"
    with pytest.raises(InputError, match="no lock of that name"):
        checked_override(LockOverride("fire", "P", "x"), ("water",))
    for by, because in (("", "x"), ("P", ""), ("not known", "x")):
        with pytest.raises(InputError, match="name and a reason"):
            checked_override(LockOverride("water", by, because), ("water",))
        with pytest.raises(InputError, match="name and a reason"):
            checked_turned_on(SolventTurnedOn("dcm", by, because))


def test_the_days_of_a_bottle_are_days() -> None:
    with pytest.raises(InputError, match="cannot be read"):
        checked_solvent(SolventItem(ShelfItem("acetone"), opened_on="spring"))


def test_gloves_fire_waste_and_residues_are_asked_before_the_first_swab() -> None:
    assert len(unasked_before_swab(None, False)) == 4
    with pytest.raises(RuleError, match="Before the first swab: Which gloves"):
        check_asked_before_swab(AIR, True)
    asked = replace(AIR, gloves="butyl", ignition="none within 3 m", waste="closed metal bin")
    check_asked_before_swab(asked, True)
    with pytest.raises(RuleError, match="pesticide"):
        check_asked_before_swab(asked, False)


def test_the_air_needs_its_numbers_once() -> None:
    assert numbers_missing(AIR) == ()
    assert len(numbers_missing(AirQuestion())) == 5
    with pytest.raises(InputError, match="given twice"):
        checked_air(replace(AIR, air_flow_m3_per_h=100.0))
    with pytest.raises(InputError, match="do not make the whole"):
        checked_air(replace(AIR, shares=(Share("acetone", 30.0),)))
