"""The marked cracks of an object in each plan, and the swing that Explain takes from its place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.services.explain.binding import bound_crack
from softmend.services.explain.crack import cracks_in
from softmend.services.explain.crack_keep import say_of_crack
from softmend.services.hand_over.place import keep_place, place_page
from softmend.services.places.tied import say_of_object, tied_in
from tests.services.explain.conftest import SAID, mark
from tests.services.places.conftest import BODY

__all__ = ["mark"]


@pytest.fixture
def cracked(bench, author, cased, mark) -> str:
    unsaid = replace(SAID, fall_percent=None, rise_percent=None)
    say_of_crack(bench, author, cased, mark.subject_id, unsaid, "")
    return cased


def bound(bench, dossier_id):
    with bench.store.reading() as reader:
        entry, drawn = cracks_in(reader, dossier_id)[0]
        return bound_crack(reader, dossier_id, entry, drawn)


def test_a_crack_opens_less_where_the_object_swings_less(bench, cracked) -> None:
    with bench.store.reading() as reader:
        page = place_page(bench, reader, cracked, is_quick=True)
    (crack,) = page.cracks
    room, case, buffered = (one.opening["opening_mm"]["typical"] for one in crack.plans)
    assert room > case > buffered > 0
    # 2 pi r times the mismatch times the swing of the mean, as a slit from rim to centre opens.
    mean = page.plans[0].where("mean")
    swing = mean.most.typical - mean.least.typical
    by_hand = 2 * 3.14159265 * 33 * 0.02e-2 * swing
    assert room == pytest.approx(by_hand, rel=0.25)
    assert all(one.gives for one in crack.plans)
    assert all("first" in words for _, words in crack.plans[0].gives)


def test_a_climate_that_nobody_said_is_the_kept_record_of_the_place(bench, author, cracked) -> None:
    assert [one.field for one in bound(bench, cracked).missing] == ["fall_percent"]
    kept = keep_place(bench, author, cracked)
    found = bound(bench, cracked)
    assert found.missing == ()
    fall = found.payload["climate"]["fall_percent"]
    assert fall["kind"] == "derived"
    assert fall["origin"].startswith(f"entry:{kept.id}, the place's record")
    assert kept.id in found.read_entry_ids


def test_what_was_said_of_the_climate_stands_before_the_record(
    bench, author, cracked, mark
) -> None:
    keep_place(bench, author, cracked)
    entry_id = bound(bench, cracked).model_entry_id
    say_of_crack(bench, author, cracked, mark.subject_id, SAID, entry_id)
    fall = bound(bench, cracked).payload["climate"]["fall_percent"]
    assert fall["value"]["typical"] == 20


def test_a_stale_record_of_the_place_is_not_taken(bench, author, cracked) -> None:
    keep_place(bench, author, cracked)
    with bench.store.reading() as reader:
        tied = tied_in(reader, cracked)
    say_of_object(bench, author, cracked, replace(BODY, high_limit_percent=60), tied.said_id)
    assert [one.field for one in bound(bench, cracked).missing] == ["fall_percent"]
