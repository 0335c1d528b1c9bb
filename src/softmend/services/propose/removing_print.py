"""Prints about taking old work off: the record of tests, the bench card, the sheet to write on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import as_file, files

from softmend import __version__
from softmend.catalogue.solvency_agent import FOOTER
from softmend.pictures.patches import PatchShown, patch_elements, row_names
from softmend.pictures.svg import document
from softmend.records.bench_sheet import marker_numbers
from softmend.records.entry import Entry
from softmend.report.bench_sheet_pdf import SheetPrint, bench_sheet_pdf
from softmend.report.content import ConditionReport, Provenance
from softmend.report.object_sections import hazard_words
from softmend.report.removal_shown import RemovalPrint
from softmend.report.removal_wording import SHEET_COLUMNS, SHEET_NOTE
from softmend.services.bench import Author, Bench
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.dossiers import opened
from softmend.services.people import names_in
from softmend.services.propose.removing_shown import picture_name, removal_shown
from softmend.services.propose.removing_ways import near_cracks
from softmend.services.propose.spot_tests import grids_in
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader
from softmend.services.treat.bench_sheet import SheetLine, make_sheet, sheets_in


def print_record_of_tests(bench: Bench, dossier_id: str) -> bytes:
    """Return the record of spot tests as PDF, each patch on its photograph, failures kept."""
    from softmend.intake.derivative import print_copy
    from softmend.report.removal_pdf import record_of_tests_pdf

    with bench.store.reading() as reader:
        told = _told(reader, dossier_id)
        views = {one.view.number: one.view for one in grids_in(reader, dossier_id)}
    pictures = {
        picture_name(number): print_copy(bench.store.files.path(view.canonical_sha256))
        for number, view in views.items()
    }
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return record_of_tests_pdf(told, pictures, fonts)


def print_bench_card(bench: Bench, dossier_id: str) -> bytes:
    """Return the bench card as PDF: fire, air, what is asked, and the footer."""
    from softmend.report.removal_pdf import bench_card_pdf

    with bench.store.reading() as reader:
        told = _told(reader, dossier_id)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return bench_card_pdf(told, fonts)


def make_spot_sheet(bench: Bench, author: Author, dossier_id: str, view_id: str) -> Entry:
    """Make a sheet for spot tests on a view; it comes back as every bench sheet does."""
    return make_sheet(bench, author, dossier_id, view_id, SHEET_NOTE)


def spot_sheets(reader: Reader, dossier_id: str) -> list[SheetLine]:
    """Return the sheets that were made for spot tests, the newest first."""
    return [one for one in sheets_in(reader, dossier_id) if one.sheet.note == SHEET_NOTE]


def print_spot_sheet(bench: Bench, dossier_id: str, sheet_id: str) -> bytes:
    """Return a sheet with the numbered patches on its photograph; the same bytes on every day."""
    from softmend.intake.sheet_picture import pale_copy
    from softmend.science.photo.square_up import marker_cells

    with bench.store.reading() as reader:
        entry, sheet = current_record(reader, dossier_id, "bench_sheet", sheet_id)
        dossier = opened(reader, dossier_id)
        _, view = current_record(reader, dossier_id, "view", sheet.view_id)
        cracks = str(near_cracks(reader, dossier_id)["crack_words"])
        grids = [one.grid for one in grids_in(reader, dossier_id)
                 if one.grid.view_id == sheet.view_id]  # fmt: skip
    patches = [
        piece
        for grid in grids
        for piece in (
            *patch_elements(grid, [PatchShown(n, grid.name(n)) for n in range(1, grid.count + 1)]),
            *row_names(grid, max(view.width_px, view.height_px)),
        )
    ]
    shown = SheetPrint(
        sheet=sheet,
        dossier_number=dossier.dossier.number,
        issued_by=dossier.dossier.number_issued_by,
        title=dossier.title,
        hazards=hazard_words(hazard for _, _, hazard in dossier.hazards),
        made_at=entry.at,
        markers=tuple(marker_cells(number) for number in marker_numbers(sheet.number)),
        view=view,
        picture=pale_copy(bench.store.files.path(view.canonical_sha256), 2000),
        is_invented=dossier.dossier.is_invented,
        overlay=document(view.width_px, view.height_px, patches),
        columns=SHEET_COLUMNS,
        foot=tuple(one for one in (cracks, FOOTER) if one),
    )
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return bench_sheet_pdf(shown, fonts)


def _told(reader: Reader, dossier_id: str) -> RemovalPrint:
    dossier = opened(reader, dossier_id)
    journal = reader.entries(dossier_id)
    names = names_in(reader)
    authors = [names[entry.author_id] for entry, _ in
               current_records(reader, dossier_id, "spot_test")]  # fmt: skip
    about = ConditionReport(
        dossier=dossier.dossier,
        provenance=Provenance(
            head_hash=dossier.head.hash,
            entry_count=dossier.head.count,
            newest_at=journal[-1].at,
            software_version=__version__,
        ),
        examined_by=", ".join(dict.fromkeys(authors)) or "not known",
        object_head=dossier.object_head,
        hazards=tuple(hazard for _, _, hazard in dossier.hazards),
    )
    about = carrying_copy(reader, dossier_id, about)
    return RemovalPrint(about, removal_shown(reader, dossier_id))
