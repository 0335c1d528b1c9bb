"""Backups: every dossier as plain text lines and every file, in a folder that proves itself.

The work is done in FOLDER.incomplete; only a whole backup ever bears the name FOLDER. The
journal is text on every database, so a backup of one can be restored into the other, and can
be read with nothing but an editor.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from softmend.errors import ConflictError, InputError, NoSpaceError, StorageError
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry, Finding, chain_findings
from softmend.records.payload import from_plain
from softmend.records.rows import Draft, Person
from softmend.services.bench import Bench
from softmend.services.keeping import Verification, verify
from softmend.services.store import Reader, Store

MANIFEST = "manifest.json"
FORMAT = "softmend backup 1"
_DRAFTS, _PEOPLE = "drafts.jsonl", "people.jsonl"


@dataclass(frozen=True)
class Backup:
    """A backup made: where, how much, and which files could not be kept whole."""

    folder: Path
    dossier_count: int
    file_count: int
    manifest_sha256: str
    findings: tuple[Finding, ...]


def back_up(bench: Bench, folder: Path) -> Backup:
    """Copy everything recorded to a new folder; begun before and cut off, it goes on there."""
    if folder.exists():
        raise ConflictError("This folder is there already", remedy="Name a new folder")
    working = folder.with_name(f"{folder.name}.incomplete")
    with _backup_disk_full_said():
        (working / "journal").mkdir(parents=True, exist_ok=True)
        with bench.store.reading() as reader:
            texts = _written_texts(reader, working)
            named = {
                sha256: what
                for dossier_id in reader.dossier_ids()
                for sha256, what in reader.file_names(dossier_id).items()
            }
            dossiers = [asdict(reader.head(each)) for each in reader.dossier_ids()]
        files, findings = _copied_files(bench.store, working, named)
        _remove_all_but(working, {*texts, *(f"files/{each[:2]}/{each}" for each in files)})
        manifest = canonical_json(
            {
                "format": FORMAT,
                "made_at": bench.at(),
                "dossiers": dossiers,
                "texts": texts,
                "files": files,
            }
        )
        manifest_sha256 = _write_text(working / MANIFEST, [manifest])
        working.rename(folder)
        _sync_folder(folder.parent)
    return Backup(folder, len(dossiers), len(files), manifest_sha256, tuple(findings))


def backup_findings(folder: Path) -> list[Finding]:
    """Return what is wrong in a backup: every text, journal line and file is looked at."""
    manifest = _manifest(folder)
    found = []
    for name, sha256 in sorted(manifest["texts"].items()):
        path = folder / name
        if not path.is_file():
            found.append(Finding("is missing", name, True))
            continue
        lines = list(_journal_findings(folder, name)) if name.startswith("journal/") else []
        found += lines
        if _sha256(path) != sha256 and not lines:
            found.append(Finding("was changed after the backup", name, True))
    for sha256 in manifest["files"]:
        name = f"files/{sha256[:2]}/{sha256}"
        if not (folder / name).is_file():
            found.append(Finding("is missing", name, True))
        elif _sha256(folder / name) != sha256:
            found.append(Finding("was changed after the backup", name, True))
    return found


def restore(store: Store, folder: Path) -> Verification:
    """Bring a whole backup into an empty store; it is verified before and afterwards."""
    with store.reading() as reader:
        if reader.dossier_ids() or reader.people():
            raise ConflictError(
                "There are dossiers or people here already; nothing was restored",
                remedy="Restore into an empty folder",
            )
    damaged = [f"{each.where} {each.what}" for each in backup_findings(folder)]
    if damaged:
        raise StorageError(
            "The backup is damaged; nothing was restored",
            value="; ".join(damaged),
            remedy="Use another backup",
        )
    manifest = _manifest(folder)
    for sha256 in manifest["files"]:
        with (folder / "files" / sha256[:2] / sha256).open("rb") as stream:
            store.files.put(stream)
    with store.writing() as writer:
        for head in manifest["dossiers"]:
            writer.keep_chain(list(_journal(folder, _journal_name(head["dossier_id"]))))
        for said in _lines(folder / _DRAFTS):
            writer.save_draft(from_plain(Draft, said))
        for said in _lines(folder / _PEOPLE):
            writer.add_person(from_plain(Person, said))
        writer.commit()
    return verify(store)


def _written_texts(reader: Reader, working: Path) -> dict[str, str]:
    dossier_ids, texts = reader.dossier_ids(), {}
    for dossier_id in dossier_ids:
        name = _journal_name(dossier_id)
        entries = (canonical_json(asdict(entry)) for entry in reader.entries(dossier_id))
        texts[name] = _write_text(working / name, entries)
    drafts = (canonical_json(asdict(each)) for one in dossier_ids for each in reader.drafts(one))
    texts[_DRAFTS] = _write_text(working / _DRAFTS, drafts)
    people = (canonical_json(asdict(person)) for person in reader.people())
    texts[_PEOPLE] = _write_text(working / _PEOPLE, people)
    return texts


def _copied_files(
    store: Store, working: Path, named: dict[str, str]
) -> tuple[list[str], list[Finding]]:
    copied, findings = [], []
    for sha256, what in sorted(named.items()):
        if not store.files.has(sha256):
            # Verify tells whether it was withdrawn or lost; a backup goes on without it.
            findings.append(Finding("is not here and was not copied", f"{what} ({sha256})", False))
        elif store.files.copy_into(sha256, working / "files") == sha256:
            copied.append(sha256)
        else:
            findings.append(Finding("was changed and was not copied", f"{what} ({sha256})", True))
    return copied, findings


def _remove_all_but(working: Path, wanted: set[str]) -> None:
    # An earlier attempt may have left what has been withdrawn or struck out since.
    for path in [each for each in working.rglob("*") if each.is_file()]:
        if path.relative_to(working).as_posix() not in wanted:
            path.unlink()


def _manifest(folder: Path) -> dict[str, Any]:
    path = folder / MANIFEST
    if not path.is_file():
        raise InputError(
            "This is not a whole backup",
            value=folder,
            allowed=f"a folder with a {MANIFEST}",
            remedy="A backup that was cut off goes on when it is made again to the same folder",
        )
    try:
        manifest = json.loads(path.read_text(encoding="utf-8"))
        is_known = manifest["format"] == FORMAT
    except (ValueError, KeyError, TypeError) as unread:
        raise StorageError("The backup's manifest cannot be read", value=path) from unread
    if not is_known:
        raise InputError("This backup was made by another version", value=manifest["format"])
    return dict(manifest)


def _journal_name(dossier_id: str) -> str:
    return f"journal/{dossier_id}.jsonl"


def _journal(folder: Path, name: str) -> Iterator[Entry]:
    for said in _lines(folder / name):
        yield from_plain(Entry, said)


def _journal_findings(folder: Path, name: str) -> Iterator[Finding]:
    try:
        entries = list(_journal(folder, name))
    except (ValueError, InputError) as unread:
        yield Finding(f"cannot be read: {unread}", name, True)
        return
    withdrawn = frozenset(
        str(json.loads(each.payload or "{}").get("withdrawn_id"))
        for each in entries
        if each.kind == "withdrawal"
    )
    for found in chain_findings(entries[0].dossier_id if entries else "", entries, withdrawn):
        if found.is_damage:
            yield Finding(found.what, f"{name}, {found.where}", True)


def _lines(path: Path) -> Iterator[Any]:
    with path.open(encoding="utf-8", newline="\n") as lines:
        for number, line in enumerate(lines, start=1):
            try:
                yield json.loads(line)
            except ValueError as unread:
                raise InputError(f"line {number} is not JSON") from unread


def _write_text(path: Path, lines: Iterable[str]) -> str:
    digest = hashlib.sha256()
    arriving = path.with_name(f"{path.name}.arriving")
    with arriving.open("wb") as target:
        for line in lines:
            text = f"{line}\n".encode()
            digest.update(text)
            target.write(text)
        target.flush()
        os.fsync(target.fileno())
    arriving.replace(path)
    _sync_folder(path.parent)
    return digest.hexdigest()


def _sha256(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _backup_disk_full_said() -> Iterator[None]:
    sentence = "The backup's disk is full; the backup is not complete and its name says so"
    remedy = "Free some space and make it again: it goes on where it stopped"
    try:
        yield
    except NoSpaceError as full:
        raise NoSpaceError(sentence, remedy=remedy) from full
    except OSError as failed:
        if failed.errno not in {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}:
            raise
        raise NoSpaceError(sentence, remedy=remedy) from failed
