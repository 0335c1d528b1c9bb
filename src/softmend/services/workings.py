"""Workings: each run shown with its inputs, formula, source, the kind of every value, result."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from softmend import catalogue
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.services.examine.quantities import Measured, Outcome
from softmend.tables.references import source_words

STALE = "stale, because "
"""Page and print say these words themselves before the reason."""

_LONG_UNITS = re.compile("_(px_per_mm|j_per_m2|mpa_m05|demand)$")
_ROW = re.compile(r"table:(?P<table>\w+)(?:/(?P<row>.*?))?(?:@(?P<version>\w+))?$")
_DEMAND = "_demand"
_OF_WHAT_IT_STANDS = "{part}, of what it stands"
_LEFT_OPEN = "open_tip"


def working(name: str, about: str, answer: Outcome, stale_because: str = "") -> Working:
    """Return one run as a working, with the kind of every value that went in."""
    entry = catalogue.entry(name)
    return Working(
        computation=name,
        title=entry.title,
        about=about,
        formula=entry.formula,
        source=sources_named(entry.sources),
        values=tuple(
            WorkingValue(line["name"], line["text"], line["kind"], origin_words(line["origin"]))
            for line in answer["working"]
        ),
        results=tuple(_results(answer)),
        cautions=tuple(dict.fromkeys((*entry.cautions, *answer["warnings"]))),
        stale_because=stale_because.removeprefix(STALE),
    )


def sources_named(keys: Iterable[str]) -> str:
    """Return sources by author, year and title, as a reader can find them."""
    return source_words(";".join(keys))


def origin_words(origin: str) -> str:
    """Return where a value came from: a row of our tables by its name and the table's version."""
    found = _ROW.fullmatch(origin)
    if found is None:
        return origin
    words = f"our table of {found['table'].replace('_', ' ')}"
    row = f", {found['row']}" if found["row"] else ""
    return f"{words}{row}" + (f", version {found['version']}" if found["version"] else "")


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
            yield printed(_OF_WHAT_IT_STANDS.format(part=part["part"]), part["demand"]["text"])
    for fill in answer.get("fills", ()):
        # A fill that others equal or better in everything is said to be so, never hidden.
        others = ", ".join(fill["worse_than"])
        caution = f"worse or equal in every respect, set against {others}" if others else ""
        name = fill["name"]
        walls, tip = fill["lips_demand"]["text"], fill["tip_demand"]["text"]
        yield printed(f"{name}: walls, of what they stand", walls, caution=caution)
        yield printed(f"{name}: tip, of what it stands", tip)
        yield printed(f"{name}: the object first", fill["object_first_percent"]["text"])
    for rule in answer.get("rules", ()):
        if "words" in rule:
            yield Quantity(rule["rule"], rule["words"], kind="derived")


def _result_name(field: str) -> str:
    if field.endswith(_DEMAND):
        part = field.removesuffix(_DEMAND)
        named = "tip of the crack left open" if part == _LEFT_OPEN else part.replace("_", " ")
        return _OF_WHAT_IT_STANDS.format(part=named)
    words = _LONG_UNITS.sub("", field)
    if words == field and not field.endswith("_ratio"):
        words = field.rpartition("_")[0] or field.partition("_")[0]
    return words.replace("_", " ")
