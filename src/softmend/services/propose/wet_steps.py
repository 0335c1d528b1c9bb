"""Before the first wet step: what is owed, and the lock for wet work on organic materials."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.wet_step import (
    BeforeWet,
    WetFinding,
    checked_before_wet,
    locked_material,
    refuse_unready,
    wet_findings,
)
from softmend.records.zone import OnIt, OnZone, on_zone_name
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import opened
from softmend.services.legal_flags import remains_caution
from softmend.services.recording import current_records, record_one
from softmend.services.store import Reader
from softmend.services.treat.treatment_words import action, wet_locked_words


def before_wet_in(reader: Reader, dossier_id: str) -> tuple[str, BeforeWet]:
    """Return the answers given so far, and their entry."""
    for entry, answers in current_records(reader, dossier_id, "before_wet"):
        return entry.id, answers
    return "", BeforeWet()


def protected_zones(reader: Reader, dossier_id: str) -> list[OnZone]:
    """Return the zones of protected evidence."""
    return [
        zone
        for _, zone in current_records(reader, dossier_id, "on_zone")
        if zone.on_it is OnIt.PROTECTED_EVIDENCE
    ]


def evidence_without_yes(reader: Reader, dossier_id: str) -> set[int]:
    """Return the zones of protected evidence that nobody gave a named yes for."""
    _, answers = before_wet_in(reader, dossier_id)
    allowed = {one.zone_number for one in answers.evidence if one.may_be_worked}
    return {zone.number for zone in protected_zones(reader, dossier_id)} - allowed


def write_before_wet(
    bench: Bench, author: Author, dossier_id: str, answers: BeforeWet, based_on: str
) -> Entry:
    """Record the answers that are owed before anything wet touches the object."""
    with bench.store.reading() as reader:
        numbers = {zone.number for zone in protected_zones(reader, dossier_id)}
    for one in answers.evidence:
        if one.zone_number not in numbers:
            raise InputError(
                "There is no protected evidence of that number",
                value=on_zone_name(one.zone_number),
                allowed=", ".join(map(on_zone_name, sorted(numbers))) or "none is drawn",
            )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=checked_before_wet(answers),
        based_on=based_on,
    )


def locked_for(reader: Reader, dossier_id: str) -> str:
    """Return the material that keeps wet work locked, or "" when none does."""
    materials = opened(reader, dossier_id).object_head.materials
    return locked_material(materials, wet_locked_words())


def wet_step_findings(reader: Reader, dossier_id: str) -> tuple[WetFinding, ...]:
    """Return what is still owed before the first wet step; empty when it may begin."""
    return wet_findings(
        before_wet_in(reader, dossier_id)[1],
        [zone for _, zone in current_records(reader, dossier_id, "on_zone")],
        locked_for(reader, dossier_id),
        remains_caution(reader, dossier_id),
    )


def refuse_wet_step(reader: Reader, dossier_id: str, action_id: str) -> None:
    """Refuse an action that wets the object while anything is owed before it."""
    if action(action_id).is_wet:
        refuse_unready(wet_step_findings(reader, dossier_id))
