"""List and search among 10 000 dossiers: python benchmarks/dossier_list.py [PostgreSQL URL].

Against loading every row and searching it in Python, in the same run.
Budget (design.md, section 8): list and search under 100 ms of server time.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from softmend.records.dossier import Dossier, Identifier, Material, ObjectHead
from softmend.records.entry import Entry, Head, empty_head, next_entry
from softmend.records.kinds import kind_of
from softmend.records.payload import payload_text
from softmend.records.projection import is_found
from softmend.services.store import Reader
from softmend.storage.store import SqlStore, open_store

DOSSIERS = 10_000
BUDGET_MS = 100.0
REPEATS = 15
SEARCHES = ("", "antl", "inv 2026.77", "limewood invented museum resin", "nothing like it")
WORDS = """
antler beam tusk figurehead limewood oak panel frame relief crozier comb casket handle polyester
resin wax plaster shellac varnish carved gilded painted invented museum cracked
"""


def a_dossier(number: int, chance: random.Random) -> list[Entry]:
    """Return the two entries of an invented dossier, chained."""
    dossier_id = f"dossier-{number:06d}"
    some = " ".join(chance.choices(WORDS.split(), k=12))
    records = (
        Dossier(some[:60], f"INV 2026.{number}", "an invented museum", "an invented reason"),
        ObjectHead(
            f"{some} {number}",
            owner="an invented owner",
            identifiers=tuple(Identifier(f"OLD {number + each}", "a house") for each in range(3)),
            materials=tuple(Material(part, part) for part in some.split()[:4]),
        ),
    )
    head, entries = empty_head(dossier_id), []
    for place, record in enumerate(records):
        at = f"2026-03-{1 + number % 28:02d}T09:00:00.{number % 1000:03d}Z[UTC]"
        draft = Entry(f"{dossier_id}-{place}", dossier_id, 0, kind_of(record), dossier_id,
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


def ours(reader: Reader, search: str) -> int:
    """Return how many match, having read one page, as the list page does."""
    reader.dossiers(search, 50, 0)
    return reader.dossier_count(search)


def every_row_in_python(reader: Reader, search: str) -> int:
    """Return how many match by loading every row."""
    rows = reader.dossiers("", DOSSIERS, 0)
    texts = (f" {row.number} {row.what} {row.title} {row.number_issued_by}".lower() for row in rows)
    return sum(is_found(text, search) for text in texts)


def median_ms(store: SqlStore, question: Callable[[Reader, str], int], search: str) -> float:
    """Return the median time of a question, its transaction included [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        with store.reading() as reader:
            question(reader, search)
        times.append(time.perf_counter() - start)
    return 1000 * statistics.median(times)


def main() -> int:
    """Print one line of JSON per search and return 1 when a budget is missed."""
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        url = sys.argv[1] if len(sys.argv) > 1 else f"sqlite:///{Path(folder).as_posix()}/b.sqlite"
        store = open_store(url, Path(folder))
        start = time.perf_counter()
        filled(store)
        said = {"dossiers": DOSSIERS, "filled_s": round(time.perf_counter() - start, 1)}
        sys.stdout.write(json.dumps(said) + "\n")
        for search in SEARCHES:
            mine = median_ms(store, ours, search)
            theirs = median_ms(store, every_row_in_python, search)
            worst = max(worst, mine)
            line = {"search": search, "ms": round(mine, 1), "ratio": round(theirs / mine, 1)}
            sys.stdout.write(json.dumps(line) + "\n")
        store.close()
    sys.stdout.write(json.dumps({"worst_ms": round(worst, 1), "budget_ms": BUDGET_MS}) + "\n")
    return int(worst > BUDGET_MS)


if __name__ == "__main__":
    sys.exit(main())
