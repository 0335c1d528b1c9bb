"""What leaves the house: the one reader that every part of a package is made through.

A custodian's package shows what the journal says, whole. In a public one, kinds that nobody has
judged stay inside, and of the others place, mass, dates of movement, names of files and, unless
asked for, of people are withheld (cautions 12).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from softmend.exchange.package import people_in
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, record_in
from softmend.records.payload import as_plain
from softmend.records.projection import Projection, projection_of
from softmend.records.rows import Person
from softmend.services.fake_store import FakeReader, State

WITHHELD = "withheld"
NAME_WITHHELD = "name withheld"

# These travel word for word, in the journal too: they speak of the surface of the object.
OPEN_KINDS = frozenset(
    {
        "hazard",
        "scale",
        "not_examined",
        "mark",
        "body_zone",
        "on_zone",
        "grade",
        "run",
        "struck",
        "not_done",
    }
)
# These are shown with some fields withheld; in the journal they are withheld whole, since a
# payload that is changed by a letter no longer fits its hash.
_HIDDEN: Mapping[str, Mapping[str, Any]] = {
    "dossier": {"why_here": WITHHELD},
    "object_head": {
        "location": WITHHELD,
        "mass_g": None,
        "mass_expanded_g": None,
        "deadline_on": WITHHELD,
        "intended_use": WITHHELD,
    },
    "examination": {
        "examined_at_place": WITHHELD,
        "next_check_on": WITHHELD,
        "copies_to": WITHHELD,
    },
    "view": {"original_name": WITHHELD},
    "paper": {"original_name": WITHHELD, "quoted_reported": WITHHELD},
}
_PEOPLE: Mapping[str, tuple[str, ...]] = {
    "object_head": ("owner",),
    "examination": ("requested_by",),
    "view": ("made_by",),
    "paper": ("said_by",),
}


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


def _may_show(kind: str, receiver: Receiver) -> bool:
    return not receiver.is_public or kind in OPEN_KINDS or kind in _HIDDEN


def _shown(entry: Entry, receiver: Receiver) -> Entry:
    if entry.payload is None or not receiver.is_public or entry.kind in OPEN_KINDS:
        return entry
    if entry.kind not in _HIDDEN:
        return replace(entry, payload=None)
    people = () if receiver.with_names else _PEOPLE.get(entry.kind, ())
    hidden = {**_HIDDEN[entry.kind], **dict.fromkeys(people, WITHHELD)}
    # A field of an older version may bear another name: it is upgraded before it is looked at.
    said = as_plain(record_in(entry))
    kept = {name: hidden.get(name, value) for name, value in said.items()}
    version = KINDS[entry.kind].version
    return replace(entry, payload=canonical_json(kept), payload_version=version)


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
