"""Keeping: verify what is kept, and withdraw content when somebody has decided so."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from softmend.errors import InputError, NotFoundError, RuleError
from softmend.records.bookkeeping import Withdrawal
from softmend.records.canonical import sha256_text
from softmend.records.entry import Entry, Finding, chain_findings
from softmend.records.projection import SHA256, files_named, human_number_in, projection_of
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record
from softmend.services.store import Files, Reader, Store, Writer

_PRINTED_HEAD = re.compile(r"([1-9][0-9]{0,9}):([0-9a-f]{8,64})")
ORPHAN_AGE_S = 86_400.0
_STAYS = {
    "struck": "without it the record it took out would come back",
    "withdrawal": "without it the content it took out would look lost",
}


@dataclass(frozen=True)
class Verification:
    """What a verification looked at and what it found; sound when nothing found is damage."""

    findings: tuple[Finding, ...]
    dossier_count: int
    entry_count: int
    file_count: int

    @property
    def is_sound(self) -> bool:
        """Say whether nothing is damaged."""
        return not any(finding.is_damage for finding in self.findings)


@dataclass(frozen=True)
class PrintedHead:
    """The end of a chain as a report or a deposit prints it; the hash may be shortened."""

    count: int
    hash: str


@dataclass(frozen=True)
class Withdrawn:
    """A withdrawal done: its tombstones, and the copies elsewhere that people must delete."""

    tombstones: tuple[Entry, ...]
    to_delete: tuple[str, ...]


@dataclass
class _Seen:
    """What the dossiers so far say: files that must be here, files withdrawn, heads met."""

    files: dict[str, str] = field(default_factory=dict)
    withdrawn: dict[str, str] = field(default_factory=dict)
    heads: set[PrintedHead] = field(default_factory=set)
    entry_count: int = 0


def printed_head(text: str) -> PrintedHead:
    """Return a printed head from "NUMBER:HASH", as it stands in a report."""
    parts = _PRINTED_HEAD.fullmatch(text.strip().lower())
    if parts is None:
        raise InputError(
            "This is not a printed head",
            value=text,
            allowed="NUMBER:HASH with at least 8 characters of the hash",
        )
    return PrintedHead(int(parts[1]), parts[2])


def verify(store: Store, heads: Sequence[PrintedHead] = ()) -> Verification:
    """Walk every chain, hash every named file, compare every projection, look for printed heads."""
    seen = _Seen()
    with store.reading() as reader:
        dossier_ids = reader.dossier_ids()
    findings: list[Finding] = []
    for dossier_id in dossier_ids:
        with store.reading() as reader:
            findings += _dossier_findings(reader, dossier_id, heads, seen)
    findings += _file_findings(store.files, seen)
    findings += [_head_finding(head, head in seen.heads) for head in heads]
    return Verification(tuple(findings), len(dossier_ids), seen.entry_count, len(seen.files))


def withdraw_entry(
    bench: Bench, author: Author, *, dossier_id: str, entry_id: str, decided_by: str, because: str
) -> Withdrawn:
    """Erase an entry's content for good; hash, kind and time stay, and a tombstone says why."""
    with bench.store.writing() as writer:
        entry = writer.entry(entry_id)
        _refuse_withdrawal(writer, dossier_id, entry)
        tombstone = _tombstone(
            entry.kind,
            entry_id,
            decided_by,
            because,
            subject_id=entry.subject_id,
            number=human_number_in(entry),
        )
        kept = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=entry_id,
            record=tombstone,
            based_on="",
        )
        writer.erase_payload(entry_id)
        for draft in writer.drafts(dossier_id):
            if (draft.kind, draft.subject_id) == (entry.kind, entry.subject_id):
                writer.drop_draft(draft.author_id, draft.kind, draft.subject_id)
        name = _name(writer, dossier_id)
        writer.commit()
    to_delete = (
        f"in every backup: journal/{dossier_id}.jsonl, line {entry.number}",
        f"in every report and deposit of {name} made since {entry.at}: what {entry.kind} "
        f"entry {entry.number} said",
    )
    return Withdrawn((kept,), (*to_delete, *_older_copies(bench.store)))


