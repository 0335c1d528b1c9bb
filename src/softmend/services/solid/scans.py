"""What stands on one scan: its unit, matter, holding, lines, voids and stills; and recording it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.scan import (
    Scan,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanStill,
    ScanVoid,
    checked_holding,
    checked_length,
    checked_line,
    checked_matter,
    checked_void,
)
from softmend.services.bench import Author, Bench
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_record, current_records, record_one, strike
from softmend.services.solid.seen import LaidView, laid_views
from softmend.services.store import Reader


@dataclass(frozen=True)
class OnScan:
    """One scan with everything that stands on it; entry and record, or None where nobody said."""

    entry: Entry
    scan: Scan
    length: tuple[Entry, ScanLength] | None
    matter: tuple[Entry, ScanMatter] | None
    holding: tuple[Entry, ScanHolding] | None
    lines: tuple[tuple[Entry, ScanLine], ...]
    voids: tuple[tuple[Entry, ScanVoid], ...]
    stills: tuple[tuple[Entry, ScanStill], ...]
    seen: tuple[LaidView, ...] = ()

    @property
    def scan_id(self) -> str:
        """Return the id of the scan."""
        return self.entry.subject_id

    @property
    def held(self) -> ScanHolding:
        """Return how it is to be held, as said or as it begins."""
        return self.holding[1] if self.holding else ScanHolding()

    @property
    def has_matter(self) -> bool:
        """Say whether it was said what the object is made of or what it weighed."""
        if self.matter is None:
            return False
        said = self.matter[1]
        return bool(
            said.material != "not known"
            or said.density_g_per_ml is not None
            or said.weighed_g is not None
        )


def scans_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, Scan]]:
    """Return the scans of a dossier in order of their numbers."""
    return current_records(reader, dossier_id, "scan")


def on_scan(reader: Reader, dossier_id: str, scan_id: str) -> OnScan:
    """Return one scan and all that stands on it; NotFoundError when there is none."""
    entry, scan = current_record(reader, dossier_id, "scan", scan_id)
    held = _one(reader, "scan_holding", scan_id)
    return OnScan(
        entry,
        scan,
        _one(reader, "scan_length", scan_id),
        _one(reader, "scan_matter", scan_id),
        held,
        _each(reader, dossier_id, "scan_line", scan_id),
        _each(reader, dossier_id, "scan_void", scan_id),
        _each(reader, dossier_id, "scan_still", scan_id),
        laid_views(reader, dossier_id, scan_id, held[1] if held else ScanHolding()),
    )


def confirm_length(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, length: ScanLength, based_on: str
) -> Entry:
    """Record the length that gives a scan its unit; one that the scan belies is refused."""
    from softmend import catalogue

    checked = checked_length(length)
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    # A length that does not fit the named unit is refused here, before anything is in mm.
    _agreed_unit(bench, on, checked, catalogue.entry("solid.volume").input_model)
    return _said(bench, author, dossier_id, scan_id, checked, based_on)


def say_matter(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, matter: ScanMatter, based_on: str
) -> Entry:
    """Record what the object is made of, its hollow, and what it weighed."""
    return _said(bench, author, dossier_id, scan_id, checked_matter(matter), based_on)


def say_holding(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, held: ScanHolding, based_on: str
) -> Entry:
    """Record how the object is to be held."""
    return _said(bench, author, dossier_id, scan_id, checked_holding(held), based_on)


def record_line(
    bench: Bench,
    author: Author,
    dossier_id: str,
    line: ScanLine,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record a crack or join drawn on a scan; a named mark must be one of the dossier."""
    _same_dossier(bench, dossier_id, line.scan_id, line.mark_id)
    return record_numbered(
        bench, author, dossier_id, checked_line(line), subject_id=subject_id, based_on=based_on
    )


def record_void(
    bench: Bench,
    author: Author,
    dossier_id: str,
    void: ScanVoid,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record a void picked on a scan; a named mark must be one of the dossier."""
    _same_dossier(bench, dossier_id, void.scan_id, void.mark_id)
    return record_numbered(
        bench, author, dossier_id, checked_void(void), subject_id=subject_id, based_on=based_on
    )


def link_void(
    bench: Bench, author: Author, dossier_id: str, void_id: str, mark_id: str, based_on: str
) -> Entry:
    """Record which mark a void is the same loss as, or that it is linked with none."""
    with bench.store.reading() as reader:
        _, void = current_record(reader, dossier_id, "scan_void", void_id)
    return record_void(bench, author, dossier_id, replace(void, mark_id=mark_id), void_id, based_on)


def strike_on_scan(
    bench: Bench, author: Author, dossier_id: str, kind: str, subject_id: str, because: str
) -> Entry:
    """Take a line, a void, a still or a laid photograph out of what stands, with a reason."""
    if kind not in ("scan_line", "scan_void", "scan_still", "scan_view"):
        raise NotFoundError("Nothing of that kind is struck here", value=kind)
    with bench.store.reading() as reader:
        entry, _ = current_record(reader, dossier_id, kind, subject_id)
    return strike(
        bench, author, dossier_id=dossier_id, kind=kind, subject_id=subject_id, because=because,
        based_on=entry.id,
    )  # fmt: skip


def _agreed_unit(bench: Bench, on: OnScan, length: ScanLength, model: Any) -> None:
    from softmend.catalogue.solid_scan import unit_of
    from softmend.services.solid.inputs import length_inputs
    from softmend.services.solid.measuring_mesh import checked_scan_in, scan_folder

    given = model.model_validate({"scan_file": "x", "length": length_inputs(length, "typed")})
    scan = checked_scan_in(scan_folder(bench, on.scan.original_sha256))
    unit_of(scan.shape, given.length)


def _said(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, record: object, based_on: str
) -> Entry:
    _same_dossier(bench, dossier_id, scan_id)
    return record_one(
        bench, author, dossier_id=dossier_id, subject_id=scan_id, record=record, based_on=based_on
    )


def _same_dossier(bench: Bench, dossier_id: str, scan_id: str, mark_id: str = "") -> None:
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "scan", scan_id)
        if mark_id:
            current_record(reader, dossier_id, "mark", mark_id)


def _one(reader: Reader, kind: str, scan_id: str) -> Any:
    entry = reader.latest(kind, scan_id)
    if entry is None or entry.kind == "struck" or entry.payload is None:
        return None
    return entry, record_in(entry)


def _each(reader: Reader, dossier_id: str, kind: str, scan_id: str) -> Any:
    return tuple(
        (entry, record)
        for entry, record in current_records(reader, dossier_id, kind)
        if record.scan_id == scan_id
    )
