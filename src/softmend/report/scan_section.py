"""Scans in print: what was computed of each, its stills, and the mount-maker's part of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.blocks import (
    Alert,
    Block,
    Cell,
    Fact,
    Facts,
    Figure,
    Heading,
    Section,
    Table,
    Words,
)
from softmend.report.content import Audience
from softmend.report.scan_shown import ChangeShown, ScanPart, ScanShown, StillShown

KEY, TITLE = "scans", "Scans"
CHANGES_KEY, CHANGES_TITLE = "scan_changes", "What changed between two scans"
_WIDE_MM, _PAGE_MM = 120.0, 110.0
_FOR_MOUNTS = ("supports", "bending", "keep-clear")
MISSING = "The still is no longer kept."


def scans_section(scans: tuple[ScanShown, ...], audience: Audience) -> Section:
    """Return what was computed of each scan; the mass is on the registrar's copy alone."""
    blocks = [block for scan in scans for block in _of_scan(scan, audience)]
    return Section(KEY, TITLE, tuple(blocks))


def changes_section(changes: tuple[ChangeShown, ...]) -> Section:
    """Return what changed between each pair of scans that somebody asked to compare."""
    return Section(
        CHANGES_KEY, CHANGES_TITLE, tuple(block for one in changes for block in _of_change(one))
    )


def _of_change(change: ChangeShown) -> Iterator[Block]:
    yield Heading(change.title)
    yield Facts(tuple(Fact(name, text) for name, text in change.about))
    yield from part_blocks(change.part)
    for still in change.stills:
        if still.stale_because:
            yield Alert(f"{still.caption}: {still.stale_because}")
        yield still_figure(still, _WIDE_MM, still.sha256)


def mount_blocks(scans: tuple[ScanShown, ...]) -> tuple[Block, ...]:
    """Return what the mount-maker is told of each scan that is to be held: stills with the rest."""
    return tuple(block for scan in scans if scan.part("supports") for block in _for_mounts(scan))


def _of_scan(scan: ScanShown, audience: Audience) -> Iterator[Block]:
    yield Heading(f"Scan {scan.number}: {scan.name}")
    yield Facts(tuple(Fact(name, text) for name, text in scan.about))
    for part in scan.told(with_mass=audience is Audience.REGISTRAR):
        yield from part_blocks(part)
    for still in scan.stills:
        yield still_figure(still, _WIDE_MM, still.sha256)
    yield Facts(tuple(Fact("Caution", line) for line in scan.cannot_know))


def _for_mounts(scan: ScanShown) -> Iterator[Block]:
    yield Words("\n".join(scan.cannot_know), heading=f"Scan {scan.number}: {scan.name}")
    mass = scan.part("mass")
    if scan.mass_for_mount_maker and mass is not None:
        facts = [Fact(name, text) for name, text in mass.facts]
        yield Facts(tuple(facts))
    for part in scan.told(with_mass=scan.mass_for_mount_maker):
        if part.key in _FOR_MOUNTS or part.key.startswith("seen-"):
            yield from part_blocks(part, with_warnings=False)
    lines = [one for one in scan.parts if one.key.startswith("line-")]
    if lines:
        yield Facts(tuple(Fact("No contact, no load", one.title) for one in lines))
    for still in scan.stills:
        if still.for_mount_maker:
            yield still_figure(still, _PAGE_MM, "")


def part_blocks(part: ScanPart, *, with_warnings: bool = True) -> Iterator[Block]:
    """Return one part of a scan: stale first, then why there is no answer, then the numbers."""
    if part.stale_because:
        yield Alert(f"{part.title}: {part.stale_because}")
    said = [*(line[:1].upper() + line[1:] for line in part.reasons), *part.sentences]
    if said:
        yield Words("\n".join(said), heading=part.title, statement="inferred")
    else:
        yield Heading(part.title)
    if part.facts:
        yield Facts(tuple(Fact(name, text) for name, text in part.facts))
    if part.grid is not None:
        widths = (3.0, *(2.0 for _ in part.grid.columns[1:]))
        rows = tuple(
            tuple(Cell(text, is_strong=k == 0) for k, text in enumerate(row))
            for row in part.grid.rows
        )
        yield Table(part.grid.columns, widths, rows, is_small=True)
    if with_warnings and part.warnings:
        yield Facts(tuple(Fact("Caution", line) for line in part.warnings))


def still_figure(still: StillShown, width_mm: float, picture: str) -> Figure:
    """Return a still as a figure; `picture` names one that is handed, or is empty."""
    return Figure(
        picture=picture,
        overlay=still.svg,
        width_mm=width_mm,
        height_mm=width_mm * still.height_px / still.width_px,
        caption=still.caption,
        small=f"SHA-256 {still.sha256[:16]}",
        alternative=still.alternative,
        missing=MISSING,
    )
