"""How much of each task is marked: cm of crack, cm2 of coating, number of fragments."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

from softmend.records.entry import Entry
from softmend.records.mark import Mark, Shape
from softmend.records.zone import OnIt
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import (
    Measured,
    Scaled,
    mark_quantities,
    scales_in,
    zone_area,
)
from softmend.services.examine.vocabulary import term
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.tables import table

UNIT_WORDS = {
    "job": "",
    "surface_cm2": "cm²",
    "coating_cm2": "cm²",
    "old_fill_cm": "cm",
    "crack_cm": "cm",
    "fragments": "fragments",
}
_JOB = "job"
_LONGEST_ORIGIN = 480
_WEAK = {"powdering", "flaking", "lifting", "spalling", "delamination"}
_OLD_FILLS = {"old_fill", "overfill", "fill_on_original"}


@dataclass(frozen=True)
class TaskRow:
    """One row of the table of hours: a guess of low confidence, and what it grows with."""

    task: str
    title: str
    least_hours: float
    likely_hours: float
    most_hours: float
    grows_with: str

    @property
    def is_job(self) -> bool:
        """Say whether the task is one for the whole job, whatever is marked."""
        return self.grows_with == _JOB

    @property
    def unit(self) -> str:
        """Return the unit of what it grows with, as people read it."""
        return UNIT_WORDS[self.grows_with]


@dataclass(frozen=True)
class Counted:
    """How much of one task is marked, in its unit, with the entries that say so.

    `quantity` is None where nothing is marked, or where nothing that is has a scale.
    """

    grows_with: str
    quantity: float | None
    expanded: float
    text: str
    entry_ids: tuple[str, ...]

    def sourced(self) -> dict[str, Any]:
        """Return the quantity as a computation takes it: never below zero, with its origin."""
        mean = self.quantity or 0.0
        value: Any = mean
        if self.expanded > 0:
            # A length is never negative; the log-normal of the same mean and spread is not either.
            value = {"family": "log_normal", "median": mean, "cv": self.expanded / (2 * mean)}
        return {"value": value, "kind": "derived", "origin": _origin(self.entry_ids)}


@dataclass(frozen=True)
class _Part:
    """One mark or zone that a task counts: its name, its quantity (None without a scale)."""

    name: str
    quantity: float | None
    expanded: float
    entry_ids: tuple[str, ...]


@cache
def task_rows() -> dict[str, TaskRow]:
    """Return the tasks of the table of hours, in the order of the bench."""
    return {
        str(row["task"]): TaskRow(
            task=str(row["task"]),
            title=str(row["title"]),
            least_hours=float(row["least_hours"] or 0),
            likely_hours=float(row["likely_hours"] or 0),
            most_hours=float(row["most_hours"] or 0),
            grows_with=str(row["grows_with"]),
        )
        for row in table("task_hours").rows
    }


def task_quantities(reader: Reader, dossier_id: str) -> dict[str, Counted]:
    """Return how much of each task of the table is marked in a dossier now."""
    seen = _Seen(
        marks_in(reader, dossier_id),
        current_records(reader, dossier_id, "on_zone"),
        scales_in(reader, dossier_id),
        reader.current(dossier_id, "fragment"),
    )
    return {
        name: _counted(row, _PARTS[name](seen)) if name in _PARTS else Counted(_JOB, 1, 0, "", ())
        for name, row in task_rows().items()
    }


def quantity_of_marks(reader: Reader, dossier_id: str, task: str, mark_ids: set[str]) -> float:
    """Return how much of a task some marks hold, in its unit; 0 where that cannot be told."""
    if task not in _PARTS:
        return 0.0
    marks = [one for one in marks_in(reader, dossier_id) if one[0].subject_id in mark_ids]
    parts = _PARTS[task](_Seen(marks, [], scales_in(reader, dossier_id), []))
    return sum(part.quantity or 0.0 for part in parts)


@dataclass(frozen=True)
class _Seen:
    marks: list[tuple[Entry, Mark]]
    on_zones: list[tuple[Entry, Any]]
    scales: dict[str, Scaled]
    fragments: list[Entry]


def _cracks(seen: _Seen) -> list[_Part]:
    def is_open(mark: Mark) -> bool:
        return term(mark.term_id).family == "cracks" or mark.term_id == "failed_join"

    return [
        _part(entry, mark, seen.scales, "length", 10.0)
        for entry, mark in seen.marks
        if is_open(mark) and _shape(mark) is Shape.LINE
    ]


def _old_fills(seen: _Seen) -> list[_Part]:
    """Return old fills by length; one drawn as an area is about half its outline long."""
    ways = {Shape.LINE: ("length", 10.0), Shape.AREA: ("perimeter", 20.0)}
    return [
        _part(entry, mark, seen.scales, *ways[_shape(mark)])
        for entry, mark in seen.marks
        if mark.term_id in _OLD_FILLS and _shape(mark) in ways
    ]


def _coating(seen: _Seen) -> list[_Part]:
    """Return zones of coating, or else marks of one: both may be drawn over one place."""
    zones = [(entry, zone) for entry, zone in seen.on_zones if zone.on_it is OnIt.COATING]
    if zones:
        return [
            _measured_part(
                f"zone {zone.name}",
                zone_area(zone, seen.scales),
                100.0,
                (entry.id, *_scale_ids([zone.view_id], seen.scales)),
            )
            for entry, zone in zones
        ]
    return _areas(seen, lambda mark: mark.term_id == "old_coating")


def _deposits(seen: _Seen) -> list[_Part]:
    return _areas(seen, lambda mark: term(mark.term_id).family == "deposits")


def _weak(seen: _Seen) -> list[_Part]:
    return _areas(seen, lambda mark: mark.term_id in _WEAK)


def _areas(seen: _Seen, is_counted: Callable[[Mark], bool]) -> list[_Part]:
    return [
        _part(entry, mark, seen.scales, "area", 100.0)
        for entry, mark in seen.marks
        if is_counted(mark) and _shape(mark) is Shape.AREA
    ]


def _fragments(seen: _Seen) -> list[_Part]:
    """Return the fragments of the ledger, or else the seats marked for them."""
    if seen.fragments:
        return [_Part("", 1.0, 0.0, (entry.id,)) for entry in seen.fragments]
    seats = [(entry, mark) for entry, mark in seen.marks if mark.term_id == "fragment_seat"]
    return [_Part(f"mark {mark.number}", 1.0, 0.0, (entry.id,)) for entry, mark in seats]


_PARTS: dict[str, Callable[[_Seen], list[_Part]]] = {
    "surface_cleaning": _deposits,
    "old_coating_off": _coating,
    "old_fills_off": _old_fills,
    "clear_cracks": _cracks,
    "consolidation": _weak,
    "bonding": _fragments,
    "filling": _cracks,
    "toning": _cracks,
}


def _shape(mark: Mark) -> Shape:
    return mark.sightings[0].geometry.shape


def _part(
    entry: Entry, mark: Mark, scales: dict[str, Scaled], quantity: str, per_unit: float
) -> _Part:
    found = next(one for one in mark_quantities(mark, scales) if one.name == quantity)
    views = [seen.view_id for seen in mark.sightings]
    return _measured_part(
        f"mark {mark.number}", found, per_unit, (entry.id, *_scale_ids(views, scales))
    )


def _measured_part(
    name: str, found: Measured, per_unit: float, entry_ids: tuple[str, ...]
) -> _Part:
    if found.mean is None:
        return _Part(name, None, 0.0, entry_ids)
    return _Part(name, found.mean / per_unit, (found.expanded or 0.0) / per_unit, entry_ids)


def _scale_ids(view_ids: Iterable[str], scales: dict[str, Scaled]) -> list[str]:
    return [scales[view_id].entry_id for view_id in dict.fromkeys(view_ids) if view_id in scales]


def _counted(row: TaskRow, parts: list[_Part]) -> Counted:
    from softmend.science.digits import rounded

    entry_ids = tuple(dict.fromkeys(one for part in parts for one in part.entry_ids))
    known = [part for part in parts if part.quantity is not None]
    if not known:
        words = "marked, but without a scale" if parts else "nothing is marked"
        return Counted(row.grows_with, None, 0.0, words, entry_ids)
    quantity = sum(part.quantity or 0.0 for part in known)
    # The marks of a dossier mostly share their scales: adding straight is the careful sum.
    expanded = sum(part.expanded for part in known)
    text = rounded(quantity, expanded).text(row.unit)
    names = [part.name for part in known if part.name]
    words = f"{text} in {_listed(names)}" if names else text
    if len(known) < len(parts):
        words += f"; {len(parts) - len(known)} more without a scale"
    return Counted(row.grows_with, quantity, expanded, words, entry_ids)


def _listed(names: list[str]) -> str:
    kinds = {name.partition(" ")[0] for name in names}
    if len(names) > 6 and len(kinds) == 1:
        return f"{len(names)} {kinds.pop()}s"
    return ", ".join(names)


def _origin(entry_ids: tuple[str, ...]) -> str:
    """Return the origin of a value; the run beside it names every entry that was read."""
    text = ""
    for index, entry_id in enumerate(entry_ids):
        more = f" and {len(entry_ids) - index} more"
        if len(text) + len(entry_id) + len(more) + 8 > _LONGEST_ORIGIN:
            return text + more
        text += f"{' ' if text else ''}entry:{entry_id}"
    return text or "typed"
