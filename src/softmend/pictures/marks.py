"""The marks of one view as SVG: one function for page and print."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.pictures.drawing import Drawing, ScaleBar
from softmend.pictures.hatch import has_hatch, pattern
from softmend.pictures.labels import Plate, drawn_points, place_labels
from softmend.pictures.legend import LegendEntry, Pattern, entry_for, used_entries
from softmend.pictures.scale_bar import bar_elements, bar_plate
from softmend.pictures.svg import (
    INK,
    WHITE,
    area_path,
    document,
    element,
    group,
    line_path,
    text,
    text_width,
)
from softmend.records.mark import Shape

_HALO = 2.2
_LABEL_SIZE = 8.0
_REACH = 4.0
_DASHES = {
    Pattern.DASH_DOT: (6.0, 2.4, 1.2, 2.4),
    Pattern.CHAIN: (7.0, 2.6),
    Pattern.DOTTED: (1.6, 2.4),
}


def marks_svg(
    picture: tuple[int, int],
    drawings: Sequence[Drawing],
    entries: Mapping[str, LegendEntry],
    unit_px: float,
    scale_bar: ScaleBar | None = None,
    prefix: str = "m",
) -> str:
    """Return an SVG, in pixels of the view, to lay over its picture.

    `unit_px` is how many pixels of the view one drawing unit takes: a point in print, a CSS pixel
    on a page. Line widths, hatches and letters keep their size in units; shapes are true.
    `prefix` keeps the hatches of several pictures on one page apart.
    """
    inside = mark_elements(picture, drawings, entries, unit_px, scale_bar, prefix)
    return document(*picture, inside)


def mark_elements(
    picture: tuple[int, int],
    drawings: Sequence[Drawing],
    entries: Mapping[str, LegendEntry],
    unit_px: float,
    scale_bar: ScaleBar | None = None,
    prefix: str = "m",
) -> list[str]:
    """Return the elements of `marks_svg`, for pictures that put something under them."""
    if unit_px <= 0 or min(picture) <= 0:
        raise InputError("A drawing needs a size", value=(picture, unit_px), allowed="more than 0")
    names = {entry.code: f"{prefix}{i}" for i, entry in enumerate(used_entries(drawings, entries))}
    hatches = [
        pattern(entry_for(code, entries), name, unit_px) for code, name in sorted(names.items())
    ]
    # Areas lie under lines, and lines under points, so that nothing small is covered.
    order = (Shape.AREA, Shape.LINE, Shape.POINT)
    ordered = sorted(drawings, key=lambda drawing: order.index(drawing.geometry.shape))
    shapes = [
        group(_shape(drawing, entry_for(drawing.code, entries), names, unit_px))
        for drawing in ordered
    ]
    ink = drawn_points([drawing.geometry for drawing in drawings], _REACH * unit_px)
    bar = None if scale_bar is None else bar_plate(scale_bar, picture, unit_px, ink)
    labels = _labels(drawings, picture, unit_px, ink, [bar] if bar else [])
    inside = [f"<defs>{''.join(hatches)}</defs>", *shapes, *labels]
    if scale_bar is None or bar is None:
        return inside
    return inside + bar_elements(scale_bar, bar, picture[0], unit_px)


def swatch_svg(entry: LegendEntry, prefix: str = "s") -> str:
    """Return an entry of the legend as a small picture, 34 × 18 units, drawn as the marks are."""
    hatch = pattern(entry, prefix, 1.0, centre=(17.0, 9.0))
    inside = [f"<defs>{hatch}</defs>"] if hatch else []
    if entry.pattern in (Pattern.NUMBER, Pattern.SQUARE, Pattern.CROSS):
        inside += _point(entry, 17.0, 9.0, 1.0)
    elif has_hatch(entry) or entry.pattern is Pattern.EMPTY:
        inside += _area(entry, "M3 3H31V15H3Z", prefix, 1.0)
    else:
        inside += _line(entry, "M3 12L12 7L20 10L31 5", 1.0)
    return document(34, 18, inside)


def _shape(
    drawing: Drawing, entry: LegendEntry, names: Mapping[str, str], unit_px: float
) -> list[str]:
    parts = drawing.geometry.parts
    if drawing.geometry.shape is Shape.AREA:
        return _area(entry, area_path(parts), names[entry.code], unit_px)
    if drawing.geometry.shape is Shape.LINE:
        return _line(entry, line_path(parts[0]), unit_px)
    return _point(entry, *parts[0][0], unit_px)


def _area(entry: LegendEntry, path: str, hatch: str, unit_px: float) -> list[str]:
    core = entry.width * 0.6 * unit_px
    joined: dict[str, str | float] = {"d": path, "fill_rule": "evenodd", "stroke_linejoin": "round"}
    halo: dict[str, str | float] = {
        "fill": "none",
        "stroke": WHITE,
        "stroke_width": core + _HALO * unit_px,
    }
    drawn: dict[str, str | float] = {
        "fill": f"url(#{hatch})" if has_hatch(entry) else "none",
        "stroke": INK,
        "stroke_width": core,
        **_dashed(entry, unit_px),
    }
    return [element("path", **joined, **halo), element("path", **joined, **drawn)]


def _dashed(entry: LegendEntry, unit_px: float) -> dict[str, str]:
    dashes = _DASHES.get(entry.pattern)
    if dashes is None:
        return {}
    return {"stroke_dasharray": " ".join(f"{dash * unit_px:.2f}" for dash in dashes)}


def _line(entry: LegendEntry, path: str, unit_px: float) -> list[str]:
    core = entry.width * unit_px
    dashed = _dashed(entry, unit_px)
    joined = {"stroke_linejoin": "round", "stroke_linecap": "butt" if dashed else "round"}
    strokes = [(WHITE, core + _HALO * unit_px), (INK, core), (entry.colour, core * 0.5)]
    if entry.pattern is Pattern.DOUBLE:
        strokes = [(WHITE, core * 1.7 + _HALO * unit_px), (INK, core * 1.7), (WHITE, core * 0.6)]
    return [
        element("path", d=path, fill="none", stroke=paint, stroke_width=width, **joined,
                **(dashed if index else {}))
        for index, (paint, width) in enumerate(strokes)
    ]  # fmt: skip


def _point(entry: LegendEntry, x: float, y: float, unit_px: float) -> list[str]:
    reach = _REACH * unit_px
    if entry.pattern is Pattern.CROSS:
        path = f"M{x - reach:.2f} {y:.2f}h{2 * reach:.2f}M{x:.2f} {y - reach:.2f}v{2 * reach:.2f}"
        return _line(entry, path, unit_px)
    if entry.pattern is Pattern.SQUARE:
        side = f"{2 * reach:.2f}"
        path = f"M{x - reach:.2f} {y - reach:.2f}h{side}v{side}h-{side}Z"
        return _line(entry, path, unit_px)
    rings = ((WHITE, 3.6), (INK, 1.6)) if entry.pattern is Pattern.NUMBER else (
        (WHITE, 3.6), (INK, 1.8), (entry.colour, 0.8))  # fmt: skip
    ringed = [
        element("circle", cx=x, cy=y, r=reach, fill="none", stroke=paint,
                stroke_width=width * unit_px)
        for paint, width in rings
    ]  # fmt: skip
    return [*ringed, element("circle", cx=x, cy=y, r=1.1 * unit_px, fill=INK)]


def _labels(
    drawings: Sequence[Drawing],
    picture: tuple[int, int],
    unit_px: float,
    ink: NDArray[np.float64],
    taken: Sequence[Plate],
) -> list[str]:
    size = _LABEL_SIZE * unit_px
    sizes = [
        (text_width(drawing.label, size) + 5 * unit_px, 11.5 * unit_px) for drawing in drawings
    ]
    plates = place_labels([drawing.geometry for drawing in drawings], sizes, picture, ink, taken)
    leaders = [_leader(plate, unit_px) for plate in plates]
    written = [
        _label(drawing.label, plate, size, unit_px)
        for drawing, plate in zip(drawings, plates, strict=True)
    ]
    return leaders + written


def _leader(plate: Plate, unit_px: float) -> str:
    x, y = plate.nearest()
    path = line_path(((x, y), plate.anchor))
    return element("path", d=path, stroke=WHITE, stroke_width=2.4 * unit_px) + element(
        "path", d=path, stroke=INK, stroke_width=0.7 * unit_px
    )


def _label(label: str, plate: Plate, size: float, unit_px: float) -> str:
    box = element("rect", x=plate.x, y=plate.y, width=plate.width, height=plate.height,
                  rx=2 * unit_px, fill=WHITE, fill_opacity=0.94, stroke=INK,
                  stroke_width=0.35 * unit_px)  # fmt: skip
    middle = plate.x + plate.width / 2
    baseline = plate.y + plate.height / 2 + size * 0.34
    return box + text(label, middle, baseline, size, font_weight="600", text_anchor="middle",
                      fill=INK)  # fmt: skip
