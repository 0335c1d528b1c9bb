"""Near an open crack: block it or stay away; how far, a house sets itself or it is not set."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.removal import CrackDistance, RemovalWay, checked_distance
from softmend.services.bench import Author, Bench
from softmend.services.examine.vocabulary import term
from softmend.services.house_journal import HOUSE_ID, house_is_open, record_in_house
from softmend.services.recording import current_records
from softmend.services.store import Reader

KEEP_AWAY = (
    "Block the crack or stay {away}: liquid runs in and carries dirt and dissolved varnish to "
    "its tip."
)
NOT_SET = "away by a distance the house has to set"
SUBJECT = f"{HOUSE_ID}:crack distance"


def house_distance(reader: Reader) -> tuple[str, CrackDistance | None]:
    """Return how far this house keeps liquids from a crack with its entry, or None when not set."""
    if house_is_open(reader):
        for entry, distance in current_records(reader, HOUSE_ID, "crack_distance"):
            return entry.id, distance
    return "", None


def set_house_distance(
    bench: Bench, author: Author, distance: CrackDistance, based_on: str
) -> Entry:
    """Record how far this house keeps liquids from a crack; an earlier one stays in the journal."""
    return record_in_house(bench, author, SUBJECT, checked_distance(distance), based_on)


def open_cracks(reader: Reader, dossier_id: str) -> list[Mark]:
    """Return the marks that liquid may run into."""
    return [
        mark
        for _, mark in current_records(reader, dossier_id, "mark")
        if term(mark.term_id).family == "cracks" or mark.term_id == "failed_join"
    ]


def crack_words(reader: Reader, way: RemovalWay | None) -> str:
    """Return what stands beside wet advice near an open crack: blocked, or how far, and by whom."""
    liquid = None if way is None else way.by_liquid
    if liquid is not None and liquid.crack_blocked_with != NOT_KNOWN:
        return f"The crack is blocked with {liquid.crack_blocked_with}: look that nothing runs in."
    if liquid is not None and liquid.stays_away_mm is not None:
        return KEEP_AWAY.format(away=f"{liquid.stays_away_mm:g} mm away (estimated)")
    _, house = house_distance(reader)
    if house is None:
        return KEEP_AWAY.format(away=NOT_SET)
    told = f"{house.stays_away_mm:g} mm away (estimated; this house's own value: {house.because})"
    return KEEP_AWAY.format(away=told)
