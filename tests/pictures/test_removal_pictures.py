"""Outcomes, patches, strips and the still chart: drawn apart, in place, and said in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from softmend.errors import InputError
from softmend.pictures.outcomes import coating_svg, object_svg, outcome_svg
from softmend.pictures.patches import (
    PatchShown,
    Tile,
    crop_of,
    grid_svg,
    patch_elements,
    stretches_svg,
    view_svg,
)
from softmend.pictures.red_strip import StripRow, strip_size, strip_svg, strip_words
from softmend.pictures.ternary import TernaryPoint, place_of, ternary_svg, ternary_words
from softmend.records.removal import Stretch
from softmend.records.spot_test import Coating, OnObject, PatchGrid

GRID = PatchGrid(1, "view-1", 100.0, 50.0, 20.0, 3, 2)
SIZE = (400, 300)


def test_every_outcome_has_a_drawing_of_its_own() -> None:
    drawn = [coating_svg(one) for one in Coating] + [object_svg(one) for one in OnObject]
    for svg in drawn:
        ET.fromstring(svg)
    # "none" of coating and object are two drawings as well: one has a film, one has none.
    assert len(set(drawn)) == len(Coating) + len(OnObject)
    assert outcome_svg("object", "lifting") == object_svg(OnObject.LIFTING)
    with pytest.raises(InputError, match="of the coating or of the object"):
        outcome_svg("table", "none")


def test_a_patch_says_its_number_its_outcome_and_a_stop_without_colour() -> None:
    shown = [
        PatchShown(1, "A1", Coating.DISSOLVES),
        PatchShown(2, "A2", Coating.NONE, OnObject.BLANCH),
        PatchShown(3, "A3, free & <new>", address="?patch=3&x=1"),
    ]
    one, two, three = patch_elements(GRID, shown)
    assert ">1</text>" in one
    assert ">○</text>" in one
    assert ">!</text>" in two
    assert 'href="?patch=3&amp;x=1"' in three
    assert "<title>A3, free &amp; &lt;new&gt;</title>" in three


def test_the_crop_shows_the_whole_grid_and_stays_on_the_view() -> None:
    left, top, width, height = crop_of(GRID, *SIZE)
    for patch in range(1, GRID.count + 1):
        x, y, side = GRID.box(patch)
        assert left < x
        assert top < y
        assert x + side < left + width
        assert y + side < top + height
    edge = PatchGrid(1, "v", 0.0, 0.0, 100.0, 2, 2)
    assert crop_of(edge, 250, 250) == (0.0, 0.0, 250, 250)
    tiles = [Tile("/tile.jpg", 0, 0, 400, 300)]
    svg = grid_svg(GRID, [PatchShown(1, "A1")], tiles, SIZE, "Grid A")
    assert ET.fromstring(svg).get("viewBox") == " ".join(
        f"{one:g}" for one in (left, top, width, height)
    )
    assert 'href="/tile.jpg"' in svg
    assert ">A</text>" in view_svg([(GRID, [])], tiles, SIZE, "View 1")


def test_a_stretch_keeps_its_number_and_a_checked_one_has_a_tick() -> None:
    first = Stretch("v", 10, 10, 50, 10, check_view_id="w")
    svg = stretches_svg([first, None, Stretch("v", 60, 10, 90, 10)], [], SIZE)
    assert ">1✓</text>" in svg
    assert ">2" not in svg
    assert ">3</text>" in svg
    assert svg.count("stroke-dasharray") == 1


def test_the_strip_draws_every_stage_and_says_it_in_words() -> None:
    rows = [StripRow(0, "acetone 30 %", 0.5, 0.73, 1.0), StripRow(90, "ws-low 100 %", 0.8, 1.03, 9)]
    svg = strip_svg(rows)
    ET.fromstring(svg)
    assert strip_size(rows)[1] < strip_size([*rows, *rows])[1]
    assert "grey band" in svg
    words = strip_words("acetone + ws-low", "acrylic", rows)
    assert "at 0 % gone RED 0.73, between 0.50 and 1.00, left: acetone 30 %" in words
    # What lies beyond the scale ends at its edge and is still drawn.
    assert 'width="-' not in svg


def test_the_still_chart_names_its_scale_and_puts_corners_where_they_belong() -> None:
    low, right, top = (
        place_of(TernaryPoint("", *parts)) for parts in ((100, 0, 0), (0, 100, 0), (0, 0, 100))
    )
    assert low[0] < top[0] < right[0]
    assert top[1] < low[1]
    assert low[1] == pytest.approx(right[1])
    points = [TernaryPoint("acetone", 47.1, 31.6, 21.3)]
    assert "Scale: fractions of Hansen values" in ternary_svg(points, "fractions of Hansen values")
    assert "1 acetone: 47/32/21" in ternary_words(points, "calculated")
    with pytest.raises(InputError, match="names its scale"):
        ternary_svg(points, " ")
    with pytest.raises(InputError, match="do not make the whole"):
        place_of(TernaryPoint("x", 10, 10, 10))


def test_every_text_of_a_printed_drawing_names_its_weight() -> None:
    """Without one a printer takes the lightest cut of the face, which is hard to read."""
    strip = strip_svg([StripRow(0.0, "acetone 100 %", 0.3, 0.5, 0.7)])
    chart = ternary_svg([TernaryPoint("acetone", 47.0, 32.0, 21.0)], "fractions of Hansen values")
    for drawing in (strip, chart):
        assert drawing.count("<text") == drawing.count("font-weight=")
