"""The ledger of fragments: numbered, tried, bonded, bagged; the balance holds at every save."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from softmend.errors import InputError, NotFoundError
from softmend.records.entry import Entry
from softmend.records.fragment import (
    Bag,
    Balance,
    Fragment,
    Masses,
    Stand,
    balance_of,
    check_balance,
    check_may_be_bonded,
    checked_bag,
    checked_change,
    masses_of,
    seat_of,
)
from softmend.records.incident import Incident, checked_incident
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.numbered import append_numbered, record_numbered
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader, Writer


@dataclass(frozen=True)
class Ledger:
    """Every fragment with its entry, the bags, and both balances."""

    fragments: tuple[tuple[Entry, Fragment], ...]
    bags: tuple[tuple[Entry, Bag], ...]
    balance: Balance
    masses: Masses

    def in_bag(self, bag_id: str) -> list[Fragment]:
        """Return the fragments that lie in a bag now."""
        return [
            one for _, one in self.fragments if one.bag_id == bag_id and one.stand is Stand.BAGGED
        ]


def number_fragment(bench: Bench, author: Author, dossier_id: str, fragment: Fragment) -> Entry:
    """Give a found fragment its number for ever."""
    with bench.store.writing() as writer:
        entry = _append(bench, writer, author, dossier_id, bench.fresh_id(), None, fragment, "")
        writer.commit()
    return entry


def change_fragment(
    bench: Bench,
    author: Author,
    dossier_id: str,
    fragment_id: str,
    fragment: Fragment,
    based_on: str,
) -> Entry:
    """Record the next state of a fragment; a missing one opens an incident, a found one closes it.

    Bonding needs evidence, an image and a second pair of eyes (rule 6).
    """
    with bench.store.writing() as writer:
        _, before = current_record(writer, dossier_id, "fragment", fragment_id)
        after = replace(fragment, number=before.number)
        if after.stand is Stand.BONDED and seat_of(after) != seat_of(before):
            check_may_be_bonded(after, author.person_id)
        entry = _append(bench, writer, author, dossier_id, fragment_id, before, after, based_on)
        _keep_incident(bench, writer, author, dossier_id, fragment_id, before, after)
        writer.commit()
    return entry


def append_bonded(
    bench: Bench,
    writer: Writer,
    author: Author,
    dossier_id: str,
    fragment_id: str,
    *,
    place: str,
    second_id: str,
) -> None:
    """Record inside an open transaction that a join bonded a fragment, unless it stands so."""
    entry, before = current_record(writer, dossier_id, "fragment", fragment_id)
    if before.stand is Stand.BONDED and before.place == place:
        return
    after = replace(before, stand=Stand.BONDED, place=place, second_id=second_id)
    check_may_be_bonded(after, author.person_id)
    _append(bench, writer, author, dossier_id, fragment_id, before, after, entry.id)


def open_bag(bench: Bench, author: Author, dossier_id: str, bag: Bag) -> Entry:
    """Give a bag its number; where it lies is tracked from now on."""
    return record_numbered(bench, author, dossier_id, checked_bag(bag))


def move_bag(
    bench: Bench, author: Author, dossier_id: str, bag_id: str, bag: Bag, based_on: str
) -> Entry:
    """Record where a bag lies now."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "bag", bag_id)
    return record_numbered(
        bench, author, dossier_id, checked_bag(bag), subject_id=bag_id, based_on=based_on
    )


def ledger_of(reader: Reader, dossier_id: str) -> Ledger:
    """Return the ledger of a dossier with its balance."""
    held = current_records(reader, dossier_id, "fragment")
    fragments = [fragment for _, fragment in held]
    return Ledger(
        fragments=tuple(held),
        bags=tuple(current_records(reader, dossier_id, "bag")),
        balance=_balance(reader, dossier_id, fragments),
        masses=masses_of(fragments),
    )


