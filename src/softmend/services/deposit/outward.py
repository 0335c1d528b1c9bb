"""What leaves the house: the one reader that every part of a package is made through.

A custodian's package shows what the journal says, whole. A public one shows what was judged to be
fit to leave (judged.py), kind by kind; names of people only when that is asked for (cautions 12).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from softmend.exchange.package import people_in
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, record_in
from softmend.records.payload import as_plain
from softmend.records.projection import Projection, projection_of
from softmend.records.rows import Person
from softmend.services.deposit.judged import (
    OPEN_KINDS,
    WITHHELD,
    Leaves,
    verdict,
    without_hidden,
)
from softmend.services.deposit.runs_out import run_leaves, run_without_grounds
from softmend.services.fake_store import FakeReader, State

NAME_WITHHELD = "name withheld"


@dataclass(frozen=True)
class Receiver:
    """Who a package is made for: a custodian by name, or the public; and if people are named."""

    custodian: str = ""
    with_names: bool = False

    @property
    def is_public(self) -> bool:
        """Say whether anybody may have the package."""
        return not self.custodian


class OutwardReader(FakeReader):
    """Reads one dossier as its receiver may; nothing else of the house is within its reach."""

    def __init__(
        self, journal: Sequence[Entry], people: Sequence[Person], receiver: Receiver
    ) -> None:
        """Keep what the receiver may read of a dossier's journal, and its authors."""
        self._receiver = receiver
        shown = tuple(_shown(entry, receiver) for entry in journal)
        authors = _authors(shown, people, receiver)
        super().__init__(State({journal[0].dossier_id: shown}, people=authors))
        self._by_id = {entry.id: entry for entry in shown}
        self._made = projection_of(shown)

    def entry(self, entry_id: str) -> Entry:
        """Return one entry as the receiver may read it."""
        return self._by_id[entry_id] if entry_id in self._by_id else super().entry(entry_id)

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the current entries of the kinds that the receiver may read."""
        standing = super().current(dossier_id, kind)
        return [entry for entry in standing if _may_show(entry.kind, self._receiver)]

    def projection(self, dossier_id: str) -> Projection:
        """Return the dossier's projections as the receiver may read them."""
        self._journal(dossier_id)
        return self._made


def travelling(journal: Sequence[Entry], receiver: Receiver) -> list[Entry]:
    """Return the journal as it travels: every payload word for word, or None."""
    if not receiver.is_public:
        return list(journal)
    return [
        entry if entry.kind in OPEN_KINDS else replace(entry, payload=None) for entry in journal
    ]


def withheld_words(journal: Sequence[Entry], receiver: Receiver) -> list[str]:
    """Return a line for each kind of the journal that does not leave as it stands, and why."""
    if not receiver.is_public:
        return []
    counts: dict[str, int] = {}
    for entry in journal:
        if entry.payload is not None and entry.kind not in OPEN_KINDS:
            counts[entry.kind] = counts.get(entry.kind, 0) + 1
    return [_withheld_line(kind, count, receiver) for kind, count in sorted(counts.items())]


def _withheld_line(kind: str, count: int, receiver: Receiver) -> str:
    judged = verdict(kind)
    entries = "1 entry" if count == 1 else f"{count} entries"
    what = f"{kind.replace('_', ' ')}, {entries}: {judged.leaves.value}"
    people = () if receiver.with_names else judged.people
    names = [*(name.replace("_", " ") for name in (*judged.hidden, *people)), *judged.besides]
    if judged.leaves is Leaves.IN_PART:
        what += f" ({', '.join(names) or 'nothing'})"
    return f"{what}, because {judged.because}"


def _may_show(kind: str, receiver: Receiver) -> bool:
    return not receiver.is_public or verdict(kind).leaves is not Leaves.STAYS


def _shown(entry: Entry, receiver: Receiver) -> Entry:
    judged = verdict(entry.kind)
    if entry.payload is None or not receiver.is_public or judged.leaves is Leaves.WORD_FOR_WORD:
        return entry
    if judged.leaves is Leaves.STAYS:
        return replace(entry, payload=None)
    if entry.kind == "run":
        return _shown_run(entry)
    people = () if receiver.with_names else judged.people
    hidden = {**judged.hidden, **dict.fromkeys(people, WITHHELD)}
    # A field of an older version may bear another name: it is upgraded before it is looked at.
    kept = without_hidden(as_plain(record_in(entry)), hidden)
    version = KINDS[entry.kind].version
    return replace(entry, payload=canonical_json(kept), payload_version=version)


def _shown_run(entry: Entry) -> Entry:
    run = as_plain(record_in(entry))
    if not run_leaves(run["computation"]):
        return replace(entry, payload=None)
    kept = canonical_json(run_without_grounds(run))
    return replace(entry, payload=kept, payload_version=KINDS["run"].version)


def _authors(
    journal: Sequence[Entry], people: Sequence[Person], receiver: Receiver
) -> dict[str, Person]:
    # An author who is not on the list and one whose name is withheld read alike, so that a house
    # which unpacks a package without names packs the same bytes again.
    names = {person.id: person.name for person in people}
    authors = {}
    for author in people_in(journal):
        name = names.get(author, NAME_WITHHELD)
        hides = name is not None and not receiver.with_names
        authors[author] = Person(author, NAME_WITHHELD if hides else name)
    return authors
