"""The bench sheet: one page to write and draw on, laid out to the tenth of a millimetre."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend.records import bench_sheet as layout
from softmend.records.view import View
from softmend.report import bench_sheet_wording as said
from softmend.report import wording
from softmend.report.glyphs import printable
from softmend.report.pdf import Files, face_in, typeset
from softmend.report.view_sections import caption

Cells = tuple[tuple[int, ...], ...]
"""Black (1) and white (0) cells of a square sign, row by row."""

_MARGIN_MM = 20.0
_BODY_TOP_MM = 28.0
_ROW_MM = 8.0
_QR_MM = 17.0
_QUIET_CELLS = 2


@dataclass(frozen=True)
class SheetPrint:
    """What one sheet shows; `picture` is the pale copy of the view as JPEG, empty without one.

    `overlay` is SVG text in pixels of the view, drawn over it; `columns` head the ruled rows.
    `foot` stands between the lower corner marks. The QR sign holds the dossier's number and nothing
    else.
    """

    sheet: layout.BenchSheet
    dossier_number: str
    issued_by: str
    title: str
    hazards: str
    made_at: str
    markers: tuple[Cells, ...]
    batches: tuple[str, ...] = ()
    view: View | None = None
    picture: bytes = b""
    is_invented: bool = False
    overlay: str = ""
    columns: tuple[str, ...] = said.COLUMNS
    foot: tuple[str, ...] = ()


def bench_sheet_pdf(shown: SheetPrint, fonts: Path) -> bytes:
    """Return the sheet as PDF/A-3a and PDF/UA-1; its corner marks stand where records say."""
    face = face_in(fonts)
    lacking: set[str] = set()
    assets: Files = {
        f"marker-{turn}.svg": cells_svg(cells).encode() for turn, cells in enumerate(shown.markers)
    }
    assets["qr.svg"] = cells_svg(qr_cells(shown.dossier_number), _QUIET_CELLS).encode()
    data = printable(_data(shown), face.characters, lacking)
    if shown.view is not None and shown.picture:
        assets["view.jpg"] = shown.picture
        if shown.overlay:
            assets["overlay.svg"] = shown.overlay.encode("utf-8")
    return typeset("bench_sheet.typ", data, assets, face, shown.made_at)


def qr_cells(number: str) -> Cells:
    """Return the QR sign of a dossier's number: no place, no name, nothing else."""
    import segno

    made = segno.make(number, micro=False, error="m", boost_error=False)
    return tuple(tuple(int(cell) for cell in row) for row in made.matrix)


def cells_svg(cells: Sequence[Sequence[int]], quiet: int = 0) -> str:
    """Return black cells as one SVG path, with so many cells of white around them."""
    side = len(cells) + 2 * quiet
    path = "".join(
        f"M{x + quiet} {y + quiet}h1v1h-1z"
        for y, row in enumerate(cells)
        for x, cell in enumerate(row)
        if cell
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" '
        f'shape-rendering="crispEdges"><rect width="{side}" height="{side}" fill="#fff"/>'
        f'<path d="{path}" fill="#000"/></svg>'
    )


def _data(shown: SheetPrint) -> dict[str, Any]:
    sheet, view = shown.sheet, shown.view
    title = said.title(sheet.number, sheet.made_on)
    invented = wording.INVENTED_SHORT if shown.is_invented else ""
    return {
        "document": f"{title}, {shown.dossier_number}",
        "author": shown.issued_by,
        "keywords": [shown.dossier_number, *([invented] if invented else [])],
        "title": title,
        "object": shown.title,
        "number": " · ".join(
            part for part in (shown.dossier_number, shown.issued_by, invented) if part
        ),
        "hazards": shown.hazards,
        "page_mm": list(layout.PAGE_MM),
        "margin_mm": _MARGIN_MM,
        "top_mm": _BODY_TOP_MM,
        "marker_mm": layout.MARKER_MM,
        "markers": [
            {"file": f"marker-{turn}.svg", "x_mm": x, "y_mm": y, "words": said.corner(turn)}
            for turn, (x, y) in enumerate(layout.marker_places_mm())
        ],
        "qr_mm": _QR_MM,
        "qr_words": said.qr(shown.dossier_number),
        "batches": list(shown.batches) or [said.NO_BATCH],
        "batches_title": said.BATCHES,
        "columns": list(shown.columns),
        "row_mm": _ROW_MM,
        "view": None if view is None else _view(view, bool(shown.overlay)),
        "how": said.HOW_WITH_VIEW if view is not None else said.HOW,
        "foot": list(shown.foot),
        "foot_top_mm": layout.PAGE_MM[1] - layout.MARKER_EDGE_MM - layout.MARKER_MM,
        "note": "" if sheet.note == "not known" else sheet.note,
    }


def _view(view: View, has_overlay: bool) -> dict[str, Any]:
    left, top, right, bottom = layout.view_box_mm(view.width_px, view.height_px)
    return {
        "file": "view.jpg",
        "overlay": "overlay.svg" if has_overlay else "",
        "overlay-words": said.OVERLAY,
        "x_mm": left,
        "y_mm": top,
        "width_mm": right - left,
        "height_mm": bottom - top,
        "caption": said.draw_on(caption(view)),
        "alternative": said.alternative(view.number),
    }
