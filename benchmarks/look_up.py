"""Which of 10 000 objects carry it: python benchmarks/look_up.py [PostgreSQL URL].

Against reading every batch and log entry of every dossier, in the same run.
Budget (issue: reverse look-up): one page of answers under 100 ms of server time.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

from softmend.records.action import Action
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.dossier import Dossier
from softmend.records.entry import Entry, Head, empty_head, next_entry
from softmend.records.kinds import kind_of
from softmend.records.material import Moved
from softmend.records.payload import payload_text
from softmend.records.projection import carried_texts, is_found, search_text
from softmend.services.bench import Bench
from softmend.services.look_up import objects_carrying
from softmend.services.recording import current_records
from softmend.storage.store import SqlStore, open_store

DOSSIERS = 10_000
BUDGET_MS = 100.0
REPEATS = 15
SEARCHES = ("resin", "lot 7041", "solvent cleaning", "wax maker b", "nothing like it")
MATERIALS = ("acrylic resin", "animal glue", "microcrystalline wax", "tissue", "paper pulp")
ACTIONS = ("bonding", "filling", "solvent_cleaning", "consolidation", "toning")


def a_dossier(number: int, chance: random.Random) -> list[Entry]:
    """Return the entries of an invented dossier with a batch and three log entries, chained."""
    dossier_id = f"dossier-{number:06d}"
    material = chance.choice(MATERIALS)
    lot = Ingredient(material, 10.0, f"maker {chance.choice('abcdef')}", f"lot {number}")
    batch = Batch(1, BatchKind.ADHESIVE, material, "2026-03-01", (lot,))
    moved = (Moved(material, batch_id=f"{dossier_id}-1", mass_g=1.5),)
    records: list[object] = [
        Dossier("an object", f"INV 2026.{number}", "an invented museum", "an invented reason"),
        batch,
    ]
    records += [
        Action(each, chance.choice(ACTIONS), "2026-03-02", moved=moved) for each in (1, 2, 3)
    ]
    head, entries = empty_head(dossier_id), []
    for place, record in enumerate(records):
        at = f"2026-03-{1 + number % 28:02d}T09:00:00.{number % 1000:03d}Z[UTC]"
        subject_id = f"{dossier_id}-{place}" if place else dossier_id
        draft = Entry(f"{dossier_id}-e{place}", dossier_id, 0, kind_of(record), subject_id,
                      payload_text(record), 1, "", None, "person", "benchmark", at, "")  # fmt: skip
        entries.append(next_entry(head, draft))
        head = Head(dossier_id, entries[-1].number, entries[-1].hash)
    return entries


def filled(store: SqlStore) -> None:
    """Fill a store with invented dossiers in one transaction."""
    chance = random.Random(1)  # noqa: S311
    with store.writing() as writer:
        for number in range(DOSSIERS):
            writer.keep_chain(a_dossier(number, chance))
        writer.commit()


def every_record(store: SqlStore, search: str, share: int) -> int:
    """Return how many match by reading the records of every `share`-th dossier."""
    found = 0
    with store.reading() as reader:
        for dossier_id in reader.dossier_ids()[::share]:
            held = [
                record
                for kind in ("batch", "action")
                for _, record in current_records(reader, dossier_id, kind)
            ]
            found += any(is_found(search_text(carried_texts(one)), search) for one in held)
    return found


def milliseconds(store: SqlStore, search: str) -> float:
    """Return the median time of one page of answers."""
    bench, times = Bench(store, zone="UTC"), []
    for _ in range(REPEATS):
        began = time.perf_counter()
        objects_carrying(bench, search)
        times.append(1000 * (time.perf_counter() - began))
    return statistics.median(times)


def main() -> int:
    """Print one line of JSON a search and return 1 when the budget is missed."""
    share, worst = 100, 0.0
    with tempfile.TemporaryDirectory() as folder:
        url = (
            sys.argv[1] if len(sys.argv) > 1 else f"sqlite:///{Path(folder, 's.sqlite').as_posix()}"
        )
        store = open_store(url, Path(folder))
        filled(store)
        for search in SEARCHES:
            ours = milliseconds(store, search)
            began = time.perf_counter()
            every_record(store, search, share)
            plain = 1000 * share * (time.perf_counter() - began)
            worst = max(worst, ours)
            line = {"search": search, "ms": round(ours, 1), "ratio": round(plain / ours, 1)}
            sys.stdout.write(json.dumps(line) + "\n")
        store.close()
    sys.stdout.write(json.dumps({"worst_ms": round(worst, 1), "budget_ms": BUDGET_MS}) + "\n")
    return int(worst > BUDGET_MS)


if __name__ == "__main__":
    sys.exit(main())
