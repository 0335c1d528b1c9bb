"""Curves of reflectance over the wavelengths; every curve is named where it ends."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.svg import GREY, INK, document, element, group, line_path, text

WIDTH, HEIGHT = 620.0, 250.0
_LEFT, _RIGHT, _TOP, _FOOT = 44.0, 176.0, 14.0, 30.0
_SMALL, _WEIGHT, _LINE = 12.0, "500", "#d8d2c5"
_APART = 15.0
_DASHES = ("", "7 3", "2 3", "10 3 2 3", "4 4", "1 4")


@dataclass(frozen=True)
class NamedCurve:
    """One curve: its name, wavelengths in nm, and shares of the light."""

    name: str
    wavelengths_nm: tuple[float, ...]
    values: tuple[float, ...]


def curves_svg(curves: Sequence[NamedCurve]) -> str:
    """Return curves as an SVG; dashes tell them apart, and each has its name at its end."""
    if not curves:
        raise InputError("There is no curve to draw", allowed="one curve or more")
    first = min(one.wavelengths_nm[0] for one in curves)
    last = max(one.wavelengths_nm[-1] for one in curves)
    wide, tall = WIDTH - _LEFT - _RIGHT, HEIGHT - _TOP - _FOOT

    def place(nm: float, share: float) -> tuple[float, float]:
        across = _LEFT + wide * (nm - first) / max(last - first, 1.0)
        return across, _TOP + tall * (1 - min(max(share, 0.0), 1.0))

    inside = [_grid(first, last, wide, tall)]
    ends = sorted(range(len(curves)), key=lambda one: -curves[one].values[-1])
    y = -_APART
    for rank in ends:
        one = curves[rank]
        path = [place(nm, v) for nm, v in zip(one.wavelengths_nm, one.values, strict=True)]
        dash = _DASHES[rank % len(_DASHES)]
        drawn = {"stroke_dasharray": dash} if dash else {}
        inside.append(
            element("path", d=line_path(path), fill="none", stroke=INK, stroke_width=1.8, **drawn)
        )
        y = max(path[-1][1], y + _APART)
        inside.append(text(one.name, WIDTH - _RIGHT + 8, y + 4, _SMALL, font_weight=_WEIGHT,
                           fill=INK))  # fmt: skip
    return document(WIDTH, max(HEIGHT, y + 12), inside)


def _grid(first: float, last: float, wide: float, tall: float) -> str:
    pieces = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = _TOP + tall * (1 - share)
        pieces.append(element("line", x1=_LEFT, y1=y, x2=_LEFT + wide, y2=y, stroke=_LINE,
                              stroke_width=1))  # fmt: skip
        pieces.append(text(f"{100 * share:.0f} %", _LEFT - 8, y + 4, _SMALL, fill=GREY,
                           font_weight=_WEIGHT, text_anchor="end"))  # fmt: skip
    step = 50.0 if last - first <= 400 else 100.0
    nm = step * -(-first // step)
    while nm <= last:
        x = _LEFT + wide * (nm - first) / max(last - first, 1.0)
        words = f"{nm:.0f} nm" if nm + step > last else f"{nm:.0f}"
        pieces.append(text(words, x, HEIGHT - 10, _SMALL, fill=GREY, font_weight=_WEIGHT,
                           text_anchor="middle"))  # fmt: skip
        nm += step
    return group(pieces)
