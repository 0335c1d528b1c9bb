"""The bench sheet: a page to write on by hand, laid out so that its photograph can be read back.

Places on the sheet are millimetres from its top left corner, x right and y down. They are the same
for the print that is made from them and for the photograph that is squared up by them.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

PAGE_MM = (210.0, 297.0)
MARKER_MM = 13.0
MARKER_EDGE_MM = 9.0
"""From the edge of the paper to a corner mark; printers leave about 5 mm white."""

MARKERS_IN_TURN = 248
"""Corner marks are numbered four by four and begin again after this many (62 sheets)."""

VIEW_BOX_MM = (20.0, 138.0, 190.0, 250.0)
"""Left, top, right and bottom of the room for the view."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class BenchSheet:
    """One sheet as it was made: the day, the view on it, and the batches of that day.

    `view_id` is empty for a sheet of ruled rows alone.
    """

    number: int
    made_on: str
    view_id: str = ""
    batch_numbers: tuple[int, ...] = ()
    note: str = NOT_KNOWN


@dataclass(frozen=True)
class SheetBack:
    """A sheet photographed back: reported, handwritten. Its picture is a paper of the dossier.

    `corners_px` are the four corners of each corner mark on the photograph, in the order of the
    marks; everything squared up is computed from them, and `misfit_px` says how well they fit.
    """

    sheet_id: str
    paper_id: str
    width_px: int
    height_px: int
    corners_px: tuple[tuple[tuple[float, float], ...], ...]
    misfit_px: float
    said: str = "reported, handwritten"


def marker_numbers(sheet_number: int) -> tuple[int, int, int, int]:
    """Return the numbers of a sheet's corner marks: top left, top right, bottom right and left."""
    if sheet_number < 1:
        raise InputError("Sheets are numbered from 1", value=sheet_number)
    first = 4 * (sheet_number - 1) % MARKERS_IN_TURN
    return first, first + 1, first + 2, first + 3


def marker_places_mm() -> tuple[tuple[float, float], ...]:
    """Return the top left corner of each corner mark on the sheet, in the order of its numbers."""
    far_x = PAGE_MM[0] - MARKER_EDGE_MM - MARKER_MM
    far_y = PAGE_MM[1] - MARKER_EDGE_MM - MARKER_MM
    near = MARKER_EDGE_MM
    return (near, near), (far_x, near), (far_x, far_y), (near, far_y)


def marker_corners_mm() -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the four corners of each corner mark, clockwise from its own top left."""
    side = MARKER_MM
    return tuple(
        ((x, y), (x + side, y), (x + side, y + side), (x, y + side)) for x, y in marker_places_mm()
    )


def view_box_mm(width_px: int, height_px: int) -> Box:
    """Return where a view of that size stands on the sheet: as large as its room, in its middle."""
    if width_px < 1 or height_px < 1:
        raise InputError("A view has a width and a height", value=f"{width_px} x {height_px} px")
    left, top, right, bottom = VIEW_BOX_MM
    width = min(right - left, (bottom - top) * width_px / height_px)
    height = width * height_px / width_px
    x = (left + right - width) / 2
    return x, top, x + width, top + height


def mm_to_view_px(box: Box, width_px: int) -> tuple[float, float, float]:
    """Return px per mm, and the place of the view's origin on the sheet in mm."""
    left, top, right, _ = box
    return width_px / (right - left), left, top
