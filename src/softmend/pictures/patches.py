"""Numbered patches over a photograph: a crop of the view, each patch with its number and outcome.

Outcomes differ by their signs, not by colour alone: ring, wave, drop, cleared, and a stop.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from softmend.pictures.svg import (
    ACCENT,
    INK,
    WARM,
    WHITE,
    attributes,
    element,
    group,
    number,
    text,
    text_width,
)
from softmend.records.removal import Stretch
from softmend.records.spot_test import Coating, OnObject, PatchGrid

SIGNS = {Coating.NONE: "–", Coating.SWELLS: "≈", Coating.SOFTENS: "~", Coating.DISSOLVES: "○"}
STOP = "!"
MARGIN = 0.9


@dataclass(frozen=True)
class PatchShown:
    """One patch as it is drawn: its number, its outcome or None, and whether it is chosen.

    `address` is where a tap on it leads; empty in print.
    """

    patch: int
    words: str
    outcome: Coating | None = None
    effect: OnObject = OnObject.NONE
    address: str = ""
    is_chosen: bool = False


@dataclass(frozen=True)
class Tile:
    """One piece of a photograph: its address, and where it lies in pixels of the view."""

    address: str
    x: float
    y: float
    width: float
    height: float


def crop_of(grid: PatchGrid, width_px: int, height_px: int) -> tuple[float, float, float, float]:
    """Return left, top, width and height of the part of a view that shows a grid with a rim."""
    rim = MARGIN * grid.step_px
    x, y, side = grid.box(grid.count)
    left, top = max(grid.left_px - rim, 0.0), max(grid.top_px - rim, 0.0)
    right, bottom = min(x + side + rim, width_px), min(y + side + rim, height_px)
    return left, top, right - left, bottom - top


def grid_svg(
    grid: PatchGrid,
    shown: Sequence[PatchShown],
    tiles: Sequence[Tile],
    size: tuple[int, int],
    label: str,
) -> str:
    """Return the part of a view round a grid, its patches drawn on it and each a way to tap."""
    left, top, width, height = crop_of(grid, *size)
    inside = [*_image(tiles, size), *(_patch(grid, one) for one in shown)]
    return _document((left, top, width, height), inside, label)


def view_svg(
    grids: Sequence[tuple[PatchGrid, Sequence[PatchShown]]],
    tiles: Sequence[Tile],
    size: tuple[int, int],
    label: str,
) -> str:
    """Return a whole view with its grids; patches keep their size, letters are large enough."""
    inside = _image(tiles, size)
    for grid, shown in grids:
        inside += [_patch(grid, one) for one in shown]
        inside.append(_letter(grid, size))
    return _document((0.0, 0.0, float(size[0]), float(size[1])), inside, label)


def patch_elements(grid: PatchGrid, shown: Iterable[PatchShown]) -> list[str]:
    """Return the patches of a grid in pixels of the view, for a drawing over another picture."""
    return [_patch(grid, one) for one in shown]


def row_names(grid: PatchGrid, longest_px: int) -> list[str]:
    """Return the name of each row's first and last patch beside it, large enough to read in print.

    Small patches print smaller than a letter; counted from these, each has its number.
    """
    size = longest_px / 55
    # Rows that lie closer than their letters: those that are named are far enough apart.
    every = max(1, math.ceil(size / grid.step_px))
    found = []
    for row in range(0, grid.rows, every):
        first = row * grid.columns + 1
        for patch, is_first in ((first, True), (first + grid.columns - 1, False)):
            x, y, side = grid.box(patch)
            name = grid.name(patch)
            before = x - size / 3 - text_width(name, size)
            at = before if is_first else x + side + size / 3
            found.append(_halo(name, at, y + side / 2 + size * 0.35, size, INK))
    return found


def stretches_svg(
    stretches: Sequence[Stretch | None], tiles: Sequence[Tile], size: tuple[int, int]
) -> str:
    """Return a view with the stretches of a removal: numbered lines, a tick on those checked.

    A stretch that lies on another view is None here, and keeps its number.
    """
    unit = max(size) / 60
    inside = _image(tiles, size)
    inside += [
        _stretch(one, place, unit) for place, one in enumerate(stretches, 1) if one is not None
    ]
    words = f"The stretches of the removal in their order: {len(stretches)}"
    return _document((0.0, 0.0, float(size[0]), float(size[1])), inside, words)


def _document(box: tuple[float, ...], inside: Sequence[str], label: str) -> str:
    head = attributes(
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(number(one) for one in box),
        role="group",
        aria_label=label,
    )
    return f"<svg{head}>{''.join(inside)}</svg>"


def _image(tiles: Sequence[Tile], size: tuple[int, int]) -> list[str]:
    ground = element("rect", x=0, y=0, width=size[0], height=size[1], fill="#d8d2c5")
    return [
        ground,
        *(
            element("image", href=one.address, x=one.x, y=one.y, width=one.width,
                    height=one.height, preserveAspectRatio="none")
            for one in tiles
        ),
    ]  # fmt: skip


def _patch(grid: PatchGrid, one: PatchShown) -> str:
    x, y, side = grid.box(one.patch)
    colour = WARM if one.effect is not OnObject.NONE else ACCENT if one.is_chosen else INK
    thick = side * (0.09 if one.is_chosen else 0.05)
    pieces = [
        element("rect", x=x, y=y, width=side, height=side, fill=WHITE, fill_opacity=0.28,
                stroke=WHITE, stroke_width=2.4 * thick),
        element("rect", x=x, y=y, width=side, height=side, fill="none", stroke=colour,
                stroke_width=thick),
        _halo(str(one.patch), x + 0.08 * side, y + 0.46 * side, 0.44 * side, INK),
    ]  # fmt: skip
    sign = STOP if one.effect is not OnObject.NONE else SIGNS.get(one.outcome or Coating.NONE, "")
    if one.outcome is not None or one.effect is not OnObject.NONE:
        pieces.append(_halo(sign, x + 0.56 * side, y + 0.92 * side, 0.52 * side, colour))
    drawn = f"<title>{escape(one.words)}</title>{group(pieces)}"
    if not one.address:
        return f"<g>{drawn}</g>"
    return f'<a href="{escape(one.address, quote=True)}">{drawn}</a>'


def _letter(grid: PatchGrid, size: tuple[int, int]) -> str:
    large = max(size) / 28
    across = max(grid.left_px, large * 0.2)
    return _halo(grid.letter, across, max(grid.top_px - 0.25 * large, large), large, INK)


def _stretch(one: Stretch, place: int, unit: float) -> str:
    colour = ACCENT if one.is_checked else WARM
    ends = {"x1": one.from_x_px, "y1": one.from_y_px, "x2": one.to_x_px, "y2": one.to_y_px}
    middle_x, middle_y = (one.from_x_px + one.to_x_px) / 2, (one.from_y_px + one.to_y_px) / 2
    dash: Mapping[str, str] = {} if one.is_checked else {
        "stroke_dasharray": f"{number(unit)} {number(unit / 2)}"
    }  # fmt: skip
    return group(
        [
            element("line", **ends, stroke=WHITE, stroke_width=0.75 * unit),
            element("line", **ends, stroke=colour, stroke_width=0.4 * unit, **dash),
            element("circle", cx=middle_x, cy=middle_y, r=1.15 * unit, fill=WHITE, stroke=colour,
                    stroke_width=0.25 * unit),
            text(f"{place}{'✓' if one.is_checked else ''}", middle_x, middle_y + 0.5 * unit,
                 1.4 * unit, text_anchor="middle", font_weight="600", fill=INK),
        ]
    )  # fmt: skip


def _halo(content: str, x: float, y: float, size: float, colour: str) -> str:
    """Return a text twice, its white edge first: a printer does not know of paint order."""
    edge = text(
        content,
        x,
        y,
        size,
        font_weight="600",
        fill=WHITE,
        stroke=WHITE,
        stroke_width=size * 0.2,
        stroke_linejoin="round",
    )
    return edge + text(content, x, y, size, font_weight="600", fill=colour)
