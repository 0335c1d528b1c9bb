"""What to do next, in the order of safety, and what a dossier of its size still asks for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from softmend.records.dossier import NOT_KNOWN, HazardStatus, Size
from softmend.records.examination import Examination
from softmend.records.fragment import Stand
from softmend.records.mark import Mark, State
from softmend.services.dossiers import OpenDossier, opened
from softmend.services.legal_flags import flags_in, remains_caution
from softmend.services.propose.securing import owners_to_tell
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.tables import table


class Urgency(IntEnum):
    """The order of every "what to do next": cautions come before records."""

    PEOPLE = 1
    ACTIVE_LOSS = 2
    LAW = 3
    HANDLING = 4
    RECORDS = 5


@dataclass(frozen=True)
class Step:
    """One thing to do next, as a sentence, why, and the page that it is done on."""

    urgency: Urgency
    sentence: str
    why: str
    page: str


@dataclass(frozen=True)
class Asked:
    """One thing that a dossier of this size asks for, and whether it is there."""

    item: str
    asks: str
    is_there: bool
    not_done_because: str
    not_done_entry_id: str


@dataclass(frozen=True)
class Found:
    """What stands in a dossier, as far as the questions below need it."""

    dossier: OpenDossier
    examination: Examination
    marks: tuple[Mark, ...]
    view_count: int
    scale_count: int
    not_examined_count: int
    grades: tuple[int, ...]
    zone_count: int


def found_in(reader: Reader, dossier_id: str) -> Found:
    """Return what stands in a dossier."""
    examinations = current_records(reader, dossier_id, "examination")
    return Found(
        dossier=opened(reader, dossier_id),
        examination=examinations[0][1] if examinations else Examination(reason=NOT_KNOWN),
        marks=tuple(mark for _, mark in current_records(reader, dossier_id, "mark")),
        view_count=len(reader.current(dossier_id, "view")),
        scale_count=len(reader.current(dossier_id, "scale")),
        not_examined_count=len(reader.current(dossier_id, "not_examined")),
        grades=tuple(grade.grade for _, grade in current_records(reader, dossier_id, "grade")),
        zone_count=len(reader.current(dossier_id, "body_zone")),
    )


_IS_THERE: dict[str, Callable[[Found], bool]] = {
    "photograph": lambda found: found.view_count > 0,
    "words": lambda found: found.examination.summary_observed != NOT_KNOWN,
    # Every hazard that is always asked has an entry of its own once somebody answered.
    "hazards": lambda found: all(entry_id for _, entry_id, _ in found.dossier.hazards),
    "owner": lambda found: found.dossier.object_head.owner != NOT_KNOWN,
    "materials": lambda found: bool(found.dossier.object_head.materials),
    "scale": lambda found: found.scale_count > 0,
    "marks": lambda found: bool(found.marks),
    "not_examined": lambda found: found.not_examined_count > 0,
    "grades": lambda found: bool(found.grades),
    "recommendation": lambda found: found.examination.recommendation != NOT_KNOWN,
    "zones": lambda found: found.zone_count > 0,
    "light_and_aids": lambda found: found.examination.lights_and_aids != NOT_KNOWN,
    "structure": lambda found: found.examination.structure_inferred != NOT_KNOWN,
    "history": lambda found: found.examination.earlier_treatment_reported != NOT_KNOWN,
    "next_check": lambda found: found.examination.next_check_on != NOT_KNOWN,
}

PAGE_OF_ITEM = {
    "photograph": "examine",
    "scale": "examine",
    "marks": "examine",
    "zones": "examine",
    "not_examined": "examine",
    "hazards": "hazards",
    "owner": "object",
    "materials": "object",
    "grades": "condition",
    "words": "words",
    "recommendation": "words",
    "light_and_aids": "words",
    "structure": "words",
    "history": "words",
    "next_check": "words",
}


def asked_for(reader: Reader, dossier_id: str) -> list[Asked]:
    """Return what a dossier of this size asks for, from the table the house edits."""
    found = found_in(reader, dossier_id)
    answers = {
        answer.asked: (entry.id, answer.because)
        for entry, answer in current_records(reader, dossier_id, "not_done")
    }
    column = {Size.NOTE: "note", Size.SHORT: "short", Size.FULL: "full"}
    wanted = column[found.dossier.dossier.size]
    return [
        Asked(
            item=str(row["item"]),
            asks=str(row["asks"]),
            is_there=_IS_THERE[str(row["item"])](found),
            not_done_entry_id=answers.get(str(row["item"]), ("", ""))[0],
            not_done_because=answers.get(str(row["item"]), ("", ""))[1],
        )
        for row in table("minimum").rows
        if row[wanted] == "yes" and row["closing"] == "no"
    ]


def asked_words(item: str) -> str:
    """Return what the house's table asks under a name; a name it no longer has stands as it is."""
    return next((str(row["asks"]) for row in table("minimum").rows if row["item"] == item), item)