def fragment_in(reader: Reader, dossier_id: str, fragment_id: str) -> tuple[Entry, Fragment]:
    """Return one fragment and its newest entry."""
    return current_record(reader, dossier_id, "fragment", fragment_id)


def incidents_of(reader: Reader, dossier_id: str) -> list[tuple[Entry, Incident]]:
    """Return the incidents of a dossier, open ones first."""
    incidents = current_records(reader, dossier_id, "incident")
    return sorted(incidents, key=lambda held: (not held[1].is_open, held[1].number))


def open_incident(bench: Bench, author: Author, dossier_id: str, incident: Incident) -> Entry:
    """Record what went wrong."""
    return record_numbered(bench, author, dossier_id, checked_incident(incident))


def close_incident(
    bench: Bench, author: Author, dossier_id: str, incident_id: str, how: str, based_on: str
) -> Entry:
    """Record how an incident ended."""
    with bench.store.reading() as reader:
        _, incident = current_record(reader, dossier_id, "incident", incident_id)
    if not how.strip():
        raise InputError("An incident is closed with how it ended", remedy="Say it in a few words")
    return record_numbered(
        bench,
        author,
        dossier_id,
        replace(incident, closed_how=how),
        subject_id=incident_id,
        based_on=based_on,
    )


def _append(
    bench: Bench,
    writer: Writer,
    author: Author,
    dossier_id: str,
    fragment_id: str,
    before: Fragment | None,
    after: Fragment,
    based_on: str,
) -> Entry:
    checked = checked_change(before, after)
    _check_named(writer, dossier_id, checked)
    entry = append_numbered(
        bench, writer, author, dossier_id, checked, subject_id=fragment_id, based_on=based_on
    )
    fragments = [one for _, one in current_records(writer, dossier_id, "fragment")]
    check_balance(_balance(writer, dossier_id, fragments))
    return entry


def _balance(reader: Reader, dossier_id: str, fragments: Sequence[Fragment]) -> Balance:
    # The numbers given come from the counter, so that a number that stands nowhere is noticed.
    numbered = reader.next_number(dossier_id, "fragment") - 1
    held = reader.projection(dossier_id).current
    struck = sum(one.is_struck for one in held if one.kind == "fragment")
    withdrawn = sum(one.payload is None for one in reader.current(dossier_id, "fragment"))
    return balance_of(fragments, numbered, struck + withdrawn)


def _check_named(reader: Reader, dossier_id: str, fragment: Fragment) -> None:
    views = {*fragment.view_ids, *(one.view_id for one in fragment.evidence if one.view_id)}
    for view_id in sorted(views):
        current_record(reader, dossier_id, "view", view_id)
    if fragment.bag_id:
        current_record(reader, dossier_id, "bag", fragment.bag_id)
    known = {person.id for person in reader.people()}
    if fragment.second_id and fragment.second_id not in known:
        raise NotFoundError("The second person is not on the list of people", remedy="Add them")


def _keep_incident(
    bench: Bench,
    writer: Writer,
    author: Author,
    dossier_id: str,
    fragment_id: str,
    before: Fragment,
    after: Fragment,
) -> None:
    if after.stand is before.stand:
        return
    if after.stand is Stand.MISSING:
        missing = Incident(
            number=0,
            what_observed=f"fragment {after.number} is missing",
            noticed_on=bench_day(bench),
            about_ids=(fragment_id,),
            searched_observed=after.because,
        )
        append_numbered(bench, writer, author, dossier_id, missing)
    if before.stand is Stand.MISSING:
        for entry, incident in current_records(writer, dossier_id, "incident"):
            if incident.is_open and incident.about_ids == (fragment_id,):
                append_numbered(
                    bench,
                    writer,
                    author,
                    dossier_id,
                    replace(incident, closed_how=f"found again: {after.because}"),
                    subject_id=entry.subject_id,
                    based_on=entry.id,
                )
