"""The printed cards in each picture: scale bar, marker of known side, invented colour chart."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tools.demo.camera import Array, Vector, unit

DOTS_PER_MM = 20
INK = (56, 56, 56)
"""Printed black reflects some 4 %, as real ink does."""

NEUTRALS = (243, 200, 160, 122, 85, 52)
COLOURS = (
    (132, 62, 48), (178, 128, 52), (84, 110, 58), (52, 96, 120), (104, 78, 120), (196, 150, 118),
)  # fmt: skip


@dataclass(frozen=True)
class Layout:
    """Where things lie on a card [mm from its top left corner]."""

    size_mm: tuple[float, float]
    bar_at_mm: tuple[float, float]
    bar_mm: float
    block_mm: float
    marker_at_mm: tuple[float, float]
    marker_mm: float
    marker_number: int
    chart_at_mm: tuple[float, float]
    patch_mm: float
    text_at_mm: tuple[float, float]
    text_mm: float


LONG = Layout((236, 78), (18, 60), 200, 10, (10, 5), 48, 7, (126, 6), 16, (66, 8), 6.4)
SHORT = Layout((96, 36), (6, 27), 50, 5, (3.5, 2.5), 21, 11, (62, 4), 5, (28, 4), 2.3)


@dataclass(frozen=True)
class Card:
    """A card in the scene: its middle [mm], and the directions right and up on it."""

    layout: Layout
    middle_mm: Vector
    right: Vector
    up: Vector
    title: str

    def points(self, on_card_mm: Array) -> Array:
        """Return points of the scene [mm] for points on the card, from its top left corner."""
        across, down = np.moveaxis(np.asarray(on_card_mm, float), -1, 0)
        width, height = self.layout.size_mm
        right, up = unit(np.array(self.right)), unit(np.array(self.up))
        shift = (across - width / 2)[..., None] * right + (height / 2 - down)[..., None] * up
        return np.asarray(np.array(self.middle_mm) + shift)

    def square(self, at_mm: tuple[float, float], size_mm: tuple[float, float]) -> Array:
        """Return the corners of an upright rectangle on the card, clockwise from top left."""
        (x, y), (width, height) = at_mm, size_mm
        on_card = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]]
        return self.points(np.array(on_card))

    @property
    def bar_ends_mm(self) -> Array:
        """The two upper corners of the scale bar."""
        (x, y), length = self.layout.bar_at_mm, self.layout.bar_mm
        return self.points(np.array([[x, y], [x + length, y]]))

    @property
    def marker_corners_mm(self) -> Array:
        """The corners of the marker, clockwise from its top left."""
        side = self.layout.marker_mm
        return self.square(self.layout.marker_at_mm, (side, side))

    @property
    def chart_size_mm(self) -> tuple[float, float]:
        """Width and height of the frame round the colour patches."""
        return 6 * self.layout.patch_mm + 2, 3 * self.layout.patch_mm + 2

    @property
    def chart_corners_mm(self) -> Array:
        """The outer corners of the frame round the colour patches."""
        return self.square(self.layout.chart_at_mm, self.chart_size_mm)


def printed(card: Card) -> NDArray[np.uint8]:
    """Return the card's print, sRGB, at DOTS_PER_MM."""
    layout = card.layout
    size = tuple(round(side * DOTS_PER_MM) for side in layout.size_mm)
    sheet = Image.new("RGB", (size[0], size[1]), (226, 224, 218))
    draw = ImageDraw.Draw(sheet)
    _bar(draw, layout)
    _chart(draw, card)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    dots = round(layout.marker_mm * DOTS_PER_MM)
    marker: Any = cv2.aruco.generateImageMarker(dictionary, layout.marker_number, 6)
    marker = cv2.resize(marker, (dots, dots), interpolation=cv2.INTER_NEAREST)
    paper = np.where(marker > 127, 236, INK[0]).astype(np.uint8)
    x, y = (round(at * DOTS_PER_MM) for at in layout.marker_at_mm)
    margin = round(DOTS_PER_MM * layout.marker_mm / 20)
    _box(draw, (x - margin, y - margin), (dots + 2 * margin, dots + 2 * margin), (236,) * 3)
    sheet.paste(Image.fromarray(paper), (x, y))
    lines = (card.title, "INVENTED OBJECT", f"bar {layout.bar_mm:g} mm",
             f"marker {layout.marker_mm:g} mm")  # fmt: skip
    _write(draw, layout.text_at_mm, layout.text_mm, "\n".join(lines))
    return np.asarray(sheet)


def _box(
    draw: ImageDraw.ImageDraw,
    at: tuple[float, float],
    size: tuple[float, float],
    colour: tuple[int, ...],
) -> None:
    draw.rectangle((at[0], at[1], at[0] + size[0] - 1, at[1] + size[1] - 1), fill=colour)


def _bar(draw: ImageDraw.ImageDraw, layout: Layout) -> None:
    x, y = (at * DOTS_PER_MM for at in layout.bar_at_mm)
    step, tall = layout.block_mm * DOTS_PER_MM, 0.9 * layout.block_mm * DOTS_PER_MM
    _box(draw, (x, y), (layout.bar_mm * DOTS_PER_MM, tall), INK)
    line = max(2, round(0.03 * layout.block_mm * DOTS_PER_MM))
    for block in range(1, round(layout.bar_mm / layout.block_mm), 2):
        _box(draw, (x + block * step, y + line), (step, tall - 2 * line), (236, 236, 236))
    ends = (0.0, layout.bar_mm)
    for at in ends:
        where = (layout.bar_at_mm[0] + at - 1.5, layout.bar_at_mm[1] - 0.55 * layout.block_mm)
        _write(draw, where, 0.45 * layout.block_mm, f"{at:g}")


def _chart(draw: ImageDraw.ImageDraw, card: Card) -> None:
    layout, dots = card.layout, DOTS_PER_MM
    x, y = (at * dots for at in layout.chart_at_mm)
    width, height = card.chart_size_mm
    _box(draw, (x, y), (width * dots, height * dots), INK)
    mixed: list[tuple[int, ...]] = [
        tuple(int(0.45 * part + 0.55 * 235) for part in colour) for colour in COLOURS
    ]
    rows: list[list[tuple[int, ...]]] = [
        [(grey,) * 3 for grey in NEUTRALS],
        list(COLOURS),
        mixed,
    ]
    patch = layout.patch_mm * dots
    for down, row in enumerate(rows):
        for across, colour in enumerate(row):
            at = (x + dots + across * patch, y + dots + down * patch)
            _box(draw, (at[0] + 3, at[1] + 3), (patch - 6, patch - 6), colour)


def _write(
    draw: ImageDraw.ImageDraw, at_mm: tuple[float, float], tall_mm: float, text: str
) -> None:
    font = ImageFont.load_default(size=tall_mm * DOTS_PER_MM)
    where = (at_mm[0] * DOTS_PER_MM, at_mm[1] * DOTS_PER_MM)
    draw.multiline_text(where, text, fill=(24, 24, 24), font=font, spacing=tall_mm * 9)
