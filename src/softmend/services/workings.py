"""Workings: each run shown with its inputs, formula, source, the kind of every value, result."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from softmend import catalogue
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.services.examine.quantities import Measured, Outcome
from softmend.tables.references import source_words

STALE = "stale, because "
"""Page and print say these words themselves before the reason."""

_LONG_UNITS = re.compile("_(px_per_mm|j_per_m2|mpa_m05|demand)$")
_ROW = re.compile(
    r"table:(?P<table>\w+)(?:/(?P<row>.*?))?(?:@(?P<version>\w+))?(?=$|,? \w+ table:|[,;] table:)"
)
_DEMAND = "_demand"
_OF_WHAT_IT_STANDS = "{part}, of what it stands"
_IN_FULL = {
    "anything": "anything gives, in a year",
    "energy": "energy freed if the fill lets go",
    "free opening": "opening of the crack left free",
    "lips": "walls",
    "object first": "the object first, in a year",
    "open tip": "tip of the crack left open",
    "reached": "pull on the walls that is reached",
    "tip": "tip of the crack",
    "traction": "pull on the walls if all holds",
}
"""What short names of answers stand for, as a print has room to say it."""


def working(name: str, about: str, answer: Outcome, stale_because: str = "") -> Working:
    """Return one run as a working, with the kind of every value that went in."""
    entry = catalogue.entry(name)
    lines = answer["working"]
    return Working(
        computation=name,
        title=entry.title,
        about=about,
        formula=entry.formula,
        source=sources_named(entry.sources),
        values=tuple(
            WorkingValue(
                one["name"], one["text"], one["kind"], origin_words(one["origin"], one["name"])
            )
            for one in lines
        ),
        results=tuple(_results(answer)),
        # What holds always may be said of this run as well: it is told once.
        cautions=tuple(dict.fromkeys((*entry.cautions, *answer["warnings"]))),
        stale_because=stale_because.removeprefix(STALE),
        tables=_tables(one["origin"] for one in lines),
        compared=tuple(_compared(answer)),
    )


def sources_named(keys: Iterable[str]) -> str:
    """Return sources by author, year and title, as a reader can find them."""
    return source_words(";".join(keys))


def origin_words(origin: str, about: str = "") -> str:
    """Return where a value came from: a row of our tables by its name.

    What the row says before its colon is left out where the value `about` begins with it.
    """

    def said(found: re.Match[str]) -> str:
        row = found["row"] or ""
        first, colon, rest = row.partition(": ")
        if colon and about.startswith(first):
            row = rest
        return f"our table of {_spoken(found['table'])}" + (f": {_spoken(row)}" if row else "")

    return _ROW.sub(said, origin)


def _spoken(name: str) -> str:
    return name.replace("_", " ")


def _tables(origins: Iterable[str]) -> str:
    """Return the tables that values came from, each with its version."""
    named = (
        f"{_spoken(one['table'])}, version {one['version']}"
        for origin in origins
        for one in _ROW.finditer(origin)
        if one["version"]
    )
    return "; ".join(dict.fromkeys(named))


def workings_of(about: str, quantities: Iterable[Measured]) -> list[Working]:
    """Return the workings behind some quantities, each run once."""
    # Area and perimeter of one outline come from one run; it is shown once.
    seen = {id(answer): (name, answer) for one in quantities for name, answer in one.runs}
    return [working(name, about, answer) for name, answer in seen.values()]


def printed(name: str, text: str, kind: str = "derived", caution: str = "") -> Quantity:
    """Return a quantity from its printed text, such as "410 ± 9 mm"."""
    value, found, rest = text.partition(" ± ")
    if not found:
        return Quantity(name, text, kind=kind, caution=caution)
    spread, _, unit = rest.partition(" ")
    return Quantity(name, value, spread, unit, kind, caution)


def _results(answer: Outcome) -> Iterator[Quantity]:
    for name, value in answer.items():
        if isinstance(value, dict) and "text" in value:
            yield printed(_result_name(name), value["text"])
    for part in answer.get("parts", ()):
        if "volume_ml" in part:
            yield printed(part["name"], part["volume_ml"]["text"])
        elif "demand" in part:
            yield printed(_of_what_it_stands(part["part"]), part["demand"]["text"])
    for crack in answer.get("cracks", ()):
        yield from _of_crack(crack)
    if "new_cracks" in answer:
        yield Quantity("new cracks suggested", f"{len(answer['new_cracks'])}", kind="derived")
    for rule in answer.get("rules", ()):
        if "words" in rule:
            yield Quantity(rule["rule"], rule["words"], kind="derived")


def _of_crack(crack: Mapping[str, Any]) -> Iterator[Quantity]:
    """Yield what a comparison says of a crack: that it moved or why not, and for each %RH."""
    if "stretches" not in crack:
        return
    name = f"mark {crack['number']}"
    yield Quantity(name, crack["text"] or crack["reason"] or crack["state"], kind="derived")
    if crack.get("per_percent_mm"):
        told = crack["per_percent_mm"]["text"].replace("-", "\u2212")
        yield printed(f"{name}, for each %RH of drying", told)


def _compared(answer: Outcome) -> Iterator[tuple[str, ...]]:
    """Yield each fill with walls, tip and how often the object is first.

    A fill that others equal or better in everything is said to be so, never hidden.
    """
    for fill in answer.get("fills", ()):
        others = ", ".join(fill["worse_than"])
        yield (
            fill["name"],
            f"worse or equal in every respect, set against {others}" if others else "",
            fill["lips_demand"]["text"],
            fill["tip_demand"]["text"],
            fill["object_first_percent"]["text"],
        )


def _result_name(field: str) -> str:
    if field.endswith(_DEMAND):
        return _of_what_it_stands(field.removesuffix(_DEMAND))
    words = _LONG_UNITS.sub("", field)
    if words == field and not field.endswith("_ratio"):
        words = field.rpartition("_")[0] or field.partition("_")[0]
    return _in_full(words)


def _of_what_it_stands(part: str) -> str:
    return _OF_WHAT_IT_STANDS.format(part=_in_full(part))


def _in_full(name: str) -> str:
    words = name.replace("_", " ")
    return _IN_FULL.get(words, words)
