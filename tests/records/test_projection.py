"""What a dossier's entries amount to: words that are searched, files that are named."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.projection import (
    files_named,
    is_found,
    projection_of,
    search_text,
    searched_words,
)
from tests.storage.making import SHA_A, SHA_B, an_entry


def test_words_are_searched_without_case_accents_or_brackets() -> None:
    assert search_text(["Müller (Oslo)", "INV 2026.14/3", "oslo"]) == (
        " muller oslo inv 2026.14/3 2026 14 3"
    )


@pytest.mark.parametrize(
    ("search", "words"),
    [("", []), ("  ", []), ("(…)", []), ("Élan, “Vital”", ["elan", "vital"]),
     ("ﬁll", ["fill"]), ("STRASSE", ["strasse"]), ("Straße", ["strasse"]), ("a\x00b", ["a", "b"])],
)  # fmt: skip
def test_a_search_is_the_beginnings_of_words(search: str, words: list[str]) -> None:
    assert searched_words(search) == words


def test_every_word_must_begin_some_word() -> None:
    text = search_text(["antler beam"])
    assert is_found(text, "bea antl")
    assert not is_found(text, "antler eam")
    assert is_found(text, "")


def test_an_empty_dossier_amounts_to_nothing() -> None:
    with pytest.raises(NotFoundError):
        projection_of([])


def test_files_are_named_by_fields_that_hold_a_hash() -> None:
    inputs = {"picture_file": SHA_A, "note": SHA_B, "views": [{"canonical_sha256": SHA_B}]}
    run = Run("photo.scale", inputs, {}, "0.1", {}, 1)
    assert files_named(an_entry("d1", "r1", run)) == {
        SHA_A: "run: picture",
        SHA_B: "run: canonical",
    }
