"""What a child process does until it is killed; it says what it was promised is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import os
import random
from pathlib import Path
from typing import TYPE_CHECKING
from unittest import mock

# Loaded before the child is born, so that the kill falls into the work and not into imports.
import alembic.command
import alembic.config  # noqa: F401

from softmend.records.view import Paper
from softmend.services.backup import back_up
from softmend.services.bench import Author, Bench
from softmend.services.drafts import save_draft
from softmend.services.keeping import withdraw_entry, withdraw_file
from softmend.services.recording import append_record
from softmend.storage.schema import MIGRATIONS, Schema
from softmend.storage.store import SqlStore, open_store
from tests.storage.making import a_mark

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from softmend.services.store import Writer

AUTHOR = Author("person-1", "condition check")
SECRET = "Quintessa Vandermolen"
LATER = Schema(
    "0002",
    (MIGRATIONS / "versions", Path(__file__).parents[1] / "storage" / "later_steps"),
)


def record(bench: Bench, writer: Writer, what: object) -> str:
    """Append a record on a new subject."""
    return append_record(
        bench,
        writer,
        AUTHOR,
        dossier_id="d1",
        subject_id=bench.fresh_id(),
        record=what,
        based_on="",
    ).id


def save_marks(store: SqlStore, tell: Connection, chance: random.Random) -> None:
    """Save drafts and record marks, one transaction each."""
    bench = Bench(store)
    while True:
        save_draft(bench, "person-1", dossier_id="d1", kind="mark", subject_id="open",
                   content={"points": chance.random()}, based_on="")  # fmt: skip
        with store.writing() as writer:
            number = writer.next_number("d1", "mark")
            kept = record(bench, writer, a_mark(number, note="x" * chance.randrange(9000)))
            writer.commit()
        tell.send(("entry", kept))


def bring_in_files(store: SqlStore, tell: Connection, chance: random.Random) -> None:
    """Put a file through the working folder, then record it."""
    bench = Bench(store)
    while True:
        content = chance.randbytes(chance.randrange(400_000))
        with store.files.working_folder() as folder:
            (folder / "canonical").write_bytes(content[::-1])
            derived = store.files.put_path(folder / "canonical")
        sha256 = store.files.put(io.BytesIO(content))
        with store.writing() as writer:
            number = writer.next_number("d1", "paper")
            kept = record(bench, writer, Paper(number, "a.bin", sha256, len(content), "a letter"))
            record(bench, writer, Paper(number + 1, "b.bin", derived, len(content), "a copy"))
            writer.commit()
        tell.send(("entry", kept))
        tell.send(("file", sha256))


def withdraw(store: SqlStore, tell: Connection, chance: random.Random) -> None:
    """Record a letter with a name in it and take both back."""
    bench = Bench(store)
    while True:
        name = f"{SECRET} {chance.random()}"
        sha256 = store.files.put(io.BytesIO(name.encode()))
        with store.writing() as writer:
            number = writer.next_number("d1", "paper")
            letter = Paper(number, "a.txt", sha256, 1, "a letter", quoted_reported=name * 200)
            kept = record(bench, writer, letter)
            writer.commit()
        withdraw_file(bench, AUTHOR, sha256=sha256, decided_by="B. Owner", because="no")
        withdraw_entry(bench, AUTHOR, dossier_id="d1", entry_id=kept, decided_by="B. Owner",
                       because="no")  # fmt: skip
        tell.send(("erased", name))


def back_up_often(store: SqlStore, tell: Connection, chance: random.Random) -> None:
    """Make one backup after another, with hard links or, as on another disk, by copying."""
    if chance.random() < 0.5:
        mock.patch.object(os, "link", side_effect=OSError("no hard links here")).start()
    folder = store.files.path(next(store.files.all())).parents[2].with_name("backups")
    for number in range(1000):
        back_up(Bench(store), folder / f"{chance.random()}")
        tell.send(("backup", number))


WORK = {
    "save": save_marks,
    "import": bring_in_files,
    "withdraw": withdraw,
    "backup": back_up_often,
}


def work(what: str, url: str, folder: Path, seed: int, tell: Connection) -> None:
    """Say "ready", then do the work for ever (or once, for a migration)."""
    if what == "migration":
        tell.send(("ready", ""))
        open_store(url, folder, LATER).close()
        tell.send(("migrated", ""))
        return
    store = open_store(url, folder)
    tell.send(("ready", ""))
    WORK[what](store, tell, random.Random(seed))
