"""Every word that a bench sheet says by itself."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

COLUMNS = ("Time", "Where: mark, zone", "What, with which batch", "Amount", "Minutes")
BATCHES = "Batches"
NO_BATCH = "none of this day: write the number on the label of what you use"
HOW = "Write below. Photograph the whole sheet, flat and sharp, its four corner marks in sight."
HOW_WITH_VIEW = (
    "Write below; draw on the picture in a red or blue pen. Photograph the whole sheet, flat and "
    "sharp, its four corner marks in sight. What stands here is kept as reported, handwritten."
)
OVERLAY = "Numbered patches, drawn on the view"
_CORNERS = ("top left", "top right", "bottom right", "bottom left")


def title(number: int, made_on: str) -> str:
    """Return the sheet's number and day."""
    return f"Bench sheet {number}, {made_on}"


def corner(turn: int) -> str:
    """Return the alternative text of one corner mark."""
    return f"Corner mark, {_CORNERS[turn]}"


def qr(number: str) -> str:
    """Return the alternative text of the QR sign."""
    return f"QR sign of the dossier's number {number}"


def draw_on(caption: str) -> str:
    """Return the line under the view."""
    return f"View {caption}. Printed pale, to be drawn on."


def alternative(number: int) -> str:
    """Return the alternative text of the pale view."""
    return f"View {number}, printed pale to be drawn on"
