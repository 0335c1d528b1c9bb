"""My shelf: what this bench stocks and permits; it comes first where fills are compared."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.records.shelf import Freshness, ShelfItem, checked_item
from softmend.services.bench import Author, Bench
from softmend.services.house_journal import HOUSE_ID, house_is_open, opened_house, strike_in_house
from softmend.services.legal_flags import today_at
from softmend.services.recording import (
    append_record,
    current_records,
)
from softmend.services.store import Reader


@dataclass(frozen=True)
class OnShelf:
    """One line of the shelf with the entry that says so, and how it stands today."""

    entry_id: str
    item: ShelfItem
    freshness: Freshness
    is_offered: bool


def shelf(reader: Reader, today: date) -> list[OnShelf]:
    """Return the lines of the shelf, those to be offered first, by name."""
    if not house_is_open(reader):
        return []
    found = [
        OnShelf(entry.id, item, item.freshness(today), item.is_offered(today))
        for entry, item in current_records(reader, HOUSE_ID, "shelf_item")
    ]
    return sorted(found, key=lambda one: (not one.is_offered, one.item.material.casefold()))


def shelf_at(bench: Bench) -> list[OnShelf]:
    """Return the lines of the shelf as they stand today at this bench."""
    with bench.store.reading() as reader:
        return shelf(reader, today_at(bench))


def offered(reader: Reader, today: date) -> set[str]:
    """Return the names of the materials that are at hand, permitted and not past their date."""
    return {one.item.material for one in shelf(reader, today) if one.is_offered}


def put_on_shelf(bench: Bench, author: Author, item: ShelfItem, based_on: str = "") -> Entry:
    """Record how this bench has a material; a further version of the same line replaces it."""
    from softmend.services.explain.own_values import known_materials

    checked = checked_item(item)
    with bench.store.writing() as writer:
        known = known_materials(writer)
        if checked.material not in known:
            raise NotFoundError(
                "There is no material of that name",
                value=checked.material,
                allowed=", ".join(known),
                remedy="Add it as your own first, with what you know of it",
            )
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=opened_house(bench, writer, author),
            subject_id=_subject(checked.material),
            record=checked,
            based_on=based_on,
        )
        writer.commit()
    return entry


def take_off_shelf(
    bench: Bench, author: Author, material: str, because: str, based_on: str
) -> Entry:
    """Strike a line of the shelf, with the reason; it stays in the journal."""
    return strike_in_house(bench, author, "shelf_item", _subject(material), because, based_on)


def _subject(material: str) -> str:
    return f"{HOUSE_ID}:shelf:{material}"