def withdraw_file(
    bench: Bench, author: Author, *, sha256: str, decided_by: str, because: str
) -> Withdrawn:
    """Erase a file for good, with its canonical copy; a tombstone stands in every dossier.

    An original and its canonical copy show the same, so neither goes without the other.
    """
    kept: list[Entry] = []
    erased, to_delete = {sha256}, []
    with bench.store.writing() as writer:
        naming = [each for each in writer.dossier_ids() if sha256 in writer.file_names(each)]
        if not naming:
            raise NotFoundError("No dossier names this file", value=sha256)
        for dossier_id in naming:
            erased |= _same_picture(writer.entries(dossier_id), sha256)
        for dossier_id in writer.dossier_ids():
            names = writer.file_names(dossier_id)
            for each in sorted(erased & names.keys()):
                tombstone = _tombstone("file", each, decided_by, because)
                kept.append(_append_tombstone(bench, writer, author, dossier_id, tombstone))
                to_delete.append(f"in every deposit of {_name(writer, dossier_id)}: {names[each]}")
        writer.commit()
    # The tombstones stand first: killed here, verify says that the file is still to be erased.
    for each in filter(bench.store.files.has, erased):
        bench.store.files.erase(each)
    in_backups = [f"in every backup: files/{each[:2]}/{each}" for each in sorted(erased)]
    return Withdrawn(tuple(kept), (*in_backups, *to_delete, *_older_copies(bench.store)))


def sweep_orphans(bench: Bench) -> list[str]:
    """Erase files that no entry and no draft has named for a day; return their SHA-256."""
    named: set[str] = set()
    with bench.store.reading() as reader:
        for dossier_id in reader.dossier_ids():
            named.update(reader.file_names(dossier_id))
            for draft in reader.drafts(dossier_id):
                named.update(SHA256.findall(draft.content))
    a_day_ago = bench.clock().timestamp() - ORPHAN_AGE_S
    return bench.store.files.sweep(named, a_day_ago)


def _same_picture(entries: Iterable[Entry], sha256: str) -> set[str]:
    same: set[str] = set()
    for entry in entries:
        said = _said(entry)
        pair = {said[name] for name in ("original_sha256", "canonical_sha256") if name in said}
        if sha256 in pair:
            same |= pair
    return same


def _append_tombstone(
    bench: Bench, writer: Writer, author: Author, dossier_id: str, tombstone: Withdrawal
) -> Entry:
    # One file may be named by several dossiers, and be withdrawn anew after it was brought back.
    subject_id = f"{dossier_id}:{tombstone.withdrawn_id}"
    before = writer.latest("withdrawal", subject_id)
    return append_record(
        bench,
        writer,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id,
        record=tombstone,
        based_on=before.id if before else "",
    )


def _refuse_withdrawal(writer: Writer, dossier_id: str, entry: Entry) -> None:
    if entry.dossier_id != dossier_id:
        raise NotFoundError("There is no such entry in this dossier")
    if entry.payload is None:
        raise RuleError("The content of this entry is withdrawn already", rule=3)
    if entry.kind in _STAYS:
        raise RuleError(f"This entry cannot be withdrawn: {_STAYS[entry.kind]}", rule=3)
    if entry.kind == "dossier" and writer.latest("dossier", entry.subject_id) == entry:
        raise RuleError(
            "A dossier needs its opening",
            rule=1,
            remedy="Record the opening anew without the text, then withdraw this older entry",
        )


def _tombstone(
    kind: str,
    withdrawn_id: str,
    decided_by: str,
    because: str,
    subject_id: str = "",
    number: int = 0,
) -> Withdrawal:
    for name, value in (("person who decided", decided_by), ("reason", because)):
        if not value.strip():
            raise RuleError(f"Nothing is withdrawn without a {name}", rule=1)
    return Withdrawal(kind, withdrawn_id, decided_by, because, subject_id, number)


