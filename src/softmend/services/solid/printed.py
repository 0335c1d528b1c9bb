"""The scans of a dossier as the prints tell them, with their workings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.content import Working
from softmend.report.scan_shown import ChangeShown, ScanPart, ScanShown
from softmend.services.solid.change_shown import change_shown
from softmend.services.solid.pair import pairs_asked
from softmend.services.solid.scans import on_scan, scans_in
from softmend.services.solid.shown import scan_shown
from softmend.services.solid.stills import stills_shown
from softmend.services.store import Files, Reader


def scans_printed(
    reader: Reader, dossier_id: str, files: Files | None = None
) -> tuple[ScanShown, ...]:
    """Return every scan with what its kept answers say; with files, stills hold their pictures."""
    found = []
    for entry, _scan in scans_in(reader, dossier_id):
        on = on_scan(reader, dossier_id, entry.subject_id)
        stills = stills_shown(reader, dossier_id, on, files)
        found.append(scan_shown(reader, dossier_id, on, stills))
    return tuple(found)


def changes_printed(reader: Reader, dossier_id: str) -> tuple[ChangeShown, ...]:
    """Return what is told of each pair of scans that somebody asked to compare."""
    return tuple(change_shown(reader, dossier_id, pair) for pair in pairs_asked(reader, dossier_id))


def voids_on_scans(reader: Reader, dossier_id: str) -> list[tuple[str, int, ScanPart]]:
    """Return the fill of each void picked on a scan, with the scan's id and number."""
    return [
        (entry.subject_id, scan.number, part)
        for entry, scan in scans_in(reader, dossier_id)
        for part in scan_shown(
            reader, dossier_id, on_scan(reader, dossier_id, entry.subject_id)
        ).parts
        if part.key.startswith("void-")
    ]


def scan_workings(
    scans: tuple[ScanShown, ...], changes: tuple[ChangeShown, ...], *, with_mass: bool
) -> Iterator[Working]:
    """Return the workings behind what is told of scans and pairs; of the mass only where asked."""
    for scan in scans:
        for part in scan.parts:
            if part.work is not None and (with_mass or not part.tells_mass):
                yield part.work
    for change in changes:
        if change.part.work is not None:
            yield change.part.work
