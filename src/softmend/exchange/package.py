"""A deposit package: what lies where in it, and the journal in its own lines.

The package is a bag whose payload is an RO-Crate. This module knows the names; `services.deposit`
fills them and takes them back.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from softmend.errors import InputError, SoftmendError
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, record_in
from softmend.records.payload import from_plain
from softmend.records.projection import files_named
from softmend.records.rows import Person

FORMAT = "softmend package 1"
JOURNAL = "journal/journal.jsonl"
PEOPLE = "journal/people.jsonl"
REPORT = "report/condition-report.pdf"
MANIFEST = "iiif/manifest.json"
LINKED_ART = "linked-art/object.json"
CRATE = "ro-crate-metadata.json"
READ_ME = "README.txt"

_UUID = re.compile(r"[0-9a-f]{8}-([0-9a-f]{4}-){3}[0-9a-f]{12}")
_KNOWN = re.compile(
    "|".join(
        (
            *map(re.escape, (JOURNAL, PEOPLE, REPORT, MANIFEST, LINKED_ART, CRATE, READ_ME)),
            r"files/[0-9a-f]{64}",
            r"pictures/view-\d{3,}\.jpg",
            r"annotations/view-\d{3,}\.json",
            r"tables/[a-z_]+\.csv",
        )
    )
)

_READ_ME = """This is the dossier of one object, packed by Softmend.

It is a BagIt bag (RFC 8493): the manifests beside the folder "data" hold the SHA-256 and SHA-512
of every file, so that anybody can see whether something was changed or lost on the way.

report/         the condition report, to be read first
journal/        everything recorded, one entry a line, each chained to the one before it by its
                hash; and the people who wrote it
files/          the files that the journal names, each under its own SHA-256
pictures/       the photographs, smaller, for the eye
annotations/    the marks on each photograph, as W3C Web Annotations in pixels of the file that
                they name by its SHA-256
iiif/           the photographs with their marks for a viewer: put the address where the folder
                "data" is published in place of https://softmend.invalid/.../ in the manifest
linked-art/     the object, its condition and treatment for catalogues (Linked Art, CIDOC CRM)
tables/         the records that stand now as CSV, one table a kind, and what the marks measure
ro-crate-metadata.json   what every part is (RO-Crate 1.2)
"""
_FOR_CUSTODIAN = """This package was made for: {}
It is complete: place, mass and every entry are in it. Keep it as you keep the object.
"""
_FOR_PUBLIC = """This package may be shared. Withheld in it are persons, place, mass, values, dates
of movement, originals of photographs, attached papers, and what was agreed; the entries that say so
stand in the journal with their hash and without their content.
"""
_WITHHELD = "\nKinds of record that do not leave as they stand, and why:\n\n"


@dataclass(frozen=True)
class JournalLine:
    """One entry as it travels; withheld: its content stands in the house and stays there."""

    entry: Entry
    is_withheld: bool = False

    @property
    def content(self) -> str:
        """Return where the entry's content is: here, withheld in the house, or withdrawn."""
        if self.entry.payload is not None:
            return "here"
        return "withheld" if self.is_withheld else "withdrawn"


def file_path(sha256: str) -> str:
    """Return where a file lies in the package."""
    return f"files/{sha256}"


def view_name(number: int) -> str:
    """Return the name of a view's parts; it says its number and nothing else."""
    return f"view-{number:03d}"


def refuse_foreign(info: Mapping[str, str], payload: Iterable[str]) -> None:
    """Refuse a bag that is not one of ours, or that holds what no package of ours holds."""
    if info.get("Softmend-Package") != FORMAT:
        raise InputError(
            "This bag is not a Softmend package",
            value=info.get("Softmend-Package", "nothing said"),
            allowed=FORMAT,
        )
    for path in payload:
        if not _KNOWN.fullmatch(path):
            raise InputError("The package holds something of an unknown kind", value=path)


def read_me(custodian: str, withheld: Sequence[str] = ()) -> bytes:
    """Return the words that somebody reads who finds the package and has no Softmend.

    `withheld` has a line for each kind of record that does not leave as it stands.
    """
    made_for = _FOR_CUSTODIAN.format(custodian) if custodian else _FOR_PUBLIC
    listed = "".join(f"- {line}.\n" for line in withheld)
    return f"{_READ_ME}\n{made_for}{_WITHHELD if listed else ''}{listed}".encode()


