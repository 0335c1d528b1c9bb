"""Colour strips: the skin at three coat weights beside the object, under each lamp.

Every field says its lamp, its coat and its difference in words, so that it reads in grey.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.svg import GREY, INK, document, element, group, text
from softmend.pictures.tint_colour import screen_hex

Lab = tuple[float, float, float]

WIDTH = 620.0
_LEFT, _TOP, _GAP, _FIELD, _ROW = 118.0, 40.0, 14.0, 58.0, 92.0
_SIZE, _SMALL, _WEIGHT, _STRONG = 13.5, 12.0, "500", "600"
_OBJECT_SHARE = 0.38
_EDGE = "#777d80"


@dataclass(frozen=True)
class StripField:
    """The skin at one coat weight: its colour, and how far it is from the object."""

    coat_percent: float
    lab: Lab
    difference: float


@dataclass(frozen=True)
class StripRow:
    """One lamp: the object's colour under it, and the skin's at each coat weight."""

    lamp: str
    note: str
    target: Lab
    fields: tuple[StripField, ...]


def strips_svg(rows: Sequence[StripRow]) -> str:
    """Return the strips as an SVG, a lamp a row, a coat weight a column."""
    if not rows or not all(one.fields for one in rows):
        raise InputError("There is no strip to draw", allowed="one lamp and one coat or more")
    columns = max(len(one.fields) for one in rows)
    wide = (WIDTH - _LEFT - _GAP * (columns - 1)) / columns
    inside = [
        text(coat_words(field.coat_percent), _LEFT + place * (wide + _GAP), _TOP - 20, _SIZE,
             font_weight=_STRONG, fill=INK)
        for place, field in enumerate(rows[0].fields)
    ]  # fmt: skip
    for down, row in enumerate(rows):
        inside.append(_row(row, _TOP + down * _ROW, wide))
    return document(WIDTH, _TOP + len(rows) * _ROW - (_ROW - _FIELD) + 26, inside)


def coat_words(coat_percent: float) -> str:
    """Return a coat weight as it is said: 70 is "30 % thinner"."""
    change = round(coat_percent - 100)
    if change == 0:
        return "coat as asked"
    return f"{abs(change)} % {'thinner' if change < 0 else 'thicker'}"


def strips_in_words(rows: Sequence[StripRow]) -> tuple[str, ...]:
    """Return what the strips show, a sentence a lamp."""
    return tuple(
        f"Under {row.lamp}: "
        + "; ".join(
            f"{coat_words(one.coat_percent)}, L* {one.lab[0]:.0f}, a* {one.lab[1]:.0f}, "
            f"b* {one.lab[2]:.0f}, {one.difference:.1f} CIEDE2000 from the object"
            for one in row.fields
        )
        + "."
        for row in rows
    )


def _row(row: StripRow, y: float, wide: float) -> str:
    pieces = [
        text(row.lamp, 0, y + 24, _SIZE, font_weight=_STRONG, fill=INK),
        text(row.note, 0, y + 42, _SMALL, font_weight=_WEIGHT, fill=GREY),
    ]
    for place, one in enumerate(row.fields):
        pieces.append(_field(row.target, one, _LEFT + place * (wide + _GAP), y, wide))
    return group(pieces)


def _field(target: Lab, one: StripField, x: float, y: float, wide: float) -> str:
    split = wide * _OBJECT_SHARE
    return group(
        [
            element("rect", x=x, y=y, width=split, height=_FIELD, fill=screen_hex(target)),
            element(
                "rect", x=x + split, y=y, width=wide - split, height=_FIELD,
                fill=screen_hex(one.lab),
            ),
            element(
                "rect", x=x, y=y, width=wide, height=_FIELD, fill="none", stroke=_EDGE,
                stroke_width=1,
            ),
            text("object", x, y + _FIELD + 15, _SMALL, font_weight=_WEIGHT, fill=GREY),
            text(
                f"tint, {one.difference:.1f} off", x + split, y + _FIELD + 15, _SMALL,
                font_weight=_WEIGHT, fill=INK,
            ),
        ]
    )  # fmt: skip
