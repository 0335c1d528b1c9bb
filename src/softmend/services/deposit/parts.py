"""The parts of a deposit package that are made from a dossier: report, tables, open formats."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from softmend.exchange.iiif import ShownView, iiif_manifest
from softmend.exchange.linked_art import (
    Assessed,
    DescribedObject,
    examination_found,
    grade_found,
    linked_art_object,
    mark_found,
)
from softmend.exchange.package import LINKED_ART, MANIFEST, REPORT, JournalLine, view_name
from softmend.exchange.tables_csv import records_csv, table_csv
from softmend.records.canonical import canonical_json
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS
from softmend.records.view import View
from softmend.report.content import Audience, ConditionReport
from softmend.services.bench import Bench
from softmend.services.deposit.judged import WITHHELD
from softmend.services.deposit.outward import OutwardReader
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.dossiers import opened
from softmend.services.examine.annotations import annotations_of_view
from softmend.services.examine.marks import marks_in
from softmend.services.examine.printing import report_pdf
from softmend.services.examine.report_content import condition_report
from softmend.services.examine.vocabulary import term
from softmend.services.recording import current_records

_QUANTITIES = (
    "of", "code", "what", "quantity", "value", "plus_minus", "unit", "kind", "caution",
)  # fmt: skip
_JOURNAL = (
    "number", "kind", "subject_id", "at", "author_id", "purpose", "corrects", "payload_hash",
    "previous_hash", "hash", "content",
)  # fmt: skip


@dataclass(frozen=True)
class Part:
    """One part of a package, in memory: where it lies, what it is in words, and its bytes."""

    path: str
    what: str
    data: bytes


@dataclass(frozen=True)
class Picture:
    """The photograph of a view whose file is still kept."""

    entry: Entry
    view: View

    @property
    def path(self) -> str:
        """Return where its JPEG lies in the package."""
        return f"pictures/{view_name(self.view.number)}.jpg"

    @property
    def what(self) -> str:
        """Return what it is in words."""
        return f"view {self.view.number}, smaller copy"


def made_parts(
    bench: Bench,
    reader: OutwardReader,
    dossier_id: str,
    audience: Audience,
    pictures: Mapping[str, tuple[int, int]],
) -> Iterator[Part]:
    """Yield the parts; `pictures` has the size of each photograph's JPEG, by the view's id."""
    report = carrying_copy(reader, dossier_id, condition_report(reader, dossier_id, audience))
    yield Part(REPORT, "condition report, PDF/A", report_pdf(bench, report))
    yield from _tables(reader, dossier_id, report)
    shown = []
    for entry, view in current_records(reader, dossier_id, "view"):
        page = annotations_of_view(reader, dossier_id, entry.subject_id)
        path = f"annotations/{view_name(view.number)}.json"
        yield _json(path, f"marks on view {view.number}, Web Annotations", page)
        if entry.subject_id in pictures:
            shown.append(ShownView(entry.subject_id, view, pictures[entry.subject_id], page))
    manifest = iiif_manifest(dossier_id, opened(reader, dossier_id).title, shown)
    yield _json(MANIFEST, "photographs with their marks, IIIF Presentation 3", manifest)
    told = linked_art_object(_described(reader, dossier_id, report))
    yield _json(LINKED_ART, "the object, its condition and treatment, Linked Art", told)


def _json(path: str, what: str, said: dict[str, Any]) -> Part:
    return Part(path, what, f"{canonical_json(said)}\n".encode())


def _tables(reader: OutwardReader, dossier_id: str, report: ConditionReport) -> Iterator[Part]:
    standing: dict[str, list[tuple[Entry, Any]]] = {}
    for kind in sorted(KINDS):
        found = current_records(reader, dossier_id, kind)
        if found:
            standing[kind] = found
    for kind, found in standing.items():
        what = f"current records of the kind {kind.replace('_', ' ')}, CSV"
        yield Part(f"tables/{kind}.csv", what, records_csv(KINDS[kind].record, found))
    quantities = table_csv(_QUANTITIES, _quantities(report))
    yield Part(
        "tables/quantities.csv", "what marks, zones, fills and sums measure, CSV", quantities
    )


def journal_table(lines: Sequence[JournalLine]) -> Part:
    """Return the lines of the journal as a table: who, when, what, and where the content is."""
    rows = [
        [*(getattr(line.entry, name) for name in _JOURNAL[:-1]), line.content] for line in lines
    ]
    return Part("tables/journal.csv", "the lines of the journal, CSV", table_csv(_JOURNAL, rows))


def _quantities(report: ConditionReport) -> Iterator[list[Any]]:
    for mark in report.marks:
        for one in mark.quantities:
            yield [f"mark {mark.mark.number}", mark.code, mark.term, *_cells(one)]
    for zone in report.zones:
        yield [f"zone {zone.zone.name}", zone.code, "zone", *_cells(zone.area)]
    for fill in report.fills:
        yield [f"mark {fill.mark_number}", "", "fill", *_cells(fill.volume)]
    for total in report.totals:
        for one in total.quantities:
            yield [f"all {total.name} ({total.count})", "", total.by, *_cells(one)]


def _cells(quantity: Any) -> list[str]:
    return [getattr(quantity, field.name) for field in fields(quantity)]


def _described(reader: OutwardReader, dossier_id: str, report: ConditionReport) -> DescribedObject:
    dossier = opened(reader, dossier_id)
    return DescribedObject(
        dossier_id=dossier_id,
        opening=dossier.dossier,
        head=dossier.object_head,
        found=[*_found(reader, dossier_id, report)],
        done=[one for one in current_records(reader, dossier_id, "action") if one[1].is_sorted],
        people=reader.people(),
        not_told=frozenset({NOT_KNOWN, WITHHELD}),
    )


def _found(reader: OutwardReader, dossier_id: str, report: ConditionReport) -> Iterator[Assessed]:
    for entry, examination in current_records(reader, dossier_id, "examination"):
        yield examination_found(entry, examination)
    for entry, mark in marks_in(reader, dossier_id):
        yield mark_found(entry, mark, term(mark.term_id).term)
    grades = current_records(reader, dossier_id, "grade")
    for (entry, grade), row in zip(grades, report.grades, strict=True):
        yield grade_found(entry, grade, row.place)
