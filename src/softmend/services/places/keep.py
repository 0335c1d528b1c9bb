"""Computations about an object's place kept with all they read; they stay in the house."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend import __version__
from softmend.records.entry import Entry
from softmend.records.place import PlaceRun
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record
from softmend.services.runs import stale_because
from softmend.services.store import Reader
from softmend.tables import table

READS: dict[str, tuple[str, ...]] = {
    "climate.response": (),
    "showcase.simulate": (),
    "coating.worth": ("coating_films", "finish_exclusion"),
    "light.budget": ("light_rules", "light_fades", "light_sensitivities"),
}


def keep_place_run(
    bench: Bench,
    author: Author,
    dossier_id: str,
    *,
    computation: str,
    about: str,
    inputs: dict[str, Any],
    outputs: dict[str, Any],
    read_entry_ids: tuple[str, ...],
) -> Entry:
    """Keep one answer about an object's place; it stands until a newer one of its name is kept.

    Readings are not kept again: `inputs` names the files by their hash.
    """
    subject_id = _subject(dossier_id, about)
    with bench.store.writing() as writer:
        standing = writer.latest("place_run", subject_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=PlaceRun(
                computation=computation,
                inputs=inputs,
                outputs=outputs,
                software_version=__version__,
                table_versions={name: table(name).version for name in READS.get(computation, ())},
                seed=0,
                read_entry_ids=tuple(one for one in read_entry_ids if one),
            ),
            based_on=standing.id if standing else "",
        )
        writer.commit()
    return entry


def kept_place_run(
    reader: Reader, dossier_id: str, about: str
) -> tuple[Entry, PlaceRun, str] | None:
    """Return a kept answer and why it is stale, or None."""
    from softmend.records.kinds import record_in

    entry = reader.latest("place_run", _subject(dossier_id, about))
    if entry is None or entry.kind != "place_run" or entry.payload is None:
        return None
    run: PlaceRun = record_in(entry)
    return entry, run, stale_because(reader, run)


def _subject(dossier_id: str, about: str) -> str:
    return f"{dossier_id}:place:{about}"
