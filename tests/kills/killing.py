"""Kill a child at a random moment of its work and look at what it left."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import multiprocessing
import random
import shutil
import time
from pathlib import Path
from typing import TYPE_CHECKING

from softmend.records.view import Paper
from softmend.services.backup import back_up, backup_findings
from softmend.services.bench import Bench
from softmend.services.keeping import verify
from softmend.storage.migrate import backup_path
from softmend.storage.store import SqlStore, open_store
from tests.kills.victim import LATER, work
from tests.storage.making import a_mark, an_entry, an_opening, append

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

# How long after the last promise waited for the kill may fall [s]: about one turn of the work.
SPAN_S = {"save": 0.12, "import": 0.12, "withdraw": 0.12, "backup": 0.25, "migration": 0.35}
ORDER = tuple(SPAN_S)
LIMIT_S = 120

_children = multiprocessing.get_context("forkserver")
_children.set_forkserver_preload(["tests.kills.victim"])


def place(folder: Path) -> str:
    """Return the address of a SQLite file in a folder."""
    return f"sqlite:///{(folder / 'softmend.sqlite').as_posix()}"


def prepare(what: str, folder: Path, url: str) -> None:
    """Make what the child works on: a dossier, and files to back up."""
    store = open_store(url, folder)
    append(store, an_opening("d1"))
    chance = random.Random(1)
    for number in range(1, 40):
        entry = an_entry("d1", f"first-{number}", a_mark(number, note="note " * 500))
        append(store, entry)
        if what == "backup":
            sha256 = store.files.put(io.BytesIO(chance.randbytes(100_000)))
            append(store, an_entry("d1", f"p{number}", Paper(number, "a", sha256, 1, "a paper")))
    store.close()


def killed(what: str, url: str, folder: Path, seed: int) -> dict[str, list[str]]:
    """Start the work, kill -9 at a random moment, and return what the child had been promised."""
    hear, tell = _children.Pipe(duplex=False)
    child = _children.Process(target=work, args=(what, url, folder, seed, tell))
    child.start()
    tell.close()
    chance = random.Random(seed)
    assert _next(hear) == ("ready", "")
    promises = chance.randrange(2 if what == "migration" else 4)
    heard = [_next(hear) for _ in range(promises)]
    time.sleep(chance.uniform(0, SPAN_S[what]))
    child.kill()
    child.join()
    told: dict[str, list[str]] = {}
    for word, value in heard + _rest(hear):
        told.setdefault(word, []).append(value)
    hear.close()
    return told


def _next(hear: Connection) -> tuple[str, str]:
    assert hear.poll(LIMIT_S)
    word, value = hear.recv()
    return word, value


def _rest(hear: Connection) -> list[tuple[str, str]]:
    heard = []
    while True:
        try:
            heard.append(hear.recv())
        except (EOFError, OSError):
            return heard


def kill_and_check(what: str, folder: Path, url: str, seed: int) -> int:
    """Kill once, check that nothing promised is lost, and return how much had been promised."""
    if what == "migration":
        return _kill_a_migration(folder, seed)
    told = killed(what, url, folder, seed)
    store = open_store(url, folder)
    try:
        _check(store, folder, told)
    finally:
        store.close()
    return sum(map(len, told.values()))


def _check(store: SqlStore, folder: Path, told: dict[str, list[str]]) -> None:
    with store.reading() as reader:
        entries = {entry.id for entry in reader.entries("d1")}
    assert entries.issuperset(told.get("entry", ()))
    for sha256 in told.get("file", ()):
        assert store.files.has(sha256)
    damage = [each for each in verify(store).findings if each.is_damage]
    # A kill between a file's tombstone and its end is said, and mended by withdrawing again.
    assert all("was withdrawn and is still here" in each.what for each in damage), damage
    for finding in damage:
        store.files.erase(finding.what.split()[2])
    with store.reading() as reader:
        named = reader.file_names("d1")
    store.files.sweep(named, time.time() + 60)
    assert list((folder / "files").glob(".arriving-*")) == []
    assert list((folder / "working").iterdir()) == []
    for name in told.get("erased", ()):
        assert _holding(folder, name.encode()) == []
    _check_backups(store, folder.with_name("backups"))


def _check_backups(store: SqlStore, backups: Path) -> None:
    if not backups.is_dir():
        return
    for folder in backups.iterdir():
        if folder.suffix == ".incomplete":
            back_up(Bench(store), folder.with_suffix(""))
            assert not folder.exists()
    for folder in backups.iterdir():
        assert backup_findings(folder) == []
    shutil.rmtree(backups)


def _kill_a_migration(folder: Path, seed: int) -> int:
    """Migrate a fresh copy, kill, and see that the old or the new file stands whole."""
    here = folder / "migrating"
    shutil.rmtree(here, ignore_errors=True)
    here.mkdir()
    url = place(here)
    shutil.copy(folder / "softmend.sqlite", here / "softmend.sqlite")
    before = _entry_ids(folder)
    told = killed("migration", url, here, seed)
    kept = backup_path(here / "softmend.sqlite", LATER.revision)
    if kept.exists():
        (here / "kept").mkdir()
        shutil.copy(kept, here / "kept" / "softmend.sqlite")
        assert _entry_ids(here / "kept") == before
    store = open_store(url, here, LATER)
    assert verify(store).findings == ()
    with store.reading() as reader:
        assert [entry.id for entry in reader.entries("d1")] == before
    store.close()
    assert not (here / "softmend.sqlite.migrating").exists()
    return len(told)


def _entry_ids(folder: Path) -> list[str]:
    store = open_store(place(folder), folder)
    assert verify(store).findings == ()
    with store.reading() as reader:
        ids = [entry.id for entry in reader.entries("d1")]
    store.close()
    return ids


def _holding(folder: Path, word: bytes) -> list[str]:
    files = [path for path in folder.rglob("*") if path.is_file()]
    return [path.name for path in files if word in path.read_bytes()]
