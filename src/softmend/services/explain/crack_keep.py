"""What is said of a crack is recorded; what is computed of it is kept, with all that it read."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend.errors import InputError, MissingEvidenceError
from softmend.records.bookkeeping import Run
from softmend.records.crack_model import CrackModel, checked_model
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome
from softmend.services.explain.binding import Bound
from softmend.services.explain.binding_fill import System, fill_system, system_names
from softmend.services.explain.crack import (
    COMPARING,
    GIVING,
    SHARING,
    SIDE_BY_SIDE,
    WHOLE,
    FillOn,
    Role,
    asked_of,
    crack_numbered,
    fill_named,
    fills_on,
    side_by_side,
)
from softmend.services.recording import current_record, record_one
from softmend.services.runs import record_run, run_subject, stale_because
from softmend.services.store import Reader

TABLES = ("materials", "fill_systems", "fill_laying")


@dataclass(frozen=True)
class Kept:
    """A run that was kept of a crack, and why it is stale ("" while it is current)."""

    entry: Entry
    run: Run
    stale_because: str


@dataclass(frozen=True)
class _ToKeep:
    """One run to keep: its computation, what it is about, what went in, came out, was read."""

    computation: str
    about: str
    inputs: dict[str, Any]
    outputs: Outcome
    read: tuple[str, ...]


def say_of_crack(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    model: CrackModel,
    based_on: str,
) -> Entry:
    """Record what is said of a crack beside what is marked."""
    checked = checked_model(model)
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "mark", mark_id)
        known = system_names(reader)
    for name in (checked.old_fill, checked.new_fill):
        if name not in (NOT_KNOWN, *known):
            raise InputError(
                "There is no fill system of that name", value=name, allowed=", ".join(known)
            )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=mark_id,
        record=checked,
        based_on=based_on,
    )


def keep_crack(bench: Bench, author: Author, dossier_id: str, number: int) -> list[Entry]:
    """Keep who gives first for each fill and the comparison, as whole runs with all they read."""
    with bench.store.reading() as reader:
        bound = crack_numbered(reader, dossier_id, number)
        if bound.missing:
            raise MissingEvidenceError(
                f"Mark {number} cannot be computed yet",
                value=" ".join(one.sentence for one in bound.missing),
                remedy="Say what is missing, however wide",
            )
        to_keep = [
            one
            for fill in fills_on(reader, dossier_id, bound, draws_log2=WHOLE)
            for one in _of_fill(reader, dossier_id, bound, fill)
        ]
        to_keep += _of_comparison(reader, bound)
    return [
        record_run(
            bench,
            author,
            dossier_id,
            computation=one.computation,
            inputs=one.inputs,
            outputs=one.outputs,
            read_entry_ids=tuple(dict.fromkeys(one.read)),
            about=one.about,
            tables=TABLES,
        )
        for one in to_keep
    ]


def kept_of(reader: Reader, dossier_id: str, mark_id: str) -> dict[tuple[str, str], Kept]:
    """Return the runs kept of a crack by computation and role ("" for the comparison)."""
    wanted = {
        (name, role.value): run_subject(dossier_id, name, _about(mark_id, role))
        for name in (GIVING, SHARING)
        for role in Role
    }
    wanted[COMPARING, ""] = run_subject(dossier_id, COMPARING, mark_id)
    found = {}
    for key, subject_id in wanted.items():
        entry = reader.latest("run", subject_id)
        if entry is not None and entry.kind == "run" and entry.payload is not None:
            run: Run = record_in(entry)
            found[key] = Kept(entry, run, stale_because(reader, run))
    return found


def _about(mark_id: str, role: Role) -> str:
    return f"{mark_id}:{role.value}"


def _of_fill(reader: Reader, dossier_id: str, bound: Bound, fill: FillOn) -> Iterable[_ToKeep]:
    if fill.system is None or fill.giving is None or fill.sharing is None:
        return
    named = fill_named(reader, dossier_id, bound, fill.role)
    read = bound.read_entry_ids + fill.system.read_entry_ids
    read += named.read_entry_ids if named else ()
    about = _about(bound.mark_id, fill.role)
    yield _ToKeep(GIVING, about, asked_of(bound, fill.system, None, WHOLE), fill.giving, read)
    yield _ToKeep(SHARING, about, asked_of(bound, fill.system, None, WHOLE), fill.sharing, read)


def _of_comparison(reader: Reader, bound: Bound) -> Iterable[_ToKeep]:
    known = [fill_system(reader, name) for name in system_names(reader)]
    systems: list[System] = [one for one in known if one is not None]
    answer = side_by_side(reader, bound, [one.name for one in systems])
    if answer is None:
        return
    fills = [one.payload for one in systems]
    asked = {**bound.payload, "fills": fills, "draws_log2": SIDE_BY_SIDE}
    read = bound.read_entry_ids + tuple(one for each in systems for one in each.read_entry_ids)
    yield _ToKeep(COMPARING, bound.mark_id, asked, answer, read)
