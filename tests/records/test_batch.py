"""Rules of batches, each as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.batch import (
    Batch,
    BatchKind,
    Ingredient,
    checked_batch,
    made_g,
    shares_percent,
    used_of,
)
from softmend.records.material import Direction, Moved, Sum

BATCH = Batch(
    1,
    BatchKind.ADHESIVE,
    "resin in acetone",
    "2026-03-02",
    (Ingredient("resin", 20.0), Ingredient("acetone", 60.0)),
)


def test_a_batch_is_its_masses() -> None:
    assert checked_batch(BATCH) is BATCH
    assert made_g(BATCH) == 80.0
    assert shares_percent(BATCH) == (25.0, 75.0)


def test_what_was_not_weighed_is_not_known_rather_than_nothing() -> None:
    unweighed = replace(BATCH, ingredients=(Ingredient("resin"), Ingredient("acetone", 60.0)))
    assert made_g(checked_batch(unweighed)) is None
    assert shares_percent(unweighed) == (None, None)


@pytest.mark.parametrize(
    "change",
    [{"name": "resin 10%"}, {"written": "20 % in acetone"},
     {"ingredients": (Ingredient("resin 10 percent", 1.0),)}],
)  # fmt: skip
def test_a_percentage_without_basis_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(RuleError) as told:
        checked_batch(replace(BATCH, **change))
    assert told.value.rule == 9


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": " "}, "needs a name"),
        ({"ingredients": ()}, "says what went in"),
        ({"ingredients": (Ingredient("resin", -1.0),)}, "mass of resin is not possible"),
        ({"ingredients": (Ingredient(" ", 1.0),)}, "An ingredient needs a name"),
    ],
)
def test_a_batch_says_what_it_is_and_what_went_in(change: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_batch(replace(BATCH, **change))


def test_what_was_used_of_a_batch_comes_from_the_log() -> None:
    moved = [
        Moved("resin", batch_id="b", mass_g=1.5, expanded_percent=0.0),
        Moved("resin", batch_id="b", mass_g=0.5, expanded_percent=0.0),
        Moved("resin", batch_id="b"),
        Moved("resin", Direction.TAKEN_OFF, batch_id="b", mass_g=9.0),
        Moved("resin", batch_id="other", mass_g=9.0),
    ]
    assert used_of("b", moved) == (Sum(2.0, 0.0), None, 1)
