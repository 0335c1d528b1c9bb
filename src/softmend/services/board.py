"""The board: the dossiers of the house by priority, deadline and stage, and what each rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from softmend.records.condition import overall_grade
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.priority import Inputs, Priority, checked_priority, ordered
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.recording import current_records, record_one
from softmend.services.store import DossierRow, Reader

MOST_ON_THE_BOARD = 200

STAGES = ("Examine", "Explain", "Propose", "Treat", "Return")
_KINDS_OF_STAGE = {
    "Explain": {"crack_model", "coating_model", "join_model", "measured_opening"},
    "Propose": {"options", "proposal", "plan_step", "consent", "estimate"},
    "Treat": {"action", "batch", "before_wet", "bench_sheet"},
    "Return": {"care", "hand_over"},
}


@dataclass(frozen=True)
class BoardLine:
    """One dossier on the board: its inputs, its place, and what its entries say of its stage."""

    row: DossierRow
    stage: str
    inputs: Inputs
    priority_entry_id: str
    deadline_on: str
    weeks: str
    place: int


@dataclass(frozen=True)
class Board:
    """The lines in their order; how many closed dossiers and older ones are not on the board."""

    lines: tuple[BoardLine, ...]
    closed: int
    left_out: int


def board(bench: Bench, search: str = "") -> Board:
    """Return the open dossiers that were changed last, in the order suggested or chosen."""
    today = date.fromisoformat(bench_day(bench))
    with bench.store.reading() as reader:
        rows = reader.dossiers(search, MOST_ON_THE_BOARD)
        count = reader.dossier_count(search)
        found = [_line(reader, row, today) for row in rows]
    lines = [line for line in found if line is not None]
    order = ordered([line.inputs for line in lines])
    return Board(
        lines=tuple(replace(lines[index], place=place) for place, index in enumerate(order, 1)),
        closed=len(rows) - len(lines),
        left_out=count - len(rows),
    )


def record_priority(
    bench: Bench, author: Author, dossier_id: str, priority: Priority, based_on: str
) -> Entry:
    """Record what weighs on a dossier's turn, and a place of one's own choosing with its reason."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=checked_priority(priority),
        based_on=based_on,
    )


def priority_in(reader: Reader, dossier_id: str) -> tuple[str, Priority]:
    """Return what weighs on a dossier's turn and the entry that says so, "" while none does."""
    kept = current_records(reader, dossier_id, "priority")
    return (kept[0][0].id, kept[0][1]) if kept else ("", Priority())


def _line(reader: Reader, row: DossierRow, today: date) -> BoardLine | None:
    """Return a dossier's line, or None once it is closed."""
    standing: dict[str, list[Entry]] = {}
    for entry in reader.current(row.dossier_id):
        if entry.payload is not None:
            standing.setdefault(entry.kind, []).append(entry)
    if _newest(standing, "closing") > _newest(standing, "reopened"):
        return None
    overall = overall_grade(record_in(entry) for entry in standing.get("grade", []))
    priority = standing.get("priority")
    head = standing.get("object_head")
    deadline = record_in(head[0]).deadline_on if head else NOT_KNOWN
    estimates = standing.get("estimate")
    return BoardLine(
        row=row,
        stage=stage_of(set(standing)),
        inputs=Inputs(
            priority=record_in(priority[0]) if priority else Priority(),
            worst_grade=overall.grade if overall else None,
            days_left=_days_left(deadline, today),
        ),
        priority_entry_id=priority[0].id if priority else "",
        deadline_on=deadline,
        weeks=record_in(estimates[-1]).weeks_run.outputs["text"] if estimates else "not estimated",
        place=0,
    )


def _newest(standing: dict[str, list[Entry]], kind: str) -> int:
    return max((entry.number for entry in standing.get(kind, ())), default=0)


def stage_of(kinds: set[str]) -> str:
    """Return the furthest stage that a dossier's entries speak of; each begins with Examine."""
    reached = [stage for stage in STAGES if kinds & _KINDS_OF_STAGE.get(stage, set())]
    return reached[-1] if reached else STAGES[0]


def _days_left(deadline: str, today: date) -> int | None:
    try:
        return (date.fromisoformat(deadline.strip()) - today).days
    except ValueError:
        return None
