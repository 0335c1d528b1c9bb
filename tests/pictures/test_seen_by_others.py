"""Every class of the legend stays apart in grey and for every kind of colour vision."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from softmend.pictures.drawing import Drawing
from softmend.pictures.hatch import has_hatch
from softmend.pictures.legend import POINT_PATTERNS, LegendEntry, Pattern, legend
from softmend.pictures.marks import marks_svg
from softmend.records.mark import Geometry, Shape
from tests.pictures.seeing import contrast, likeness, matrices, rendered, seen_grey, texture

PICTURE = (240, 160)
IVORY = "#cdb58a"
# Two drawings of one hatch, moved by a third of a tile, are more alike than this (tested below).
SAME = 0.93


def geometry_for(entry: LegendEntry, moved: float = 0.0) -> Geometry:
    """Return the shape that an entry is drawn with on a test picture."""
    if entry.pattern in POINT_PATTERNS:
        return Geometry(Shape.POINT, (((120 + moved, 80),),))
    if has_hatch(entry) or entry.pattern is Pattern.EMPTY:
        ring = ((20 + moved, 15), (220 + moved, 15), (220 + moved, 145), (20 + moved, 145))
        return Geometry(Shape.AREA, (ring,))
    return Geometry(Shape.LINE, (((10 + moved, 60), (230 + moved, 100)),))


def drawn(entry: LegendEntry, moved: float = 0.0, ground: str = IVORY) -> np.ndarray:
    """Return an entry's drawing without its label: what hatch and line say alone."""
    drawing = Drawing(entry.code, "", geometry_for(entry, moved))
    svg = marks_svg(PICTURE, [drawing], {entry.code: entry}, unit_px=1.0)
    bare = svg[: svg.index("<path", svg.index("</g>"))] + "</svg>"
    return rendered(bare, PICTURE[0], ground)


@pytest.fixture(scope="module")
def drawings() -> dict[str, np.ndarray]:
    return {code: drawn(entry) for code, entry in legend().items()}


def test_the_matrices_keep_grey_grey() -> None:
    # Machado, Oliveira and Fernandes 2009: white stays white, so every row sums to one.
    for matrix in matrices().values():
        assert matrix.sum(axis=1) == pytest.approx([1, 1, 1], abs=1e-5)


def test_a_red_is_darker_without_long_cones() -> None:
    # Common knowledge of colour vision: a protanope sees a deep red as darker than others do.
    red = np.array([[[1.0, 0.0, 0.0]]])
    kinds = matrices()
    assert seen_grey(red, kinds["protan"])[0, 0] < seen_grey(red, kinds["normal"])[0, 0]


@pytest.mark.parametrize("kind", list(matrices()))
def test_every_two_classes_stay_apart(kind: str, drawings: dict[str, np.ndarray]) -> None:
    matrix = matrices()[kind]
    seen = {code: texture(seen_grey(pixels, matrix)) for code, pixels in drawings.items()}
    alike = {
        (first, second): likeness(seen[first], seen[second])
        for first, second in combinations(seen, 2)
    }
    assert {pair: round(value, 3) for pair, value in alike.items() if value > SAME} == {}


def test_the_measure_finds_one_hatch_in_two_colours() -> None:
    fill = legend()["OF"]
    other = replace(fill, colour="#0072B2")
    first, recoloured, moved = (
        texture(seen_grey(pixels, matrices()["normal"]))
        for pixels in (drawn(fill), drawn(other), drawn(fill, 3.0))
    )
    assert likeness(first, recoloured) > SAME
    assert likeness(first, moved) > SAME


@pytest.mark.parametrize("ground", [IVORY, "#2b2d30", "#7a5a34"])
@pytest.mark.parametrize("code", ["C", "J", "T", "OF", "NF", "S", "SA", "F"])
def test_core_and_halo_stand_out_of_any_ground(code: str, ground: str) -> None:
    # Non-text contrast of at least 3 against what lies beside it: WCAG 2, 1.4.11 (recalled).
    pixels = drawn(legend()[code], ground=ground)
    for matrix in matrices().values():
        grey = seen_grey(pixels, matrix)
        base = float(grey[2, 2])
        assert max(contrast(base, float(grey.min())), contrast(base, float(grey.max()))) >= 3


def test_no_two_classes_are_drawn_alike() -> None:
    drawn_as = [(entry.pattern, entry.width) for entry in legend().values()]
    assert len(drawn_as) == len(set(drawn_as))
