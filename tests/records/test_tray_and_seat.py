"""Rules of trays and seats: letters, what may be linked, and what may be ranked."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.kinds import KINDS, kind_of
from softmend.records.payload import from_payload, payload_text
from softmend.records.seat import (
    SeatLook,
    SeatSearch,
    Verdict,
    checked_look,
    checked_search,
    may_be_ranked,
)
from softmend.records.tray import (
    FlakeOutline,
    OutlineAnswer,
    Tray,
    TrayGround,
    checked_outline_of_flake,
    checked_tray,
    free_letter,
    letter_of,
)

RING = ((1.0, 1.0), (9.0, 1.5), (4.0, 8.25))
LOOK = SeatLook("fragment-1", "mark-7", Verdict.FITS, "the edge follows", "run-1")


@pytest.mark.parametrize(
    "record",
    [
        Tray("view-1", TrayGround.LIGHT, 2.5),
        FlakeOutline("view-1", "c", RING, OutlineAnswer.ACCEPTED, fragment_id="fragment-1"),
        SeatSearch("fragment-1", 0.3, either_side_up=True),
        LOOK,
    ],
    ids=lambda record: type(record).__name__,
)
def test_a_record_comes_back_as_it_was_written(record: object) -> None:
    kind, text = KINDS[kind_of(record)], payload_text(record)
    assert from_payload(kind.record, text, kind.version, kind.upgrades) == record
    assert json.loads(text)


def test_letters_go_on_after_z_and_none_is_given_twice() -> None:
    assert [letter_of(number) for number in (0, 25, 26, 27, 701, 702)] == [
        "a", "z", "aa", "ab", "zz", "aaa",
    ]  # fmt: skip
    assert free_letter(["a", "c"]) == "b"
    assert free_letter([letter_of(number) for number in range(30)]) == letter_of(30)


def test_candidates_stand_unranked_until_the_overlay_of_each_has_been_looked_at() -> None:
    assert not may_be_ranked(["mark-1", "mark-2"], ["mark-1"])
    assert not may_be_ranked(["mark-1", "mark-2"], [""])
    assert may_be_ranked(["mark-1", "mark-2"], ["mark-2", "mark-1", ""])


def test_a_look_names_a_candidate_and_says_what_was_seen() -> None:
    assert checked_look(LOOK, ["mark-7"]) is LOOK
    none = SeatLook("fragment-1", "", Verdict.FITS, "nothing follows", "run-1")
    assert checked_look(none, ["mark-7"]) is none
    with pytest.raises(RuleError, match="This loss is no candidate of the search that stands"):
        checked_look(LOOK, ["mark-8"])
    with pytest.raises(InputError, match="A look says what was seen"):
        checked_look(SeatLook("f", "mark-7", Verdict.FITS, "", "run-1"), ["mark-7"])


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="The smallest flake cannot be so long; got 900 mm"):
        checked_tray(Tray("view-1", smallest_mm=900.0))
    with pytest.raises(InputError, match="How much smaller a flake may look is outside"):
        checked_search(SeatSearch("fragment-1", gap_mm=6.0))
    with pytest.raises(InputError, match="An outline on a tray has a letter; got 7"):
        checked_outline_of_flake(FlakeOutline("view-1", "7", RING, OutlineAnswer.ACCEPTED))
    struck = FlakeOutline("view-1", "b", RING, OutlineAnswer.STRUCK, fragment_id="fragment-1")
    with pytest.raises(InputError, match="Outline b was struck and is no fragment"):
        checked_outline_of_flake(struck)
