"""Bench sheets: made for a day, printed, photographed back, squared up, laid under the view."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from softmend.errors import NotFoundError
from softmend.intake.decode import read_picture
from softmend.intake.sheet_picture import ink_png, jpeg_of, pale_copy
from softmend.records.bench_sheet import (
    PAGE_MM,
    BenchSheet,
    SheetBack,
    marker_corners_mm,
    marker_numbers,
    view_box_mm,
)
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.view import Paper, View
from softmend.report.bench_sheet_pdf import SheetPrint, bench_sheet_pdf
from softmend.report.object_sections import hazard_words
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import opened
from softmend.services.examine.views import attach_paper
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.store import Reader

SQUARED_PX = 2100
UNDERLAY_PX = 2400
PEN = (176, 32, 96)
"""Unlike every colour of the legend, so that what is traced is told from marks."""
_MM = 1e-3


@dataclass(frozen=True)
class SheetLine:
    """One sheet as it is listed: its view's number, and its photographs that came back."""

    entry: Entry
    sheet: BenchSheet
    view_number: int
    backs: tuple[tuple[Entry, SheetBack], ...]


def make_sheet(
    bench: Bench, author: Author, dossier_id: str, view_id: str = "", note: str = NOT_KNOWN
) -> Entry:
    """Make a sheet of today with its number, the view to draw on, and today's batches."""
    today = bench_day(bench)
    with bench.store.reading() as reader:
        if view_id:
            current_record(reader, dossier_id, "view", view_id)
        batches = tuple(
            batch.number
            for _, batch in current_records(reader, dossier_id, "batch")
            if batch.made_on == today
        )
    sheet = BenchSheet(0, today, view_id, batches, note)
    return record_numbered(bench, author, dossier_id, sheet)


def sheets_in(reader: Reader, dossier_id: str) -> list[SheetLine]:
    """Return every sheet, the newest first, with what came back of it."""
    backs = current_records(reader, dossier_id, "sheet_back")
    numbers = {
        entry.subject_id: view.number for entry, view in current_records(reader, dossier_id, "view")
    }
    return [
        SheetLine(
            entry,
            sheet,
            numbers.get(sheet.view_id, 0),
            tuple(one for one in backs if one[1].sheet_id == entry.subject_id),
        )
        for entry, sheet in reversed(current_records(reader, dossier_id, "bench_sheet"))
    ]


def print_sheet(bench: Bench, dossier_id: str, sheet_id: str) -> bytes:
    """Return a sheet as PDF; the same sheet gives the same bytes on every day."""
    from softmend.science.photo.square_up import marker_cells

    with bench.store.reading() as reader:
        entry, sheet = current_record(reader, dossier_id, "bench_sheet", sheet_id)
        dossier = opened(reader, dossier_id)
        view = _view_on(reader, dossier_id, sheet)
        batches = _batch_words(reader, dossier_id, sheet)
    shown = SheetPrint(
        sheet=sheet,
        dossier_number=dossier.dossier.number,
        issued_by=dossier.dossier.number_issued_by,
        title=dossier.title,
        hazards=hazard_words(hazard for _, _, hazard in dossier.hazards),
        made_at=entry.at,
        markers=tuple(marker_cells(number) for number in marker_numbers(sheet.number)),
        batches=batches,
        view=view,
        picture=_pale(bench, view),
        is_invented=dossier.dossier.is_invented,
    )
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return bench_sheet_pdf(shown, fonts)


def file_sheet(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str, source: Path, name: str
) -> Entry:
    """Keep the photograph of a sheet as a paper and find its corner marks: reported, handwritten.

    Nothing is kept when the corner marks of that sheet are not all in the photograph.
    """
    from softmend.science.photo.square_up import corner_marks, sheet_fit

    with bench.store.reading() as reader:
        _, sheet = current_record(reader, dossier_id, "bench_sheet", sheet_id)
    picture = read_picture(source)
    corners = corner_marks(picture, marker_numbers(sheet.number))
    fit = sheet_fit(corners, _corners_m())
    paper = attach_paper(
        bench,
        author,
        dossier_id,
        source,
        Paper(
            number=0,
            original_name=name,
            original_sha256="",
            original_bytes=0,
            what=f"bench sheet {sheet.number}, reported, handwritten",
            dated_on=sheet.made_on,
        ),
    )
    back = SheetBack(
        sheet_id=sheet_id,
        paper_id=paper.subject_id,
        width_px=int(picture.shape[1]),
        height_px=int(picture.shape[0]),
        corners_px=tuple(
            tuple((round(float(x), 2), round(float(y), 2)) for x, y in mark) for mark in corners
        ),
        misfit_px=round(fit.misfit_px, 2),
    )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=back,
        based_on="",
    )


