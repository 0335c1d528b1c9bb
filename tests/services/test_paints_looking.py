"""From where the house looks, and each person's own eyes: kept, replaced, said beside verdicts."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.errors import ConflictError, InputError, MissingEvidenceError
from softmend.records.looking import SightDistances
from softmend.services.paints_looking import (
    Screen,
    bars_of_test,
    distances_in,
    eyes_of,
    own_verdict,
    record_distances,
    record_eyes,
)

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench

SCREEN = Screen(600.0, 0.2646)
VERDICT = {
    "surround": {"lab": [80, 2, 18]}, "fill": {"lab": [78.5, 2, 18]}, "width_mm": 1,
    "length_mm": 20,
}  # fmt: skip


def all_right(test_id: str) -> str:
    return "".join(one.side for one in bars_of_test(test_id, SCREEN))


def test_the_distances_are_common_practice_until_the_house_says_its_own(
    bench: Bench, author: Author
) -> None:
    with bench.store.reading() as reader:
        entry_id, before = distances_in(reader)
    assert (entry_id, before.far_mm, before.near_mm) == ("", 1829.0, 250.0)
    assert before.basis == "common practice, no source"
    record_distances(bench, author, SightDistances(1200.0, 200.0, "the barrier stands at 1.2 m"))
    with bench.store.reading() as reader:
        entry_id, own = distances_in(reader)
    assert own.far_mm == 1200
    assert own.basis == "common practice, no source; the barrier stands at 1.2 m"
    with pytest.raises(ConflictError):
        record_distances(bench, author, SightDistances(1500.0, 200.0))
    record_distances(bench, author, SightDistances(1500.0, 200.0), entry_id)


def test_the_near_distance_is_the_nearer_one(bench: Bench, author: Author) -> None:
    with pytest.raises(InputError, match="reading distance is not nearer than the visitor's"):
        record_distances(bench, author, SightDistances(200.0, 250.0))


def test_bars_reach_from_plain_to_invisible_and_lie_by_lot() -> None:
    first, second = bars_of_test("0a", SCREEN), bars_of_test("0b", SCREEN)
    assert len(first) == 12
    assert [one.asked for one in first] != [one.asked for one in second]
    assert {one.side for one in first} == {"l", "r"}
    assert first == bars_of_test("0a", SCREEN)
    assert len({one.width_px for one in first}) >= 4


def test_a_test_is_kept_for_its_person_and_stands_beside_the_verdict(
    bench: Bench, author: Author
) -> None:
    with bench.store.reading() as reader:
        assert eyes_of(reader, author.person_id) is None
        assert own_verdict(reader, author.person_id, VERDICT) is None
    record_eyes(bench, author, "0a", SCREEN, all_right("0a"))
    with bench.store.reading() as reader:
        keen = eyes_of(reader, author.person_id)
        said = own_verdict(reader, author.person_id, VERDICT)
    assert keen is not None
    assert said is not None
    assert keen.low < keen.noticed < 0.8
    assert keen.text.endswith("12 of 12 bars were found from 600 mm.")
    assert "it is seen from 1829 mm" in said[1]
    turned = all_right("0b").translate(str.maketrans("lr", "rl"))
    record_eyes(bench, author, "0b", SCREEN, turned)
    with bench.store.reading() as reader:
        dull = eyes_of(reader, author.person_id)
    assert dull is not None
    assert dull.noticed > 2 * keen.noticed


def test_an_unfinished_test_is_not_kept(bench: Bench, author: Author) -> None:
    with pytest.raises(MissingEvidenceError, match="not finished"):
        record_eyes(bench, author, "0a", SCREEN, "lr")
    with pytest.raises(InputError, match="cannot be so long on a screen"):
        Screen(600.0, 3.0)
    with pytest.raises(InputError, match="too near or too far"):
        Screen(20.0, 0.25)
