"""The measured opening of a crack: read on the object itself, it stands before the model."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.opening import MeasuredOpening, checked_opening
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.recording import append_record, current_record, strike
from softmend.services.store import Reader

DRIES_PERCENT = (60.0, 50.0)
"""Between these humidities a measured and a modelled opening are shown side by side."""


@dataclass(frozen=True)
class Measured:
    """What was recorded of a crack's opening, and what it amounts to for each %RH of drying."""

    entry_id: str
    record: MeasuredOpening
    answer: Outcome
    per_percent_mm: Sourced


def measured_opening(reader: Reader, dossier_id: str, mark_id: str) -> Measured | None:
    """Return the measured opening of a mark, or None while there is none."""
    entry = reader.latest("measured_opening", _subject(mark_id))
    if entry is None or entry.kind == "struck" or entry.payload is None:
        return None
    _, record = current_record(reader, dossier_id, "measured_opening", _subject(mark_id))
    return Measured(entry.id, record, *_amounts_to(record))


def record_opening(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    opening: MeasuredOpening,
    based_on: str = "",
) -> Entry:
    """Record how a crack was seen to move; what cannot be computed is not recorded."""
    checked = checked_opening(opening)
    _amounts_to(checked)
    with bench.store.writing() as writer:
        current_record(writer, dossier_id, "mark", mark_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=_subject(mark_id),
            record=checked,
            based_on=based_on,
        )
        writer.commit()
    return entry


def strike_opening(
    bench: Bench, author: Author, dossier_id: str, mark_id: str, because: str, based_on: str
) -> Entry:
    """Strike a measured opening, with the reason: the model stands again."""
    return strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="measured_opening",
        subject_id=_subject(mark_id),
        because=because,
        based_on=based_on,
    )


def opening_inputs(opening: MeasuredOpening) -> dict[str, Any]:
    """Return what was read as the inputs that moisture.opening takes."""
    how = opening.way.value
    if opening.series is not None:
        series = opening.series
        return {
            "record": {
                "taken_hours": list(series.taken_hours),
                "widths_mm": list(series.widths_mm),
                "air_hours": list(series.air_hours),
                "air_percent": list(series.air_percent),
            }
        }
    first, second = opening.readings
    return {
        "readings": {
            "first_width_mm": _read(first.width_mm, first.expanded_mm, f"{how}, {first.read_on}"),
            "second_width_mm": _read(
                second.width_mm, second.expanded_mm, f"{how}, {second.read_on}"
            ),
            "first_percent": _read(first.air_percent, first.air_expanded_percent, first.read_on),
            "second_percent": _read(
                second.air_percent, second.air_expanded_percent, second.read_on
            ),
        }
    }


def modelled_beside(opening: MeasuredOpening, model: dict[str, Any]) -> Outcome:
    """Return moisture.opening with both: `model` holds radius or span and the free strains."""
    return outcome("moisture.opening", _dries() | model | opening_inputs(opening))


def read_by_station(mark: Mark) -> list[tuple[float, str]]:
    """Return the stations of a mark whose width was read, each with its printed width."""
    from softmend.science.digits import rounded

    return [
        (one.along_mm, rounded(one.width_mm, one.expanded_mm).text("mm")) for one in mark.widths
    ]


def _amounts_to(opening: MeasuredOpening) -> tuple[Outcome, Sourced]:
    answer = outcome("moisture.opening", _dries() | opening_inputs(opening))
    found = answer["per_percent_mm"]
    day = opening.readings[-1].read_on if opening.readings else opening.starts_on
    points = {name: found[name] for name in ("low", "typical", "high")}
    return answer, Sourced.model_validate(
        {"value": points, "kind": "measured", "origin": f"{opening.way.value}, {day}"[:500]}
    )


def _dries() -> dict[str, Any]:
    return {"before_percent": DRIES_PERCENT[0], "after_percent": DRIES_PERCENT[1]}


def _read(value: float, expanded: float, origin: str) -> dict[str, Any]:
    return {
        "value": {"value": value, "expanded": expanded},
        "kind": "measured",
        "origin": origin[:500],
    }


def _subject(mark_id: str) -> str:
    return f"{mark_id}:opening"
