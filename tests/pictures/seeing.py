"""Pictures as others see them: printed grey, and with one kind of cone missing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

import numpy as np
import typst
from numpy.typing import NDArray
from PIL import Image

ROOT = Path(__file__).parents[2]
FONTS = ROOT / "src" / "softmend" / "web" / "static" / "fonts"
Pixels = NDArray[np.float64]


@cache
def faces() -> typst.Fonts:
    """Return the house's face, read once."""
    return typst.Fonts(False, False, [str(FONTS)])


def matrices() -> dict[str, Pixels]:
    """Return what each kind of colour vision makes of linear RGB; machado2009, severity 1.0."""
    rows: dict[str, list[list[float]]] = {}
    with (ROOT / "tests" / "checks" / "machado2009.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            kind = row["name"].partition("_")[0]
            rows.setdefault(kind, []).append([float(part) for part in row["expected"].split()])
    return {"normal": np.eye(3), **{kind: np.array(values) for kind, values in rows.items()}}


def rendered(svg: str, width_units: float, ground: str) -> Pixels:
    """Return an SVG drawn on a ground, as linear RGB; one unit is two pixels."""
    main = (
        f'#set page(width: auto, height: auto, margin: 0pt, fill: rgb("{ground}"))\n'
        f'#image("a.svg", width: {width_units}pt)'
    )
    png = typst.compile({"main": main.encode(), "a.svg": svg.encode()}, format="png", ppi=144,
                        font_paths=faces())  # fmt: skip
    coded = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), dtype=float) / 255
    # sRGB to linear light, IEC 61966-2-1 (recalled).
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def seen_grey(pixels: Pixels, matrix: Pixels) -> Pixels:
    """Return the luminance that is left of linear RGB for one kind of colour vision."""
    seen = np.clip(pixels @ matrix.T, 0, 1)
    luminance: Pixels = seen @ np.array([0.2126, 0.7152, 0.0722])
    return luminance


def texture(grey: Pixels) -> Pixels:
    """Return what a picture's pattern is, wherever it happens to start: its unit spectrum."""
    spectrum = np.abs(np.fft.rfft2(grey - grey.mean()))
    unit: Pixels = spectrum / (np.linalg.norm(spectrum) + 1e-12)
    return unit


def likeness(first: Pixels, second: Pixels) -> float:
    """Return how alike two textures are; 1: the same."""
    return float((first * second).sum())


def contrast(first: float, second: float) -> float:
    """Return the contrast ratio of two luminances; WCAG 2 (recalled)."""
    light, dark = max(first, second), min(first, second)
    return (light + 0.05) / (dark + 0.05)
