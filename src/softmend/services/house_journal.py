"""The one journal of a house: shelf, own values, paints, lamps, places; every bench shares it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.entry import Entry
from softmend.records.shelf import BenchMaterials
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record, append_strike
from softmend.services.store import Reader, Writer

HOUSE_ID = "00000000-0000-7000-8000-00000000be7c"


def house_is_open(reader: Reader) -> bool:
    """Say whether the house has its journal yet."""
    return reader.latest("bench_materials", HOUSE_ID) is not None


def opened_house(bench: Bench, writer: Writer, author: Author) -> str:
    """Return the id of the house's journal, opened now when there is none."""
    if not house_is_open(writer):
        append_record(
            bench,
            writer,
            author,
            dossier_id=HOUSE_ID,
            subject_id=HOUSE_ID,
            record=BenchMaterials(),
            based_on="",
        )
    return HOUSE_ID


def record_in_house(
    bench: Bench, author: Author, subject_id: str, record: object, based_on: str
) -> Entry:
    """Record one thing of the house in a transaction of its own."""
    with bench.store.writing() as writer:
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=opened_house(bench, writer, author),
            subject_id=subject_id,
            record=record,
            based_on=based_on,
        )
        writer.commit()
    return entry


def strike_in_house(
    bench: Bench, author: Author, kind: str, subject_id: str, because: str, based_on: str
) -> Entry:
    """Strike one thing of the house, with the reason; it stays in the journal."""
    with bench.store.writing() as writer:
        entry = append_strike(
            bench,
            writer,
            author,
            dossier_id=opened_house(bench, writer, author),
            kind=kind,
            subject_id=subject_id,
            because=because,
            based_on=based_on,
        )
        writer.commit()
    return entry
