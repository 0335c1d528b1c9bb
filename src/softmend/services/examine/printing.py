"""Prints: the condition report, the one-page crack map, and every section as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from importlib.resources import as_file, files
from pathlib import Path

from softmend.intake.derivative import PRINT_PX, print_copy
from softmend.report.content import Audience, ConditionReport
from softmend.services.bench import Bench
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.examine.report_content import condition_report

_PRINT = "print"
# All pictures of a report are open at once while it is set: a thick one gets smaller copies.
_REPORT_PIXELS = 100e6
_STEP_PX, _LEAST_PX = 200, 400


def report_of(
    bench: Bench, dossier_id: str, audience: Audience = Audience.BENCH
) -> ConditionReport:
    """Return what the condition report says now."""
    with bench.store.reading() as reader:
        return condition_report(reader, dossier_id, audience)


def print_report(bench: Bench, dossier_id: str, audience: Audience = Audience.BENCH) -> bytes:
    """Return the condition report as an archival PDF; the same dossier gives the same bytes."""
    with bench.store.reading() as reader:
        report = condition_report(reader, dossier_id, audience)
        report = carrying_copy(reader, dossier_id, report)
    return report_pdf(bench, report)


def report_pdf(bench: Bench, report: ConditionReport) -> bytes:
    """Return a report that was gathered before as an archival PDF."""
    from softmend.report.pdf import condition_report_pdf

    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return condition_report_pdf(report, pictures_of(bench, report), fonts)


def print_registrars_report(bench: Bench, dossier_id: str) -> bytes:
    """Return the registrar's copy, the only one that tells the object's place and mass."""
    return print_report(bench, dossier_id, Audience.REGISTRAR)


def print_crack_map(bench: Bench, dossier_id: str, view_number: int) -> bytes:
    """Return one page for one view: its marks, the legend and the table."""
    from softmend.report.crack_map_pdf import crack_map_pdf

    report = report_of(bench, dossier_id)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return crack_map_pdf(report, view_number, pictures_of(bench, report), fonts)


def report_as_text(bench: Bench, dossier_id: str) -> dict[str, str]:
    """Return every section of the report as text, to be copied."""
    from softmend.report.text import as_text

    return as_text(report_of(bench, dossier_id))


def pictures_of(bench: Bench, report: ConditionReport) -> dict[str, bytes]:
    """Return the pictures that a report shows, as smaller copies, by their names."""
    longest_px = report_picture_px(len(report.views))
    of_scans = {still.sha256 for scan in report.scans for still in scan.stills}
    of_changes = {still.sha256 for change in report.changes for still in change.stills}
    return {
        shown.picture: print_copy_path(bench, shown.picture, longest_px).read_bytes()
        for shown in report.views
        if bench.store.files.has(shown.picture)
    } | {
        sha256: bench.store.files.path(sha256).read_bytes()
        for sha256 in of_scans | of_changes
        if bench.store.files.has(sha256)
    }


def report_picture_px(count: int) -> int:
    """Return the longer side of a report's pictures: smaller, the more there are of them."""
    # A photograph is mostly three by four.
    longest = math.sqrt(_REPORT_PIXELS / max(count, 1) / 0.75)
    return min(max(int(longest) // _STEP_PX * _STEP_PX, _LEAST_PX), PRINT_PX)


def print_copy_path(bench: Bench, canonical_sha256: str, longest_px: int = PRINT_PX) -> Path:
    """Return where a smaller JPEG of a photograph lies; it is made the first time."""
    name = f"copy-{longest_px}.jpg"
    kept: Path = bench.store.files.derived_folder(canonical_sha256, _PRINT) / name
    if not kept.is_file():
        made = print_copy(bench.store.files.path(canonical_sha256), longest_px)
        kept.parent.mkdir(parents=True, exist_ok=True)
        partial = kept.with_suffix(".partial")
        partial.write_bytes(made)
        partial.replace(kept)
    return kept
