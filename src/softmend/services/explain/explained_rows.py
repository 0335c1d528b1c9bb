"""What Explain found, for a condition report: one sentence a crack, a coating or a join."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.report.content import ExplainedRow
from softmend.services.days import day_of
from softmend.services.explain.coating import EXPLAIN
from softmend.services.explain.crack import COMPARING, GIVING, SHARING, Role
from softmend.services.explain.joins import HOLDS
from softmend.services.runs import run_about, runs_in
from softmend.services.store import Reader

OF_THE_PROPOSAL = frozenset({GIVING, SHARING, COMPARING, EXPLAIN, HOLDS})
"""Computations whose workings the treatment proposal prints, not the condition report."""


def explained_rows(reader: Reader, dossier_id: str) -> tuple[ExplainedRow, ...]:
    """Return a row for each crack, coating and join of which a run was kept.

    Of a crack it is the fill that is in: that one is condition. Only where none is known, the fill
    thought of is told.
    """
    kept = runs_in(reader, dossier_id)
    giving = {entry.subject_id: (entry, run, stale) for entry, run, stale in kept}
    found = []
    for subject_id, (entry, run, stale) in giving.items():
        about, _, role = subject_id.rpartition(":")
        is_told = run.computation in (EXPLAIN, HOLDS) or (
            run.computation == GIVING
            and (role == Role.OLD.value or f"{about}:{Role.OLD.value}" not in giving)
        )
        if is_told:
            found.append(_row(reader, entry, run, stale))
    return tuple(found)


def _row(reader: Reader, entry: Entry, run: Run, stale_because: str) -> ExplainedRow:
    where = run_about(reader, run)
    if run.computation == HOLDS:
        where = f"join {entry.subject_id.rpartition(':')[2]}"
    elif run.computation == EXPLAIN:
        where = f"{where or 'zone'}, coating"
    elif entry.subject_id.endswith(f":{Role.OLD.value}"):
        where = f"{where}, the fill that is in"
    else:
        where = f"{where}, the fill thought of"
    said = str(run.outputs.get("sentence") or run.outputs["text"])
    return ExplainedRow(where[:1].upper() + where[1:], said, day_of(entry.at), stale_because)
