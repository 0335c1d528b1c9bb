"""Pictures for the editable report: photograph and drawing made one, each with its words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import base64
import re
from functools import cache
from pathlib import Path

from softmend.errors import InputError
from softmend.report.blocks import Figure

_DOTS_PER_MM = 8.0
_QUALITY = 88
_OPENING = re.compile(r"<svg\b[^>]*>")
_SIZE = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
_MAGIC = {b"\xff\xd8\xff": "jpeg", b"\x89PNG": "png"}


def figure_picture(figure: Figure, picture: bytes, fonts: Path) -> bytes:
    """Return a figure as one picture: JPEG with a photograph under it, PNG for a drawing alone."""
    import vl_convert

    _know_the_face(str(fonts))
    svg = _with_photograph(figure.overlay, picture) if picture else figure.overlay
    scale = figure.width_mm * _DOTS_PER_MM / _width(svg)
    if picture:
        return bytes(vl_convert.svg_to_jpeg(svg, scale=scale, quality=_QUALITY))
    return bytes(vl_convert.svg_to_png(svg, scale=scale, ppi=72))


def swatch_picture(svg: str, width_mm: float, fonts: Path) -> bytes:
    """Return one swatch of the legend as PNG."""
    import vl_convert

    _know_the_face(str(fonts))
    scale = 2 * width_mm * _DOTS_PER_MM / _width(svg)
    return bytes(vl_convert.svg_to_png(svg, scale=scale, ppi=72))


@cache
def _know_the_face(fonts: str) -> None:
    import vl_convert

    vl_convert.register_font_directory(fonts)


def _with_photograph(overlay: str, picture: bytes) -> str:
    kinds = [kind for magic, kind in _MAGIC.items() if picture.startswith(magic)]
    opening, size = _OPENING.search(overlay), _SIZE.search(overlay)
    if not kinds or opening is None or size is None:
        raise InputError("A picture for the report is neither JPEG nor PNG")
    data = base64.b64encode(picture).decode("ascii")
    image = (
        f'<image href="data:image/{kinds[0]};base64,{data}" width="{size[1]}" '
        f'height="{size[2]}" preserveAspectRatio="none"/>'
    )
    return overlay[: opening.end()] + image + overlay[opening.end() :]


def _width(svg: str) -> float:
    size = _SIZE.search(svg)
    if size is None:
        raise InputError("A drawing without a size cannot be shown")
    return float(size[1])
