"""What to do next in Explain: what is urgent anywhere, then what a crack still asks for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from softmend.records.dossier import NOT_KNOWN
from softmend.records.mark import State
from softmend.services.examine.vocabulary import term
from softmend.services.explain.binding import Bound, bound_crack
from softmend.services.explain.crack import GIVING, Role, cracks_in, fill_named
from softmend.services.explain.crack_keep import Kept, kept_of
from softmend.services.explain.measured_opening import measured_opening
from softmend.services.next_steps import Step, Urgency, next_steps
from softmend.services.store import Reader


@dataclass(frozen=True)
class CrackLine:
    """One crack in the list: who gives first with each fill, or "unknown", and what is missing."""

    number: int
    term: str
    place: str
    state: State
    bound: Bound
    old_fill: str
    new_fill: str
    old_first: str
    new_first: str
    stale_because: str

    @property
    def page(self) -> str:
        """Return the page of this crack, within the dossier."""
        return f"explain/cracks/{self.number}"


def crack_lines(reader: Reader, dossier_id: str, number: int = 0) -> list[CrackLine]:
    """Return every crack, or one, with what is known of it; what was not kept is "unknown"."""
    found = []
    for entry, mark in cracks_in(reader, dossier_id):
        if number not in (0, mark.number):
            continue
        bound = bound_crack(reader, dossier_id, entry, mark)
        kept = kept_of(reader, dossier_id, bound.mark_id)
        stale = [one.stale_because for one in kept.values() if one.stale_because]
        names = {role: fill_named(reader, dossier_id, bound, role) for role in Role}
        old, new = names[Role.OLD], names[Role.NEW]
        found.append(
            CrackLine(
                number=mark.number,
                term=term(mark.term_id).term,
                place=" · ".join(p for p in (mark.part, mark.side) if p != NOT_KNOWN) or NOT_KNOWN,
                state=mark.state,
                bound=bound,
                old_fill=old.name if old else NOT_KNOWN,
                new_fill=new.name if new else NOT_KNOWN,
                old_first=_first(kept.get((GIVING, Role.OLD.value))),
                new_first=_first(kept.get((GIVING, Role.NEW.value))),
                stale_because=stale[0] if stale else "",
            )
        )
    return found


def front_steps(reader: Reader, dossier_id: str, today: date) -> list[Step]:
    """Return what to do next in the whole dossier; Explain follows what is owed to the record.

    Only the first of its questions stands there: the rest wait on Explain's own page.
    """
    steps = next_steps(reader, dossier_id, today)
    for line in crack_lines(reader, dossier_id):
        step = _of_line(reader, dossier_id, line)
        if step is not None:
            return [*steps, replace(step, sentence=f"Explain: {_small(step.sentence)}")]
    return steps


def _small(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def explain_steps(
    reader: Reader, dossier_id: str, today: date, lines: list[CrackLine]
) -> list[Step]:
    """Return what to do next in Explain about some cracks, most urgent first."""
    urgent = [
        step for step in next_steps(reader, dossier_id, today) if step.urgency < Urgency.HANDLING
    ]
    if not lines:
        return [
            *urgent,
            Step(
                Urgency.RECORDS,
                "Mark a crack or a gap on a view.",
                "Its width and depth are asked there, and carried here.",
                "examine",
            ),
        ]
    return [*urgent, *(step for line in lines if (step := _of_line(reader, dossier_id, line)))]


def _of_line(reader: Reader, dossier_id: str, line: CrackLine) -> Step | None:
    named = f"mark {line.number}"
    if line.bound.missing:
        first = line.bound.missing[0]
        page = f"marks/{line.bound.mark_id}" if first.field == "mark" else f"{line.page}#said"
        return Step(Urgency.RECORDS, f"Say more of {named}.", first.sentence, page)
    if NOT_KNOWN == line.old_fill == line.new_fill:
        return Step(
            Urgency.RECORDS,
            f"Say which fill is in {named}, or which is thought of.",
            "“Left open” is shown beside either.",
            f"{line.page}#said",
        )
    if line.stale_because:
        return Step(
            Urgency.RECORDS,
            f"Compute {named} again.",
            line.stale_because[:1].upper() + line.stale_because[1:] + ".",
            line.page,
        )
    if not line.old_first and not line.new_first:
        return Step(
            Urgency.RECORDS,
            f"Look at {named}, and keep what it says.",
            "Kept, it goes into the proposal with everything it read.",
            line.page,
        )
    if measured_opening(reader, dossier_id, line.bound.mark_id) is None:
        return Step(
            Urgency.RECORDS,
            f"Read the width of {named} at two humidities, a season apart.",
            "How it moves is only modelled. Use the seasons' own change; condition nothing.",
            f"marks/{line.bound.mark_id}/opening",
        )
    return None


def _first(kept: Kept | None) -> str:
    return "" if kept is None else str(kept.run.outputs.get("sentence", ""))
