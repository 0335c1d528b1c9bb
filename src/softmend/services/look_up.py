"""Which objects carry it: batches and log entries looked up across dossiers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from softmend.records.action import Action
from softmend.records.batch import Batch
from softmend.records.material import MaterialTotal, Moved, material_totals
from softmend.records.projection import carried_search, carried_texts, is_found, search_text
from softmend.records.rows import DossierRow
from softmend.services.bench import Bench
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.day_log import action_words

AT_MOST = 10


@dataclass(frozen=True)
class Carried:
    """What one object carries of what was looked for: its batches, its entries, its totals.

    `is_made_only` says that a batch was made here and no log entry put it on.
    """

    row: DossierRow
    batches: tuple[tuple[str, Batch], ...]
    actions: tuple[Action, ...]
    totals: tuple[MaterialTotal, ...]

    @property
    def is_made_only(self) -> bool:
        """Say whether nothing of it was put on this object."""
        return bool(self.batches) and not self.actions


@dataclass(frozen=True)
class Found:
    """One page of objects, and where the next page begins (0 when this is the last)."""

    objects: tuple[Carried, ...]
    next_offset: int


def objects_carrying(bench: Bench, search: str, offset: int = 0, limit: int = AT_MOST) -> Found:
    """Return the objects whose batches or log entries hold every searched word.

    Words are looked for in material, maker, lot, batch number, tool and method. A log entry
    that used a batch that was found counts as found.
    """
    words = carried_search(search)
    if not words:
        return Found((), 0)
    with bench.store.reading() as reader:
        rows = reader.dossiers(words, limit + 1, offset)
        objects = tuple(_objects(reader, rows[:limit], search))
    return Found(objects, offset + limit if len(rows) > limit else 0)


def _objects(reader: Reader, rows: list[DossierRow], search: str) -> Iterator[Carried]:
    for row in rows:
        batches = {
            entry.subject_id: batch
            for entry, batch in current_records(reader, row.dossier_id, "batch")
            if is_found(search_text(carried_texts(batch)), search)
        }
        actions = [
            action
            for _, action in current_records(reader, row.dossier_id, "action")
            if _is_about(action, batches, search)
        ]
        # The words may stand in the dossier without standing in one batch or one entry.
        if batches or actions:
            moved = [one for action in actions for one in _moved(action, batches, search)]
            yield Carried(row, tuple(batches.items()), tuple(actions), material_totals(moved))


def _is_about(action: Action, batches: dict[str, Batch], search: str) -> bool:
    texts = (*carried_texts(action), action_words(action.action))
    uses_it = any(moved.batch_id in batches for moved in action.moved if moved.batch_id)
    return uses_it or is_found(search_text(texts), search)


def _moved(action: Action, batches: dict[str, Batch], search: str) -> list[Moved]:
    meant = [
        one
        for one in action.moved
        if one.batch_id in batches or is_found(search_text([one.material]), search)
    ]
    # A method was looked for: everything that it moved is meant.
    return meant or list(action.moved)
