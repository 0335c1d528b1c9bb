"""What the trays still owe: outlines that nobody answered, and flakes whose seat nobody sought."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.fragment import Stand
from softmend.records.tray import OutlineAnswer
from softmend.services.bench import Bench
from softmend.services.examine.views import views_in
from softmend.services.next_steps import Step, Urgency
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.seats import losses_in
from softmend.services.treat.trays import flakes_on, found_on, outlines_in, tray_asked, trays_in


def tray_steps(bench: Bench, reader: Reader, dossier_id: str) -> list[Step]:
    """Return the next steps of the trays, the outlines first: without one no seat is sought."""
    return [*_unanswered(bench, reader, dossier_id), *_unsought(reader, dossier_id)]


def _unanswered(bench: Bench, reader: Reader, dossier_id: str) -> list[Step]:
    steps = []
    numbers = {entry.subject_id: view.number for entry, view in views_in(reader, dossier_id)}
    for tray in trays_in(reader, dossier_id):
        found = found_on(bench, tray_asked(reader, dossier_id, tray.view_id))
        lying = flakes_on(reader, dossier_id, tray.view_id, found) if found else []
        count = sum(one.entry is None for one in lying)
        if count:
            outlines = "one outline" if count == 1 else f"{count} outlines"
            steps.append(
                Step(
                    Urgency.RECORDS,
                    f"Answer {outlines} on the tray of view {numbers[tray.view_id]}.",
                    "Accept what is a flake and number it; strike what is none.",
                    f"treat/trays/{tray.view_id}",
                )
            )
    return steps


def _unsought(reader: Reader, dossier_id: str) -> list[Step]:
    sought = {one.fragment_id for _, one in current_records(reader, dossier_id, "seat_search")}
    drawn = {
        one.fragment_id
        for _, one in outlines_in(reader, dossier_id)
        if one.answer is OutlineAnswer.ACCEPTED
    }
    loose = [
        (entry.subject_id, one.number)
        for entry, one in current_records(reader, dossier_id, "fragment")
        if one.stand is Stand.NUMBERED and entry.subject_id in drawn - sought
    ]
    # Without a loss that is drawn to scale there is nothing to set an edge against.
    if not loose or not losses_in(reader, dossier_id):
        return []
    numbers = ", ".join(str(number) for _, number in loose)
    return [
        Step(
            Urgency.RECORDS,
            f"Look for the seat of fragment {numbers}.",
            "Its outline can be set against the marked losses; a candidate is looked at, "
            "never taken.",
            f"treat/fragments/{loose[0][0]}/seats",
        )
    ]
