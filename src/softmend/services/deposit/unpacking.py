"""Unpacking: what a package says, believed only after every sum and every link was looked at."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from softmend.errors import InputError, SoftmendError
from softmend.exchange.bag_reading import Bag
from softmend.exchange.package import (
    JOURNAL,
    PEOPLE,
    JournalLine,
    file_path,
    files_standing,
    people_in,
    read_journal,
    read_people,
    refuse_foreign,
    withdrawn_ids,
)
from softmend.records.entry import Entry, Finding, Head, chain_findings
from softmend.records.projection import projection_of
from softmend.records.rows import Person
from softmend.services.deposit.outward import NAME_WITHHELD

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Package:
    """A package that is sound: its journal, its people, its files, and what is not in it."""

    dossier_id: str
    head: Head
    journal: tuple[Entry, ...]
    people: tuple[Person, ...]
    files: tuple[str, ...]
    findings: tuple[Finding, ...]
    withheld_count: int


def read_package(bag: Bag, progress: Progress) -> Package:
    """Return what a bag holds once all of it was checked."""
    refuse_foreign(bag.info, bag.payload)
    sums = bag.verify(lambda what, share: progress(f"checking {what}", 0.5 * share))
    with bag.lines(JOURNAL) as told:
        lines = list(read_journal(told))
    journal = tuple(line.entry for line in lines)
    head = _head(journal)
    if bag.info.get("Softmend-Head") != f"{head.count}:{head.hash}":
        raise InputError("The journal does not end as the package says", value=head.hash)
    withheld = sum(line.is_withheld for line in lines)
    findings = _chain(lines)
    files = tuple(path.removeprefix("files/") for path in sums if path.startswith("files/"))
    _refuse_files(journal, files, sums, is_whole=not withheld)
    return Package(
        dossier_id=head.dossier_id,
        head=head,
        journal=journal,
        people=_people(bag, journal),
        files=files,
        findings=findings,
        withheld_count=withheld,
    )


def _head(journal: tuple[Entry, ...]) -> Head:
    if not journal:
        raise InputError("The journal of the package is empty")
    first, last = journal[0], journal[-1]
    if (first.kind, first.subject_id) != ("dossier", first.dossier_id):
        raise InputError("The journal does not begin with the opening of a dossier")
    if any(entry.dossier_id != first.dossier_id for entry in journal):
        raise InputError("The journal holds entries of several dossiers")
    if len({entry.id for entry in journal}) < len(journal):
        raise InputError("The journal holds one entry twice")
    return Head(first.dossier_id, last.number, last.hash)


def _chain(lines: list[JournalLine]) -> tuple[Finding, ...]:
    journal = [line.entry for line in lines]
    withheld = {line.entry.id for line in lines if line.is_withheld}
    # Where withdrawals are withheld themselves, what they withdrew cannot be told from here.
    excused = {each.id for each in journal if each.payload is None} if withheld else set()
    found = []
    for finding in chain_findings(journal[0].dossier_id, journal, withdrawn_ids(journal) | excused):
        if finding.is_damage:
            raise InputError(
                "The journal of the package is damaged", value=f"{finding.where} {finding.what}"
            )
        found.append(finding)
    by_place = {f"entry {line.entry.number} ({line.entry.kind})": line for line in lines}
    return tuple(
        Finding("withheld", each.where, False) if by_place[each.where].is_withheld else each
        for each in found
    )


def _refuse_files(
    journal: tuple[Entry, ...], files: tuple[str, ...], sums: dict[str, str], *, is_whole: bool
) -> None:
    for sha256 in files:
        if sums[file_path(sha256)] != sha256:
            raise InputError(
                "A file of the package is not the one that its name says", value=sha256
            )
    if not is_whole:
        return
    try:
        projection_of(journal)
    except SoftmendError as unread:
        raise InputError(
            f"The journal of the package does not make a dossier: {unread.problem}"
        ) from unread
    for sha256 in sorted(files_standing(journal).keys() ^ set(files)):
        missing = "is missing" if sha256 not in files else "is named by no entry"
        raise InputError(f"A file of the package {missing}", value=sha256)


def _people(bag: Bag, journal: tuple[Entry, ...]) -> tuple[Person, ...]:
    known = people_in(journal)
    with bag.lines(PEOPLE) as told:
        people = read_people(told)
    for person in people:
        if person.id not in known:
            raise InputError("The package names somebody who has no part in it", value=person.id)
    # A name that was withheld is no name: the house goes on knowing nobody under that id.
    return tuple(person for person in people if person.name != NAME_WITHHELD)
