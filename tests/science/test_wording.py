"""The words of a sentence follow the chance that it is true."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError
from softmend.science.wording import STRENGTHS, strength


def test_a_weak_chance_is_told_weakly() -> None:
    assert strength(0.60) == "more likely than not, weakly"
    assert strength(0.5) == "as likely as not"
    assert strength(0.40) == "rather not, weakly"


def test_the_strongest_words_need_the_strongest_chance() -> None:
    assert strength(0.94) == "very likely"
    assert strength(1.0) == strength(0.95) == "almost certainly"
    assert strength(0.0) == "almost certainly not"
    # Never certain: the model is of one straight crack in an even material.
    assert not {"certainly", "never", "safe"} & {words for _, words in STRENGTHS}


def test_the_list_covers_every_chance_in_falling_order() -> None:
    limits = [least for least, _ in STRENGTHS]
    assert limits == sorted(limits, reverse=True)
    assert limits[-1] == 0
    assert len({words for _, words in STRENGTHS}) == len(STRENGTHS)


def test_what_is_no_chance_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        strength(1.2)
    assert str(refused.value) == "A chance lies outside 0 to 1; got 1.2; allowed: 0 to 1."
