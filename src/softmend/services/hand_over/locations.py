"""Where things are: the object, the bags and the samples of a dossier, now and before."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.fragment import Stand
from softmend.records.kinds import record_in
from softmend.records.location import OBJECT, Location, checked_location
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import opened
from softmend.services.legal_flags import today_at
from softmend.services.recording import current_records, record_one
from softmend.services.store import Reader


@dataclass(frozen=True)
class Whereabouts:
    """Where one thing is, where it was, and what the ledger said before anybody moved it."""

    thing: str
    location: Location
    entry_id: str
    earlier: tuple[Location, ...] = ()


def move_thing(
    bench: Bench, author: Author, dossier_id: str, location: Location, based_on: str
) -> Entry:
    """Record where a thing is now; where it was stays to be read."""
    checked = checked_location(location, today_at(bench))
    with bench.store.reading() as reader:
        known = [one.thing for one in whereabouts_in(reader, dossier_id)]
    if checked.thing not in known:
        raise InputError(
            "There is no such thing in this dossier",
            value=checked.thing,
            allowed=", ".join(known),
            remedy="A bag is opened in the ledger of fragments, a sample is a mark",
        )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(dossier_id, checked.thing),
        record=checked,
        based_on=based_on,
    )


def whereabouts_in(reader: Reader, dossier_id: str) -> list[Whereabouts]:
    """Return the object, then every bag, then every sample, each with its places."""
    return [
        _whereabouts(reader, dossier_id, thing, said)
        for thing, said in _things(reader, dossier_id).items()
    ]


def _things(reader: Reader, dossier_id: str) -> dict[str, str]:
    """Return each thing that has a place, and what another record says of it."""
    things = {OBJECT: opened(reader, dossier_id).object_head.location}
    for _, bag in current_records(reader, dossier_id, "bag"):
        things[f"bag {bag.number}"] = bag.kept_where
    for _, fragment in current_records(reader, dossier_id, "fragment"):
        if fragment.stand in (Stand.SAMPLED, Stand.RETURNED):
            things[f"fragment {fragment.number}, {fragment.stand.value}"] = fragment.kept_where
    for _, mark in current_records(reader, dossier_id, "mark"):
        if mark.term_id == "sample":
            things[f"sample {mark.number}"] = NOT_KNOWN
    return things


def _whereabouts(reader: Reader, dossier_id: str, thing: str, said: str) -> Whereabouts:
    history = reader.history("location", _subject(dossier_id, thing))
    places = [record_in(entry) for entry in history if entry.kind == "location" and entry.payload]
    if not places:
        return Whereabouts(thing, Location(thing, said, NOT_KNOWN), "")
    return Whereabouts(thing, places[-1], history[-1].id, tuple(reversed(places[:-1])))


def _subject(dossier_id: str, thing: str) -> str:
    return f"{dossier_id}:{thing}"
