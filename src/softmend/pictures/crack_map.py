"""The crack map of one view: its marks over a faded picture, ready for a grey printer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence

from softmend.pictures.drawing import Drawing, ScaleBar
from softmend.pictures.legend import LegendEntry
from softmend.pictures.marks import mark_elements
from softmend.pictures.svg import INK, WHITE, document, element

# How much of the picture the veil takes away: the object stays readable under the marks.
_VEIL = 0.62


def crack_map_svg(
    picture: tuple[int, int],
    drawings: Sequence[Drawing],
    entries: Mapping[str, LegendEntry],
    unit_px: float,
    scale_bar: ScaleBar | None = None,
) -> str:
    """Return what lies over the picture of a crack map: a white veil, then the marks, framed."""
    width, height = picture
    veil = element("rect", width=width, height=height, fill=WHITE, fill_opacity=_VEIL)
    frame = element("rect", width=width, height=height, fill="none", stroke=INK,
                    stroke_width=0.8 * unit_px)  # fmt: skip
    marks = mark_elements(picture, drawings, entries, unit_px, scale_bar, prefix="c")
    return document(width, height, [veil, *marks, frame])
