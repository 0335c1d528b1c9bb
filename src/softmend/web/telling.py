"""Records told field by field, as people read them: no ids, no field names of ours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from softmend.services.examine.vocabulary import terms
from softmend.web.words import counted, digits, named, plain
from softmend.web.words import said as _

_LABELS = {
    "term_id": _("term"),
    "sightings": _("drawing"),
    "rings": _("outline"),
    "note_observed": _("what is seen"),
    "because": _("because"),
    "grounds_observed": _("grounds"),
}
# What a person can do nothing with: ids, and what follows from something else shown.
_UNTOLD = frozenset({"number", "view_id", "of_id"})


@dataclass(frozen=True)
class Difference:
    """One field in which two versions differ."""

    name: str
    theirs: str
    yours: str


def differences(theirs: Mapping[str, Any], yours: Mapping[str, Any]) -> list[Difference]:
    """Return the fields in which two versions of one record differ."""
    return [
        Difference(_label(name), _told(name, value), _told(name, yours.get(name)))
        for name, value in theirs.items()
        if name not in _UNTOLD and value != yours.get(name)
    ]


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what a newer state says that the one before it did not; first answers only if given.

    A first state is told by what was answered; "not known" and empty lists are left out of it.
    """
    return [
        (_label(name), _told(name, value))
        for name, value in after.items()
        if name not in _UNTOLD
        and value != before.get(name)
        and (before or value not in ("not known", [], None))
    ]


def _label(name: str) -> str:
    return _LABELS.get(name, named(name))


def _told(name: str, value: Any) -> str:
    if name == "term_id":
        found = terms().get(value)
        return found.term if found else plain(value)
    if name == "sightings":
        return " / ".join(_sighting(one) for one in value or ()) or plain(None)
    if name == "rings":
        return _points(value or ())
    if name in _STATIONS and value:
        return "; ".join(_STATIONS[name](one) for one in value)
    if isinstance(value, Mapping):
        return "; ".join(f"{_label(key)}: {_told(key, item)}" for key, item in value.items())
    if isinstance(value, list):
        return " / ".join(_told("", item) for item in value) or _("none")
    return plain(value)


def _sighting(sighting: Mapping[str, Any]) -> str:
    drawn = _points(sighting["geometry"]["parts"])
    return drawn if sighting["role"] == "first" else f"{drawn}, {sighting['role']}"


def _width(station: Mapping[str, Any]) -> str:
    return _(
        "at {along} mm {width} ± {expanded} mm, {how}",
        along=_number(station["along_mm"]),
        width=_number(station["width_mm"]),
        expanded=_number(station["expanded_mm"]),
        how=station["measured_with"],
    )


def _depth(station: Mapping[str, Any]) -> str:
    return _(
        "at {along} mm {typical} ({low} to {high}) mm, {how}",
        along=_number(station["along_mm"]),
        typical=_number(station["typical_mm"]),
        low=_number(station["low_mm"]),
        high=_number(station["high_mm"]),
        how=station["known_how"],
    )


_STATIONS = {"widths": _width, "depths": _depth}


def _number(value: float) -> str:
    """Return a stored number to a micrometre: what lies beyond is how a machine adds."""
    return digits(round(value, 3))


def _points(parts: Any) -> str:
    return counted("{n} point", "{n} points", sum(len(part) for part in parts))
