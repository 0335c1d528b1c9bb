"""Sources in words: every key of the tables reads as a line, and a stranger stays as it is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.tables import table
from softmend.tables.references import source_words


def test_every_source_of_the_materials_has_a_line() -> None:
    keys = {key for row in table("materials").rows for key in str(row["source"]).split(";")}
    assert {key for key in keys if source_words(key) == key} == set()


def test_two_sources_stand_one_after_the_other() -> None:
    assert source_words("rivers2003;ivory-manual2017").count("; ") == 1


def test_a_key_that_is_not_listed_is_given_as_it_is() -> None:
    assert source_words("nobody1999") == "nobody1999"
    assert source_words("") == ""
