"""Runs: a computation kept with all it read; shown as stale once something it read has changed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend import __version__
from softmend.errors import NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record, current_records
from softmend.services.store import Reader
from softmend.tables import table, table_names

NOT_HERE = (
    "it cannot be told whether this still holds: it read own values of the bench that computed it"
)


def record_run(
    bench: Bench,
    author: Author,
    dossier_id: str,
    *,
    computation: str,
    inputs: dict[str, Any],
    outputs: dict[str, Any],
    read_entry_ids: tuple[str, ...],
    seed: int = 0,
    about: str = "",
    tables: tuple[str, ...] = (),
) -> Entry:
    """Keep one run; it stands until a newer run of the same computation is kept.

    `about` names one of several things that a dossier computes in the same way, such as a mark;
    `tables` are those that it read, left out: any may have been.
    """
    subject_id = run_subject(dossier_id, computation, about)
    with bench.store.writing() as writer:
        standing = writer.latest("run", subject_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=Run(
                computation=computation,
                inputs=inputs,
                outputs=outputs,
                software_version=__version__,
                table_versions={name: table(name).version for name in tables or table_names()},
                seed=seed,
                read_entry_ids=read_entry_ids,
            ),
            based_on=standing.id if standing else "",
        )
        writer.commit()
    return entry


def run_subject(dossier_id: str, computation: str, about: str = "") -> str:
    """Return the subject of a run: a dossier's computation, about one of several things or none."""
    return ":".join(part for part in (dossier_id, computation, about) if part)


def runs_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, Run, str]]:
    """Return the kept runs, each with why it is stale, or "" while it is current."""
    return [
        (entry, run, stale_because(reader, run))
        for entry, run in current_records(reader, dossier_id, "run")
    ]


def run_about(reader: Reader, run: Run) -> str:
    """Return what a run is about: two views, or the mark read first and its fill, or ""."""
    here = (_entry_here(reader, entry_id) for entry_id in run.read_entry_ids)
    read = [entry for entry in here if entry]
    if any(entry.kind == "comparison_of_views" for entry in read):
        # A comparison reads the earlier view, then the later; a second of the first day after them.
        return " and ".join([_words(entry) for entry in read if entry.kind == "view"][:2])
    mark = next((_words(entry) for entry in read if entry.kind == "mark"), "")
    fill = run.inputs.get("fill")
    name = str(fill.get("name", "")) if isinstance(fill, dict) else ""
    return ", ".join(part for part in (mark, name) if part)


def _entry_here(reader: Reader, entry_id: str) -> Entry | None:
    """Return an entry, or None where only the house that computed has it."""
    try:
        return reader.entry(entry_id)
    except NotFoundError:
        return None


def kept_run_about(
    reader: Reader, dossier_id: str, computation: str, about: str
) -> tuple[Entry, Run, str] | None:
    """Return the kept run of a computation about one thing and why it is stale, or None."""
    wanted = run_subject(dossier_id, computation, about)
    # A run's payload is long: only the one that is asked for is read.
    for entry in reader.current(dossier_id, "run"):
        if entry.subject_id == wanted and entry.payload is not None:
            run = record_in(entry)
            return entry, run, stale_because(reader, run)
    return None


def stale_because(reader: Reader, run: Run) -> str:
    """Return why a run no longer matches its sources, in one sentence, or "" while it does."""
    is_whole = True
    for entry_id in run.read_entry_ids:
        try:
            read = reader.entry(entry_id)
        except NotFoundError:
            # A package travels without the journal of the house's own values; the run has them.
            is_whole = False
            continue
        newest = reader.latest(read.kind, read.subject_id)
        if newest is not None and newest.id != entry_id:
            verb = "was struck" if newest.kind == "struck" else "changed"
            return f"stale, because {_words(read)} {verb} on {newest.at[:10]}"
    here = set(table_names())
    changed = [
        name
        for name, version in run.table_versions.items()
        if name in here and table(name).version != version
    ]
    if changed:
        return f"stale, because the table “{changed[0]}” is a newer one now"
    if run.software_version != __version__:
        return f"stale, because it was computed by Softmend {run.software_version}"
    return "" if is_whole else NOT_HERE


_SPOKEN = {
    "coating_model": "what is said of the coating",
    "join_model": "what is said of the join",
    "measured_opening": "the measured opening",
    "crack_model": "what is said of the crack",
    "own_value": "a value of this bench's own",
    "own_system": "a fill system of this bench's own",
}


def _words(entry: Entry) -> str:
    kind = entry.kind.replace("_", " ")
    number = getattr(record_in(entry), "number", None) if entry.payload is not None else None
    if number is not None:
        return f"{kind} {number}"
    return _SPOKEN.get(entry.kind, f"the {kind}")
