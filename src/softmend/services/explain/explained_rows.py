"""What Explain found, for a condition report: one sentence a crack, a coating or a join."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable

from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.report.content import ExplainedRow, Working
from softmend.services.days import day_of
from softmend.services.explain.coating import EXPLAIN
from softmend.services.explain.crack import COMPARING, GIVING, SHARING, Role
from softmend.services.explain.joins import HOLDS
from softmend.services.runs import run_about, run_subject, runs_in
from softmend.services.store import Reader
from softmend.services.workings import working

OF_THE_PROPOSAL = frozenset({GIVING, SHARING, COMPARING, EXPLAIN, HOLDS})
"""Computations whose workings the treatment proposal prints, not the condition report."""
SUBJECTS_OF_THE_PROPOSAL = frozenset({"solvency", "exposure", "tint", "sight"})
"""Old work off and tint: their workings stand in the proposal as well."""


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


def workings_of_work(
    reader: Reader, dossier_id: str, mark_ids: Iterable[str], joins: Iterable[str]
) -> tuple[Working, ...]:
    """Return the kept workings behind the fills that were laid and the joins that were made."""
    wanted = {run_subject(dossier_id, GIVING, f"{one}:{Role.NEW.value}") for one in mark_ids}
    wanted |= {run_subject(dossier_id, HOLDS, name) for name in joins}
    return tuple(
        working(run.computation, _row(reader, entry, run, stale).where, run.outputs, stale)
        for entry, run, stale in runs_in(reader, dossier_id)
        if entry.subject_id in wanted
    )


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