def _older_copies(store: Store) -> tuple[str, ...]:
    older = tuple(f"the older copy {place}" for place in store.older_copies())
    return (*older, "what a solid-state disk may still hold is out of any program's reach")


def _name(reader: Reader, dossier_id: str) -> str:
    row = reader.projection(dossier_id).row
    return f"dossier {row.number or dossier_id}"


def _dossier_findings(
    reader: Reader, dossier_id: str, heads: Sequence[PrintedHead], seen: _Seen
) -> Iterator[Finding]:
    name, entries = _name(reader, dossier_id), reader.entries(dossier_id)
    seen.entry_count += len(entries)
    withdrawals = [each for each in entries if each.kind == "withdrawal" and _is_as_recorded(each)]
    erased = frozenset(str(_said(each)["withdrawn_id"]) for each in withdrawals)
    found = list(chain_findings(dossier_id, entries, erased))
    found += [
        Finding("was withdrawn and its content is still here", f"entry {each.number}", True)
        for each in entries
        if each.id in erased and each.payload is not None
    ]
    head = reader.head(dossier_id)
    if not entries or (head.count, head.hash) != (entries[-1].number, entries[-1].hash):
        found.append(Finding(f"the journal should end with entry {head.count}", "its end", True))
    yield from (Finding(each.what, f"{name}: {each.where}", each.is_damage) for each in found)
    _note_files(filter(_is_as_recorded, entries), name, seen)
    seen.heads.update(
        head
        for head in heads
        if any(each.number == head.count and each.hash.startswith(head.hash) for each in entries)
    )
    # Entries that were tampered with cannot say what the projections should be.
    if not any(each.is_damage for each in found):
        yield from _projection_findings(reader, dossier_id, name, entries)


def _projection_findings(
    reader: Reader, dossier_id: str, name: str, entries: list[Entry]
) -> Iterator[Finding]:
    kept, made = reader.projection(dossier_id), projection_of(entries)
    for what, is_same in (
        ("the current state", kept.current == made.current),
        ("the line in the list", kept.row == made.row),
        ("the search text", kept.search_text == made.search_text),
        ("the list of files", kept.files == made.files),
    ):
        if not is_same:
            yield Finding("does not follow from the entries", f"{name}: {what}", True)


def _note_files(entries: Iterable[Entry], name: str, seen: _Seen) -> None:
    files: dict[str, str] = {}
    for entry in entries:
        # A file that is named again after its withdrawal was brought back on purpose.
        for sha256, what in files_named(entry).items():
            files.setdefault(sha256, f"{name}: {what}, entry {entry.number}")
        if entry.kind == "withdrawal" and (said := _said(entry))["withdrawn_kind"] == "file":
            files.pop(said["withdrawn_id"], None)
            seen.withdrawn[said["withdrawn_id"]] = f"{name}: withdrawn by entry {entry.number}"
    seen.files.update(
        (sha256, where) for sha256, where in files.items() if sha256 not in seen.files
    )


def _file_findings(files: Files, seen: _Seen) -> Iterator[Finding]:
    for sha256, where in seen.files.items():
        if not files.has(sha256):
            yield Finding(f"the file {sha256} is missing", where, True)
        elif _sha256(files, sha256) != sha256:
            yield Finding(f"the file {sha256} was changed", where, True)
    for sha256, where in seen.withdrawn.items():
        if sha256 in seen.files:
            continue
        if files.has(sha256):
            yield Finding(f"the file {sha256} was withdrawn and is still here", where, True)
        else:
            yield Finding(f"the file {sha256} is withdrawn", where, False)


def _head_finding(head: PrintedHead, is_met: bool) -> Finding:
    where = f"printed head {head.count}:{head.hash}"
    if is_met:
        return Finding("stands as printed", where, False)
    return Finding("no journal has it: its end was cut off or written anew", where, True)


def _sha256(files: Files, sha256: str) -> str:
    with files.path(sha256).open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _is_as_recorded(entry: Entry) -> bool:
    return entry.payload is not None and sha256_text(entry.payload) == entry.payload_hash


def _said(entry: Entry) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(entry.payload or "{}")
    return said
