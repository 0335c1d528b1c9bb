"""Trays and the seats that were looked at, as blocks of the treatment record's fragments."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.pictures.legend import legend
from softmend.pictures.marks import marks_svg
from softmend.pictures.svg import INK, WHITE, area_path, document, element
from softmend.report.blocks import Block, Cell, Figure, Heading, Table, Words
from softmend.report.fragment_shown import Ring, SeatsShown, TrayShown
from softmend.report.view_sections import POINTS_PER_MM, TEXT_WIDTH_MM, caption, paper_size
from softmend.report.wording import alternative, missing_picture

TRAYS, SEATS = "Trays", "Seats looked at"
TRAY_COLUMNS = ("On the picture", "Area, longest (k = 2)", "Outline")
SEAT_COLUMNS = ("Fragment", "Laid on", "Seen by eye", "Fit of the outlines", "Evidence")
ONLY_LOOKED = (
    "Outlines were laid on one another in one plane, by a method tried on drawn breakage and never "
    "on this material. A fit of outlines is no evidence of place: what counts is the code in the "
    "last column, found at the object by people. Nothing was placed by the program."
)
NOT_RANKED = "not every overlay was looked at: no figures"
_TALLEST_MM, _SEAT_MM = 85.0, 70.0


def tray_blocks(trays: Sequence[TrayShown]) -> list[Block]:
    """Return each tray's picture with its numbers, and the sizes of its flakes."""
    blocks: list[Block] = [Heading(TRAYS)] if trays else []
    for index, tray in enumerate(trays):
        blocks.append(_tray_figure(tray, index))
        if tray.rows:
            rows = tuple(
                (Cell(label, is_strong=True), Cell(size), Cell(how))
                for label, size, how in tray.rows
            )
            blocks.append(Table(TRAY_COLUMNS, (2, 5, 7), rows))
    return blocks


def seat_blocks(seats: Sequence[SeatsShown]) -> list[Block]:
    """Return what was seen of each fragment at each loss, and the overlay of its likeliest seat."""
    if not seats:
        return []
    rows = tuple(cells for one in seats for cells in _seat_rows(one))
    table = Table(SEAT_COLUMNS, (1.4, 1.6, 3.6, 4.4, 3), rows)
    figures = [_seat_figure(one) for one in seats if one.picture]
    return [Heading(SEATS), table, Words(ONLY_LOOKED), *figures]


def _tray_figure(tray: TrayShown, index: int) -> Figure:
    view = tray.shown.view
    width_mm, height_mm = paper_size(view, TEXT_WIDTH_MM, _TALLEST_MM)
    unit_px = view.width_px / (width_mm * POINTS_PER_MM)
    labels = tuple(drawing.label for drawing in tray.drawings)
    return Figure(
        picture=tray.shown.picture,
        overlay=marks_svg(
            (view.width_px, view.height_px),
            tray.drawings,
            legend(),
            unit_px,
            tray.shown.scale_bar,
            prefix=f"t{index}",
        ),
        width_mm=width_mm,
        height_mm=height_mm,
        caption=caption(view),
        small=f"{tray.shown.scale_statement} Numbers are fragments; letters are not numbered yet.",
        alternative=alternative(view.shows, view.number, labels),
        missing=missing_picture(view.number),
    )


def _seat_rows(one: SeatsShown) -> list[tuple[Cell, ...]]:
    name = Cell(f"{one.fragment}", is_strong=True)
    found: list[tuple[Cell, ...]] = []
    if one.none_of_these:
        none = Cell("none of these", is_strong=True)
        found.append((name, none, _seen(one, one.none_of_these, is_first=True), Cell(), Cell()))
    for row in one.rows:
        fit = Cell(row.figures[0] if row.figures else NOT_RANKED, small=row.figures[1:])
        seen = _seen(one, row.seen, is_first=not found)
        found.append((name, Cell(row.mark), seen, fit, Cell(row.evidence)))
    return found


def _seen(one: SeatsShown, said: str, *, is_first: bool) -> Cell:
    """Return what was seen; the kept run is named once, with the first of a fragment."""
    return Cell(said, small=(one.kept,) if is_first and one.kept else ())


def _seat_figure(one: SeatsShown) -> Figure:
    width, height = one.size_px
    width_mm = min(_SEAT_MM * width / height, TEXT_WIDTH_MM)
    said = f"Fragment {one.fragment} laid on {one.picture_of}"
    return Figure(
        picture=one.picture,
        overlay=_lines(one),
        width_mm=width_mm,
        height_mm=width_mm * height / width,
        caption=said,
        small="White line: edge of the flake. Dashed line: edge of the loss as it was drawn.",
        alternative=f"{said}: the flake's own pixels over the loss, both outlines drawn",
        missing="The overlay was not handed to this print.",
    )


def _lines(one: SeatsShown) -> str:
    width, height = one.size_px
    unit = width / 300
    inside = [*_ring(one.flake, unit, ""), *_ring(one.loss, unit, f"{4 * unit:.1f} {3 * unit:.1f}")]
    return document(width, height, inside)


def _ring(ring: Ring, unit: float, dashes: str) -> list[str]:
    dashed = {"stroke_dasharray": dashes} if dashes else {}
    path = area_path((ring,))
    return [
        element("path", d=path, fill="none", stroke=INK, stroke_width=1.2 * unit),
        element("path", d=path, fill="none", stroke=WHITE, stroke_width=0.7 * unit, **dashed),
    ]
