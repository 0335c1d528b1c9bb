"""The words for marks: terms with our definitions, parts, sides, grades."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from softmend.errors import InputError
from softmend.tables import table


@dataclass(frozen=True)
class Term:
    """One term: its code in the legend, its definition, and the shapes it may be drawn in."""

    term_id: str
    term: str
    family: str
    code: str
    definition: str
    shapes: tuple[str, ...]
    measures: tuple[str, ...]
    note: str


@cache
def terms() -> dict[str, Term]:
    """Return every term by its id, in the order of the table."""
    return {
        str(row["term_id"]): Term(
            term_id=str(row["term_id"]),
            term=str(row["term"]),
            family=str(row["family"]),
            code=str(row["code"]),
            definition=str(row["definition"]),
            shapes=_listed(row["shapes"]),
            measures=_listed(row["measures"]),
            note=str(row["note"]),
        )
        for row in table("vocabulary").rows
    }


def term(term_id: str) -> Term:
    """Return one term; InputError when the vocabulary has none of that id."""
    if term_id not in terms():
        raise InputError(
            "There is no such term in the vocabulary",
            value=term_id,
            remedy="Search the vocabulary, or use “uncertain”",
        )
    return terms()[term_id]


def terms_like(words: str, shape: str = "") -> list[Term]:
    """Return terms whose name, family or definition holds every word, names first."""
    wanted = words.casefold().split()
    found = [
        one
        for one in terms().values()
        if (not shape or shape in one.shapes)
        and all(word in f"{one.term} {one.family} {one.definition}".casefold() for word in wanted)
    ]
    return sorted(found, key=lambda one: not all(word in one.term.casefold() for word in wanted))


def parts_of(object_kind: str = "") -> list[str]:
    """Return the parts that an object of a kind has, or all parts."""
    rows = table("parts").rows
    return [str(row["part"]) for row in rows if object_kind in ("", row["object"])]


def sides() -> list[tuple[str, str]]:
    """Return the sides of an object and what each means."""
    return [(str(row["side"]), str(row["meaning"])) for row in table("sides").rows]


def grade_definitions() -> list[tuple[int, str, str]]:
    """Return each grade with its test and its wording, to be read before grading."""
    return [
        (int(float(row["grade"] or 0)), str(row["stability_test"]), str(row["wording"]))
        for row in table("condition_grades").rows
    ]


def _listed(cell: str | float | None) -> tuple[str, ...]:
    return tuple(part.strip() for part in str(cell or "").split(";") if part.strip())
