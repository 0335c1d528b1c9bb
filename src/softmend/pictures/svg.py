"""The few pieces of SVG text that every picture is made of; text is always escaped."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from softmend.records.mark import Position

INK = "#1b2023"
WHITE = "#ffffff"
WARM = "#b4491a"
ACCENT = "#1c5d63"
OBJECT = "#cdb58a"
GREY = "#596168"
# The upstream variable font calls its family by the first name, its static cuts by the second.
FAMILY = "SourceSans3VF, 'Source Sans 3', sans-serif"


def number(value: float) -> str:
    """Return a coordinate with at most two decimals and no negative zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def attributes(**values: str | float) -> str:
    """Return attributes ready to stand in a tag; `stroke_width` becomes `stroke-width`."""
    pieces = []
    for name, value in values.items():
        shown = number(value) if isinstance(value, int | float) else escape(value, quote=True)
        pieces.append(f' {name.rstrip("_").replace("_", "-")}="{shown}"')
    return "".join(pieces)


def element(tag: str, **values: str | float) -> str:
    """Return one empty element."""
    return f"<{tag}{attributes(**values)}/>"


def text(content: str, x: float, y: float, size: float, **values: str | float) -> str:
    """Return a text element in the house's face."""
    placed = attributes(x=x, y=y, font_family=FAMILY, font_size=size, **values)
    return f"<text{placed}>{escape(content)}</text>"


def group(inside: Iterable[str], **values: str | float) -> str:
    """Return a group around elements."""
    return f"<g{attributes(**values)}>{''.join(inside)}</g>"


def document(width: float, height: float, inside: Iterable[str]) -> str:
    """Return a whole SVG document of the given size."""
    head = attributes(
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=width,
        height=height,
    )
    return f"<svg{head}>{''.join(inside)}</svg>"


def line_path(part: Sequence[Position]) -> str:
    """Return the path data of an open line."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in part)


def area_path(rings: Sequence[Sequence[Position]]) -> str:
    """Return the path data of a ring and its holes, to be filled by the even-odd rule."""
    return "".join(line_path(ring) + "Z" for ring in rings)


def text_width(content: str, size: float) -> float:
    """Return about how wide a label is set in semibold, a little on the wide side."""
    wide = sum(0.62 if character.isalnum() else 0.45 for character in content)
    return wide * size
