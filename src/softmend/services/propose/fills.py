"""How much would fill each crack and void: what the dossier supplies to fill.volume."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.errors import MissingEvidenceError
from softmend.records.entry import Entry
from softmend.records.mark import DepthStation, KnownHow, Mark, Shape
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import (
    Outcome,
    Scaled,
    mark_quantities,
    outcome,
    scales_in,
)
from softmend.services.examine.vocabulary import term
from softmend.services.runs import record_run
from softmend.services.solid.void_fills import VoidFill, void_fills
from softmend.services.store import Reader

FILLED_FAMILIES = {
    Shape.LINE: ("cracks", "joins"),
    Shape.AREA: ("loss",),
}


@dataclass(frozen=True)
class Fill:
    """The volume of one mark, or why it cannot be told; or the void that it is counted as."""

    mark: Mark
    depth_known_how: str
    text: str
    reason: str
    counted_as: str = ""


@dataclass(frozen=True)
class Fills:
    """The fills of a dossier, all of them together, and the run that they came from.

    A mark that a void of a scan is linked with is counted by that void and not twice.
    """

    each: tuple[Fill, ...]
    voids: tuple[tuple[VoidFill, str], ...]
    total_text: str
    answer: Outcome | None
    inputs: dict[str, Any]
    read_entry_ids: tuple[str, ...]


def fills_in(reader: Reader, dossier_id: str) -> Fills:
    """Return how much each crack and void of a dossier takes; nothing is recorded."""
    scales = scales_in(reader, dossier_id)
    marks = [(entry, mark) for entry, mark in marks_in(reader, dossier_id) if _is_filled(mark)]
    voids = void_fills(reader, dossier_id)
    parts = [part for void in voids if (part := void.part)]
    by_void = {void.void.mark_id: void.name for void in voids if void.part and void.void.mark_id}
    unscaled = {}
    for entry, mark in marks:
        if entry.subject_id in by_void:
            continue
        found = mark_quantities(mark, scales)[0]
        if found.mean is None or found.expanded is None:
            unscaled[mark.number] = f"{found.text}; set one and it can be told."
        else:
            parts.append(_part(mark, found.mean, found.expanded))
    inputs = {"parts": parts}
    answer = outcome("fill.volume", inputs) if parts else None
    return Fills(
        each=tuple(
            Fill(mark, "scan", f"counted as {name}", "", name)
            if (name := by_void.get(entry.subject_id))
            else _fill(mark, answer, unscaled)
            for entry, mark in marks
        ),
        voids=tuple((void, _volume_text(void.name, answer)) for void in voids),
        total_text=_total(answer),
        answer=answer,
        inputs=inputs,
        read_entry_ids=(*_read(marks, scales), *_read_of(voids)),
    )


def record_fills(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Keep today's fill volumes as a run, so that a later change is seen as a change."""
    with bench.store.reading() as reader:
        fills = fills_in(reader, dossier_id)
    if fills.answer is None or fills.answer["answer"] == "cannot say":
        raise MissingEvidenceError(
            "No fill volume can be told yet",
            remedy="Set a scale, and give widths and depths, however wide",
        )
    return record_run(
        bench,
        author,
        dossier_id,
        computation="fill.volume",
        inputs=fills.inputs,
        outputs=fills.answer,
        read_entry_ids=fills.read_entry_ids,
    )


def _is_filled(mark: Mark) -> bool:
    shape = mark.sightings[0].geometry.shape
    return term(mark.term_id).family in FILLED_FAMILIES.get(shape, ())


def _name(mark: Mark) -> str:
    return f"mark {mark.number}"


def _part(mark: Mark, mean: float, expanded: float) -> dict[str, Any]:
    size = {"value": {"value": mean, "expanded": expanded}, "kind": "derived", "origin": "scale"}
    if mark.sightings[0].geometry.shape is Shape.AREA:
        deepest = max(mark.depths, key=lambda depth: depth.typical_mm, default=None)
        return {
            "shape": "void",
            "name": _name(mark),
            "area_mm2": size,
            "depth_mm": _depth(deepest) if deepest else None,
            "known_how": _how(mark),
            "section": mark.section.value,
        }
    return {
        "shape": "crack",
        "name": _name(mark),
        "length_mm": size,
        "widths": [
            {
                "along_mm": one.along_mm,
                "width_mm": {
                    "value": {"value": one.width_mm, "expanded": one.expanded_mm},
                    "kind": "measured",
                    "origin": one.measured_with[:500],
                },
            }
            for one in mark.widths
        ],
        "depths": [
            {
                "along_mm": one.along_mm,
                "depth_mm": _depth(one),
                "known_how": one.known_how.value,
            }
            for one in mark.depths
        ],
        "section": mark.section.value,
    }


def _depth(depth: DepthStation) -> dict[str, Any]:
    is_measured = depth.known_how in (KnownHow.GAUGE, KnownHow.XRAY)
    return {
        "value": {"low": depth.low_mm, "typical": depth.typical_mm, "high": depth.high_mm},
        "kind": "measured" if is_measured else "estimated",
        "origin": depth.known_how.value,
    }


def _how(mark: Mark) -> str:
    ways = {depth.known_how for depth in mark.depths}
    return ways.pop().value if len(ways) == 1 else KnownHow.NOT_KNOWN.value


def _fill(mark: Mark, answer: Outcome | None, unscaled: dict[int, str]) -> Fill:
    how = ", ".join(dict.fromkeys(depth.known_how.value for depth in mark.depths)) or "not known"
    if answer is not None:
        for part in answer["parts"]:
            if part["name"] == _name(mark):
                return Fill(mark, how, part["volume_ml"]["text"], "")
        for reason in answer["reasons"]:
            name, _, why = reason.partition(": ")
            if name == _name(mark):
                return Fill(mark, how, "not known", why)
    return Fill(mark, how, "not known", unscaled.get(mark.number, ""))


def _volume_text(name: str, answer: Outcome | None) -> str:
    for part in answer["parts"] if answer is not None else ():
        if part["name"] == name:
            return str(part["volume_ml"]["text"])
    return "not known"


def _read_of(voids: list[VoidFill]) -> tuple[str, ...]:
    read = [one for void in voids if void.part for one in void.read_entry_ids]
    return tuple(dict.fromkeys(read))


def _total(answer: Outcome | None) -> str:
    if answer is None or answer["total_ml"] is None:
        return "not known"
    text: str = answer["total_ml"]["text"]
    return text


def _read(marks: list[tuple[Entry, Mark]], scales: dict[str, Scaled]) -> tuple[str, ...]:
    views = {seen.view_id for _, mark in marks for seen in mark.sightings}
    used = [scale.entry_id for view_id, scale in scales.items() if view_id in views]
    return (*(entry.id for entry, _ in marks), *used)
