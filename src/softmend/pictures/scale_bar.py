"""The scale bar of a view: a round length, and how far it may be off."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.pictures.drawing import ScaleBar
from softmend.pictures.labels import Plate
from softmend.pictures.svg import INK, WHITE, element, text, text_width

_SHARE_OF_WIDTH = 0.25
_SEGMENTS = 4


def bar_length_mm(bar: ScaleBar, width_px: float) -> float:
    """Return the longest of 1, 2, 5 × 10ⁿ mm that takes at most a quarter of the width."""
    if not (math.isfinite(bar.mm_per_px) and bar.mm_per_px > 0):
        raise InputError(
            "A scale bar needs a length of a pixel", value=bar.mm_per_px, allowed="more than 0 mm"
        )
    longest = bar.mm_per_px * width_px * _SHARE_OF_WIDTH
    power = 10.0 ** math.floor(math.log10(longest))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= longest)


def bar_text(bar: ScaleBar, length_mm: float) -> str:
    """Return what stands over the bar: "50 mm ± 0.4 mm"."""
    spread = length_mm * bar.relative_expanded
    if spread <= 0:
        return f"{length_mm:g} mm"
    return f"{length_mm:g} mm ± {_one_digit_up(spread):g} mm"


def bar_plate(
    bar: ScaleBar, picture: tuple[float, float], unit_px: float, ink: NDArray[np.float64]
) -> Plate:
    """Return the bar's place: the corner where it covers least, lower left first."""
    length_mm = bar_length_mm(bar, picture[0])
    written = text_width(bar_text(bar, length_mm), 7.5 * unit_px)
    width = max(length_mm / bar.mm_per_px, written) + 10 * unit_px
    height, edge = 20 * unit_px, 4 * unit_px
    corners = [
        Plate(x, y, width, height, (x, y))
        for y in (picture[1] - height - edge, edge)
        for x in (edge, picture[0] - width - edge)
    ]
    return min(corners, key=lambda plate: plate.covers(ink))


def bar_elements(bar: ScaleBar, plate: Plate, width_px: float, unit_px: float) -> list[str]:
    """Return the bar: segments in ink and white on a white plate, its length written over it."""
    length_mm = bar_length_mm(bar, width_px)
    left, top = plate.x + 5 * unit_px, plate.y + 12 * unit_px
    length_px, thick = length_mm / bar.mm_per_px, 3.5 * unit_px
    pieces = [
        element(
            "rect",
            x=plate.x,
            y=plate.y,
            width=plate.width,
            height=plate.height,
            rx=2 * unit_px,
            fill=WHITE,
            fill_opacity=0.92,
        ),
        text(
            bar_text(bar, length_mm),
            left,
            plate.y + 8.8 * unit_px,
            7.5 * unit_px,
            font_weight="600",
            fill=INK,
        ),
    ]
    for index in range(_SEGMENTS):
        pieces.append(
            element(
                "rect",
                x=left + index * length_px / _SEGMENTS,
                y=top,
                width=length_px / _SEGMENTS,
                height=thick,
                fill=WHITE if index % 2 else INK,
                stroke=INK,
                stroke_width=0.6 * unit_px,
            )
        )
    return pieces


def _one_digit_up(value: float) -> float:
    # Rounded up, so that the shown spread never claims more than the scale knows.
    power = 10.0 ** math.floor(math.log10(value))
    return float(f"{math.ceil(value / power - 1e-9) * power:.3g}")
