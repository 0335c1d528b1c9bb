"""Workings: each run shown with its inputs, formula, source, the kind of every value, result."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable

from softmend import catalogue
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.services.examine.quantities import Measured, Outcome

STALE = "stale, because "
"""Page and print say these words themselves before the reason."""

_LONG_UNITS = re.compile("_(px_per_mm|j_per_m2|mpa_m05|demand)$")


def working(name: str, about: str, answer: Outcome, stale_because: str = "") -> Working:
    """Return one run as a working, with the kind of every value that went in."""
    entry = catalogue.entry(name)
    return Working(
        computation=name,
        about=about,
        formula=entry.formula,
        source=", ".join(entry.sources),
        values=tuple(
            WorkingValue(line["name"], line["text"], line["kind"], line["origin"])
            for line in answer["working"]
        ),
        results=tuple(_results(answer)),
        cautions=(*entry.cautions, *answer["warnings"]),
        stale_because=stale_because.removeprefix(STALE),
    )


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


def _results(answer: Outcome) -> Iterable[Quantity]:
    for name, value in answer.items():
        if isinstance(value, dict) and "text" in value:
            words = _LONG_UNITS.sub("", name)
            if words == name and not name.endswith("_ratio"):
                words = name.rpartition("_")[0] or name.partition("_")[0]
            yield printed(words.replace("_", " "), value["text"])
    for part in answer.get("parts", ()):
        if "volume_ml" in part:
            yield printed(part["name"], part["volume_ml"]["text"])
        elif "demand" in part:
            yield printed(f"{part['part']}, of what it stands", part["demand"]["text"])
    for fill in answer.get("fills", ()):
        # A fill that others equal or better in everything is said to be so, never hidden.
        others = ", ".join(fill["worse_than"])
        caution = f"worse or equal in every respect, set against {others}" if others else ""
        name = fill["name"]
        walls, tip = fill["lips_demand"]["text"], fill["tip_demand"]["text"]
        yield printed(f"{name}: walls, of what they stand", walls, caution=caution)
        yield printed(f"{name}: tip, of what it stands", tip)
        yield printed(f"{name}: the object first", fill["object_first_percent"]["text"])