def squared_up_path(bench: Bench, dossier_id: str, back_id: str) -> Path:
    """Return the JPEG of a whole squared-up sheet; it is computed for display, once."""
    return _derived(bench, dossier_id, back_id, "squared-up.jpg")


def underlay_path(bench: Bench, dossier_id: str, back_id: str) -> Path:
    """Return the PNG of a sheet's pen marks alone, in the proportions of the view drawn on.

    Its width is the view's width, whatever its own pixels: a place at 0.3 of the one is at 0.3 of
    the other.
    """
    return _derived(bench, dossier_id, back_id, "underlay.png")


def underlays_on(reader: Reader, dossier_id: str, view_id: str) -> list[tuple[str, str]]:
    """Return the sheets that came back with drawings on a view: the id and the name of each."""
    return [
        (entry.subject_id, f"bench sheet {line.sheet.number}, {line.sheet.made_on}")
        for line in sheets_in(reader, dossier_id)
        if line.sheet.view_id == view_id
        for entry, _ in line.backs
    ]


def _derived(bench: Bench, dossier_id: str, back_id: str, name: str) -> Path:
    with bench.store.reading() as reader:
        _, back = current_record(reader, dossier_id, "sheet_back", back_id)
        _, sheet = current_record(reader, dossier_id, "bench_sheet", back.sheet_id)
        _, paper = current_record(reader, dossier_id, "paper", back.paper_id)
        view = _view_on(reader, dossier_id, sheet)
    if name.startswith("underlay") and view is None:
        raise NotFoundError("There is no view on this sheet to lie under")
    folder = bench.store.files.derived_folder(paper.original_sha256, f"sheet-{back_id}")
    kept: Path = folder / name
    if not kept.is_file():
        photograph = bench.store.files.path(paper.original_sha256)
        made = (
            _underlay(photograph, back, view)
            if view and name.startswith("underlay")
            else (_squared(photograph, back))
        )
        kept.parent.mkdir(parents=True, exist_ok=True)
        partial = kept.with_suffix(".partial")
        partial.write_bytes(made)
        partial.replace(kept)
    return kept


def _squared(photograph: Path, back: SheetBack) -> bytes:
    from softmend.science.photo.square_up import flattened, sheet_fit

    whole = (0.0, 0.0, PAGE_MM[0] * _MM, PAGE_MM[1] * _MM)
    fit = sheet_fit(back.corners_px, _corners_m())
    return jpeg_of(flattened(read_picture(photograph), fit, whole, SQUARED_PX))


def _underlay(photograph: Path, back: SheetBack, view: View) -> bytes:
    from softmend.science.photo.square_up import flattened, pen_marks, sheet_fit

    left, top, right, bottom = view_box_mm(view.width_px, view.height_px)
    box = (left * _MM, top * _MM, right * _MM, bottom * _MM)
    width = min(view.width_px, UNDERLAY_PX)
    fit = sheet_fit(back.corners_px, _corners_m())
    flat = flattened(read_picture(photograph), fit, box, width)
    return ink_png(pen_marks(flat, width / (box[2] - box[0])), PEN)


def _corners_m() -> list[list[tuple[float, float]]]:
    return [[(x * _MM, y * _MM) for x, y in mark] for mark in marker_corners_mm()]


def _view_on(reader: Reader, dossier_id: str, sheet: BenchSheet) -> View | None:
    if not sheet.view_id:
        return None
    _, view = current_record(reader, dossier_id, "view", sheet.view_id)
    found: View = view
    return found


def _pale(bench: Bench, view: View | None) -> bytes:
    if view is None:
        return b""
    return pale_copy(bench.store.files.path(view.canonical_sha256), 2000)


def _batch_words(reader: Reader, dossier_id: str, sheet: BenchSheet) -> tuple[str, ...]:
    return tuple(
        f"{batch.number} {batch.name}"
        for _, batch in current_records(reader, dossier_id, "batch")
        if batch.number in sheet.batch_numbers
    )
