"""Where a value is from, in words: the short line of a source behind its key."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files

_ENTRY = re.compile(r"@\w+\{([^,\s]+),(.*?)\n\}", re.DOTALL)
_FIELD = re.compile(r"^\s*(\w+) = \{(.*)\},?$", re.MULTILINE)


@lru_cache(maxsize=1)
def _entries() -> dict[str, dict[str, str]]:
    text = files(__package__).joinpath("references.bib").read_text("utf-8")
    return {key: dict(_FIELD.findall(body)) for key, body in _ENTRY.findall(text)}


def source_words(keys: str) -> str:
    """Return author, year and title of each source, as they stand in a note under a value.

    Parameters
    ----------
    keys : str, keys of references.bib with semicolons between them [1]

    Returns
    -------
    str, one line; a key that is not in the list is given as it is

    Source: softmend-practice, design of the tables.
    Checked against: tests/tables/test_references_read.py.

    Example
    -------
    >>> source_words("rivers2003")
    'Rivers and Umney 2003, Textbook of furniture conservation, chapter 15'
    """
    return "; ".join(_line(key.strip()) for key in keys.split(";") if key.strip())


def _line(key: str) -> str:
    entry = _entries().get(key)
    if entry is None:
        return key
    plain = {name: value.replace("{", "").replace("}", "") for name, value in entry.items()}
    authors = [one.partition(",")[0].strip() for one in plain.get("author", "").split(" and ")]
    named = " and ".join(authors[:2]) if len(authors) < 3 else f"{authors[0]} and others"
    dated = " ".join(part for part in (named, plain.get("year", "")) if part)
    return ", ".join(part for part in (dated, plain.get("title", "")) if part)
