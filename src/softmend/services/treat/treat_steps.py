"""What to do next in Treat: what is urgent anywhere, then what the log and the ledger still owe."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.fragment import Stand
from softmend.services.bench import Bench
from softmend.services.next_steps import Step, Urgency, loose_flakes, next_steps
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.fragments import ledger_of
from softmend.services.treat.tray_steps import tray_steps


def treat_steps(bench: Bench, reader: Reader, dossier_id: str) -> list[Step]:
    """Return what to do next at the bench, most urgent first."""
    urgent = [step for step in next_steps(reader, dossier_id) if step.urgency < Urgency.RECORDS]
    owed = [
        *_unsorted(reader, dossier_id),
        *_unplaced(reader, dossier_id),
        *loose_flakes(reader, dossier_id),
        *tray_steps(bench, reader, dossier_id),
    ]
    log_it = Step(
        Urgency.RECORDS,
        "Log what was done as it is done.",
        "A photograph or a voice note is enough now; sort it later.",
        "treat",
    )
    return sorted([*urgent, *owed, log_it], key=lambda step: step.urgency)


def _unsorted(reader: Reader, dossier_id: str) -> list[Step]:
    actions = current_records(reader, dossier_id, "action")
    count = sum(not action.is_sorted for _, action in actions)
    if not count:
        return []
    entries = "one log entry" if count == 1 else f"{count} log entries"
    return [
        Step(
            Urgency.RECORDS,
            f"Sort {entries}: say what the photograph, note or sheet shows.",
            "Best on the same day; a late entry keeps both dates.",
            "treat",
        )
    ]


def _unplaced(reader: Reader, dossier_id: str) -> list[Step]:
    loose = [
        one.number
        for _, one in ledger_of(reader, dossier_id).fragments
        if one.stand is Stand.UNPLACED
    ]
    if not loose:
        return []
    numbers = ", ".join(str(number) for number in loose)
    return [
        Step(
            Urgency.RECORDS,
            f"Bag fragment {numbers}: no place was found.",
            "What lies loose goes missing; the bag has a label and a place.",
            "treat/fragments",
        )
    ]
