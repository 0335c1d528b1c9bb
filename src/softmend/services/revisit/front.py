"""What Revisit begins with: the next day to look, the pairs that can be compared, what was kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.view import View
from softmend.report.content import MovedRow
from softmend.services.examine.views import views_in
from softmend.services.examine.vocabulary import term
from softmend.services.next_steps import Step, Urgency, next_steps
from softmend.services.recording import current_records
from softmend.services.revisit.comparing import Moved, asked, moved_between
from softmend.services.revisit.moved import CrackMoved, cracks_moved, day_of, grounds_of
from softmend.services.store import Reader


@dataclass(frozen=True)
class Pair:
    """Two views of one side in one light, of two dates, and what was kept of them."""

    earlier: tuple[Entry, View]
    later: tuple[Entry, View]
    moved: Moved | None
    cracks: tuple[CrackMoved, ...] = ()
    grounds: str = ""


def dated(views: list[tuple[Entry, View]]) -> list[tuple[Entry, View]]:
    """Return the views that say when they were taken, oldest first."""
    known = [one for one in views if one[1].taken_on != NOT_KNOWN]
    return sorted(known, key=lambda one: (one[1].taken_on, one[1].number))


def pairs_in(reader: Reader, dossier_id: str) -> list[Pair]:
    """Return each later view with the earliest of the same side and light, and pairs kept."""
    views = dated(views_in(reader, dossier_id))
    by_id = {entry.subject_id: (entry, view) for entry, view in views_in(reader, dossier_id)}
    wanted: dict[tuple[str, str], None] = {}
    firsts: dict[tuple[str, Any], tuple[Entry, View]] = {}
    for entry, view in views:
        first = firsts.setdefault((view.side, view.light), (entry, view))
        if first[1].taken_on < view.taken_on and view.side != NOT_KNOWN:
            wanted[(first[0].subject_id, entry.subject_id)] = None
    for _entry, comparison in current_records(reader, dossier_id, "comparison_of_views"):
        wanted[(comparison.earlier_view_id, comparison.later_view_id)] = None
    return [
        _pair(reader, dossier_id, by_id[first], by_id[second])
        for first, second in wanted
        if first in by_id and second in by_id
    ]


def moved_rows(pairs: Sequence[Pair]) -> tuple[MovedRow, ...]:
    """Return what was kept of every comparison, a row a crack, as the report prints it."""
    return tuple(
        MovedRow(
            mark=f"{one.mark.number}",
            term=term(one.mark.term_id).term,
            between=f"view {pair.earlier[1].number}, {day_of(pair.earlier[1])} – "
            f"view {pair.later[1].number}, {day_of(pair.later[1])}",
            finding=one.finding,
            grounds=pair.grounds,
            state=one.mark.state.value,
            stale=pair.moved.stale if pair.moved else "",
        )
        for pair in pairs
        for one in pair.cracks
    )


def next_check_on(reader: Reader, dossier_id: str) -> str:
    """Return the next day to look at the object: of the care sheet, else of the examination."""
    return _check_on_its_page(reader, dossier_id)[0]


def _check_on_its_page(reader: Reader, dossier_id: str) -> tuple[str, str]:
    for kind, page in (("care", "return/care"), ("examination", "words")):
        for _entry, record in current_records(reader, dossier_id, kind):
            if record.next_check_on != NOT_KNOWN:
                return str(record.next_check_on), page
    return NOT_KNOWN, "words"


def revisit_steps(reader: Reader, dossier_id: str, today: str, pairs: Sequence[Pair]) -> list[Step]:
    """Return what to do next at a revisit, what is urgent anywhere first."""
    steps = [one for one in next_steps(reader, dossier_id) if one.urgency < Urgency.HANDLING]
    due, page = _check_on_its_page(reader, dossier_id)
    is_due = due != NOT_KNOWN and due <= today
    taken = [one.later[1] for one in pairs if due <= one.later[1].taken_on != NOT_KNOWN]
    if is_due and not taken:
        steps.append(
            Step(
                Urgency.RECORDS,
                f"The check of {due} is due.",
                "Take the same views again: the guide shows how the earlier ones were taken.",
                "revisit/guide",
            )
        )
    steps += _comparisons_wanted(pairs)
    if due == NOT_KNOWN:
        steps.append(
            Step(
                Urgency.RECORDS,
                "Say when somebody looks again.",
                "Without a day nobody comes. It stands with the examination.",
                page,
            )
        )
    elif is_due and taken:
        last = max(taken, key=lambda view: (view.taken_on, view.number))
        steps.append(
            Step(
                Urgency.RECORDS,
                "Say when somebody looks again.",
                f"View {last.number} of {last.taken_on} was taken for the check of {due}.",
                page,
            )
        )
    return steps


def _comparisons_wanted(pairs: Sequence[Pair]) -> Iterator[Step]:
    for pair in pairs:
        if pair.moved is None or pair.moved.stale:
            why = pair.moved.stale if pair.moved else "No comparison of them is kept yet."
            yield Step(
                Urgency.RECORDS,
                f"Compare view {pair.later[1].number} with view {pair.earlier[1].number}.",
                f"{why[:1].upper()}{why[1:]}".rstrip(".") + ".",
                f"revisit/compare?earlier={pair.earlier[0].subject_id}"
                f"&later={pair.later[0].subject_id}",
            )


def _pair(
    reader: Reader, dossier_id: str, earlier: tuple[Entry, View], later: tuple[Entry, View]
) -> Pair:
    moved = moved_between(reader, dossier_id, earlier[0].subject_id, later[0].subject_id)
    if moved is None:
        return Pair(earlier, later, None)
    kept = _comparison_of(reader, moved)
    if kept is None:
        return Pair(earlier, later, moved)
    question = asked(reader, dossier_id, *kept)
    outputs = moved.run.outputs
    cracks = tuple(cracks_moved(question, outputs))
    return Pair(earlier, later, moved, cracks, grounds_of(question, outputs))


def _comparison_of(reader: Reader, moved: Moved) -> tuple[Entry, ComparisonOfViews] | None:
    """Return the asking that a kept run answered, not a later one."""
    for entry_id in moved.run.read_entry_ids:
        entry = reader.entry(entry_id)
        if entry.kind == "comparison_of_views" and entry.payload is not None:
            return entry, record_in(entry)
    return None