def next_steps(reader: Reader, dossier_id: str, today: date | None = None) -> list[Step]:
    """Return what to do next, most urgent first; the first is what a page begins with.

    Without `today` the day of the newest entry counts, so that a print stays the same.
    """
    found = found_in(reader, dossier_id)
    law = _law(reader, dossier_id, today or _newest_day(reader, dossier_id))
    loss = [*_active_loss(found), *_incidents(reader, dossier_id)]
    steps = [*_people(found), *loss, *law, *_handling(found)]
    steps += [
        Step(
            Urgency.RECORDS,
            f"Record {asked.asks}.",
            "Or say why it was not done; that is an answer too.",
            PAGE_OF_ITEM[asked.item],
        )
        for asked in asked_for(reader, dossier_id)
        if not asked.is_there and not asked.not_done_because
    ]
    steps += loose_flakes(reader, dossier_id)
    return sorted(steps, key=lambda step: step.urgency)


def loose_flakes(reader: Reader, dossier_id: str) -> list[Step]:
    """Return the way to the trays for fragments that nobody tries in a place and no tray shows."""
    drawn = {one.fragment_id for _, one in current_records(reader, dossier_id, "flake_outline")}
    numbers = [
        str(one.number)
        for entry, one in current_records(reader, dossier_id, "fragment")
        if one.stand is Stand.NUMBERED and entry.subject_id not in drawn
    ]
    if not numbers:
        return []
    return [
        Step(
            Urgency.RECORDS,
            f"Photograph fragment {', '.join(numbers)} on a tray, where it can be laid out safely.",
            "With a scale beside it its outline can be set against the marked losses.",
            "treat/trays",
        )
    ]


def _people(found: Found) -> list[Step]:
    steps = []
    for _, _, hazard in found.dossier.hazards:
        if hazard.status is HazardStatus.PRESENT and hazard.who_may_handle == NOT_KNOWN:
            steps.append(
                Step(
                    Urgency.PEOPLE,
                    f"Say who may handle the object: {hazard.hazard} is present.",
                    "Swabs and dust count as hazardous waste.",
                    "hazards",
                )
            )
    unanswered = [hazard.hazard for _, entry_id, hazard in found.dossier.hazards if not entry_id]
    if unanswered:
        steps.append(
            Step(
                Urgency.PEOPLE,
                f"Answer the hazard questions: {', '.join(unanswered)}.",
                "Until a test is recorded each counts as not tested: gloves, no dry brushing.",
                "hazards",
            )
        )
    return steps


def _active_loss(found: Found) -> list[Step]:
    steps = []
    if 4 in found.grades:
        steps.append(
            Step(
                Urgency.ACTIVE_LOSS,
                "Secure what is being lost now, or record why not.",
                "A place is graded 4: active loss.",
                "condition",
            )
        )
    loose = [
        mark.number
        for mark in found.marks
        if mark.term_id in ("lifting", "flaking", "loose_part") or mark.state is State.GROWN
    ]
    if loose and not found.grades:
        numbers = ", ".join(str(number) for number in loose)
        steps.append(
            Step(
                Urgency.ACTIVE_LOSS,
                f"Grade the condition at mark {numbers}.",
                "Something there is lifting, loose or has grown.",
                "condition",
            )
        )
    return steps


def _incidents(reader: Reader, dossier_id: str) -> list[Step]:
    return [
        Step(
            Urgency.ACTIVE_LOSS,
            f"Incident {incident.number} is open: {incident.what_observed}.",
            "Search, tell whoever must know, and say how it ended.",
            "treat/fragments",
        )
        for _, incident in current_records(reader, dossier_id, "incident")
        if incident.is_open
    ]


def _law(reader: Reader, dossier_id: str, today: date) -> list[Step]:
    steps = []
    caution = remains_caution(reader, dossier_id)
    if caution:
        steps.append(
            Step(
                Urgency.LAW,
                "Say who identified the remains, as what, and how.",
                f"Treated as possibly human: {caution}. Small pictures and public packages are "
                "off; backup and a deposit to a named custodian stay possible.",
                "law",
            )
        )
    steps += [
        Step(
            Urgency.LAW,
            f"Check again: {line.flag.topic.value}, {line.flag.rule}.",
            f"{line.stale_because[:1].upper()}{line.stale_because[1:]}.",
            "law",
        )
        for line in flags_in(reader, dossier_id, today)
        if line.stale_because
    ]
    steps += [
        Step(
            Urgency.LAW,
            f"Tell the owner by {one.owner_told_by_on}: {one.means.value}, {one.where}.",
            "It was done before consent.",
            "propose/secure",
        )
        for one in owners_to_tell(reader, dossier_id)
    ]
    return steps


def _newest_day(reader: Reader, dossier_id: str) -> date:
    head = reader.head(dossier_id)
    (newest,) = reader.entries(dossier_id, head.count - 1)
    return date.fromisoformat(newest.at[:10])


def _handling(found: Found) -> list[Step]:
    if found.view_count and not found.not_examined_count:
        return [
            Step(
                Urgency.HANDLING,
                "Name the places that could not be examined.",
                "“Cannot be turned safely: recorded as not examined” is as good an answer as "
                "a photograph.",
                "examine",
            )
        ]
    return []