def journal_text(lines: Sequence[JournalLine]) -> bytes:
    """Return the journal: one entry a line, as canonical JSON, its payload a text within."""
    return b"".join(
        f"{canonical_json({**asdict(line.entry), **_mark(line)})}\n".encode() for line in lines
    )


def _mark(line: JournalLine) -> dict[str, Any]:
    return {"withheld": True} if line.is_withheld else {}


def read_journal(lines: Iterable[bytes]) -> Iterator[JournalLine]:
    """Yield the entries of a journal; a line that no house could have written is refused."""
    for number, said in enumerate(_read_lines(lines), start=1):
        where = f"{JOURNAL}, line {number}"
        is_withheld = said.pop("withheld", False)
        try:
            entry = from_plain(Entry, said)
        except InputError as unread:
            raise InputError(f"An entry cannot be read: {unread.problem}", value=where) from unread
        _refuse_entry(entry, where)
        yield JournalLine(entry, is_withheld is True)


def _refuse_entry(entry: Entry, where: str) -> None:
    if not (_UUID.fullmatch(entry.id) and _UUID.fullmatch(entry.dossier_id)):
        raise InputError("An entry has no sound id", value=where)
    if entry.kind not in KINDS:
        raise InputError(
            "An entry is of a kind that is not known here",
            value=f"{where}: {entry.kind}",
            remedy="A newer Softmend may know it",
        )
    if entry.payload is None:
        return
    if not 1 <= entry.payload_version <= KINDS[entry.kind].version:
        raise InputError("An entry was written by a newer Softmend", value=where)
    try:
        is_canonical = canonical_json(json.loads(entry.payload)) == entry.payload
        record_in(entry)
    except (SoftmendError, RecursionError, ValueError) as unread:
        raise InputError("The content of an entry cannot be read", value=where) from unread
    if not is_canonical:
        raise InputError("The content of an entry is not canonical JSON", value=where)


def people_text(people: Iterable[Person]) -> bytes:
    """Return the people who wrote the journal, one a line; an erased name is null."""
    return b"".join(f"{canonical_json(asdict(person))}\n".encode() for person in people)


def read_people(lines: Iterable[bytes]) -> list[Person]:
    """Return the people who wrote the journal."""
    people = []
    for number, said in enumerate(_read_lines(lines), start=1):
        try:
            people.append(from_plain(Person, said))
        except InputError as unread:
            raise InputError(
                f"A person cannot be read: {unread.problem}", value=f"{PEOPLE}, line {number}"
            ) from unread
    if len({person.id for person in people}) < len(people):
        raise InputError("A person stands in the package twice", value=PEOPLE)
    return people


def _read_lines(lines: Iterable[bytes]) -> Iterator[dict[str, Any]]:
    for number, line in enumerate(lines, start=1):
        try:
            said = json.loads(line)
        except (ValueError, RecursionError) as unread:
            where = f"line {number}"
            raise InputError("A line of the package is not JSON", value=where) from unread
        if not isinstance(said, dict):
            raise InputError("A line of the package is not an entry", value=f"line {number}")
        yield said


def files_standing(journal: Iterable[Entry]) -> dict[str, str]:
    """Return the files that a journal names and has not withdrawn since, and what each is."""
    standing: dict[str, str] = {}
    for entry in journal:
        for sha256, what in files_named(entry).items():
            standing.setdefault(sha256, what)
        if entry.kind == "withdrawal" and entry.payload is not None:
            standing.pop(json.loads(entry.payload)["withdrawn_id"], None)
    return standing


def people_in(journal: Iterable[Entry]) -> set[str]:
    """Return the ids of everybody who wrote an entry or, by the day log, took part."""
    people: set[str] = set()
    for entry in journal:
        people.add(entry.author_id)
        if entry.kind == "action" and entry.payload is not None:
            people.update(json.loads(entry.payload).get("also_by_ids", ()))
    return people


def withdrawn_ids(journal: Iterable[Entry]) -> frozenset[str]:
    """Return the ids of the entries and files that a journal has withdrawn."""
    return frozenset(
        json.loads(entry.payload)["withdrawn_id"]
        for entry in journal
        if entry.kind == "withdrawal" and entry.payload is not None
    )
