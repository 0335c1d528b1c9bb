"""Marks as SVG: halo, core, holes, labels, scale bar; the same input, the same text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.pictures.crack_map import crack_map_svg
from softmend.pictures.drawing import STATE_SIGNS, Drawing, ScaleBar
from softmend.pictures.labels import drawn_points, place_labels
from softmend.pictures.legend import UNCERTAIN, legend, used_entries
from softmend.pictures.marks import marks_svg, swatch_svg
from softmend.pictures.scale_bar import bar_length_mm, bar_text
from softmend.pictures.view_plan import PlacedGap, PlacedView, PlanShape, view_plan_svg
from softmend.records.mark import Geometry, Shape, State
from tests.report.sample import DRAWN, HEIGHT, WIDTH

SVG = "{http://www.w3.org/2000/svg}"
PICTURE = (WIDTH, HEIGHT)
BAR = ScaleBar(0.125, 0.009)


def parsed(svg: str) -> ElementTree.Element:
    """Return an SVG as a tree; what is not well formed fails here."""
    return ElementTree.fromstring(svg)


def texts(svg: str) -> list[str]:
    """Return every text of an SVG."""
    return [node.text or "" for node in parsed(svg).iter(f"{SVG}text")]


def test_every_mark_has_its_number_code_and_sign() -> None:
    svg = marks_svg(PICTURE, DRAWN, legend(), 5.0, BAR)
    assert texts(svg) == ["1 C ↔", "2 C =", "3 C ?", "4 OF ?", "5 L ~", "6 SA ?",
                          "50 mm ± 0.5 mm"]  # fmt: skip


def test_every_state_has_its_own_sign() -> None:
    assert set(STATE_SIGNS) == set(State)
    assert len(set(STATE_SIGNS.values())) == len(State)


def test_a_draft_is_named_by_a_dot_and_a_zone_has_no_sign() -> None:
    shape = DRAWN[0].geometry
    assert Drawing("C", "·", shape, State.NOT_KNOWN).label == "· C ?"
    assert Drawing("OR", "Z2", shape).label == "Z2 OR"


def test_a_line_has_a_white_halo_a_dark_core_and_its_colour_in_that_order() -> None:
    svg = parsed(marks_svg(PICTURE, DRAWN[:1], legend(), 5.0))
    strokes = [path.attrib for path in list(svg)[1].iter(f"{SVG}path")]
    assert [stroke["stroke"] for stroke in strokes] == ["#ffffff", "#1b2023", "#0072B2"]
    widths = [float(stroke["stroke-width"]) for stroke in strokes]
    assert widths == sorted(widths, reverse=True)


def test_a_hole_stays_open() -> None:
    svg = marks_svg(PICTURE, DRAWN[3:4], legend(), 5.0)
    area = next(p for p in parsed(svg).iter(f"{SVG}path") if p.get("fill", "").startswith("url"))
    assert area.attrib["fill-rule"] == "evenodd"
    assert area.attrib["d"].count("M") == area.attrib["d"].count("Z") == 2


def test_a_text_cannot_leave_its_place() -> None:
    hostile = Drawing('<script>"&', "7</text>", DRAWN[0].geometry)
    svg = marks_svg(PICTURE, [hostile], legend(), 5.0, prefix="x")
    assert "<script" not in svg
    assert texts(svg)[-1] == '7</text> <script>"&'


def test_a_code_without_an_entry_is_drawn_as_uncertain() -> None:
    odd = Drawing("ZZ", "1", DRAWN[3].geometry)
    assert used_entries([odd], {}) == (UNCERTAIN,)
    assert "pattern" in marks_svg(PICTURE, [odd], {}, 5.0)


def test_line_widths_follow_the_unit_and_shapes_do_not() -> None:
    fine, coarse = (marks_svg(PICTURE, DRAWN[:1], legend(), unit) for unit in (2.0, 4.0))
    width, path = (re.compile(pattern) for pattern in (r'stroke-width="([\d.]+)"', r' d="(M[^"]+)'))
    assert float(width.findall(coarse)[0]) == pytest.approx(2 * float(width.findall(fine)[0]))
    assert path.findall(coarse)[0] == path.findall(fine)[0]


@pytest.mark.parametrize("unit", [0.0, -1.0])
def test_a_drawing_without_a_size_is_refused(unit: float) -> None:
    with pytest.raises(InputError, match="A drawing needs a size"):
        marks_svg(PICTURE, DRAWN, legend(), unit)


def test_labels_keep_off_each_other_and_off_the_marks() -> None:
    geometries = [drawing.geometry for drawing in DRAWN]
    ink = drawn_points(geometries, 20.0)
    plates = place_labels(geometries, [(150.0, 58.0)] * len(geometries), PICTURE, ink)
    assert all(first.overlap(second) == 0 for first, second in combinations(plates, 2))
    assert sum(plate.covers(ink) for plate in plates) == 0


@given(st.lists(st.tuples(st.floats(0, WIDTH), st.floats(0, HEIGHT)), min_size=1, max_size=12))
def test_labels_stay_on_the_picture(points: list[tuple[float, float]]) -> None:
    geometries = [Geometry(Shape.POINT, ((point,),)) for point in points]
    ink = drawn_points(geometries, 20.0)
    for plate in place_labels(geometries, [(150.0, 58.0)] * len(points), PICTURE, ink):
        assert 0 <= plate.x <= WIDTH - plate.width
        assert 0 <= plate.y <= HEIGHT - plate.height


def test_the_same_marks_are_drawn_the_same() -> None:
    first, second = (marks_svg(PICTURE, DRAWN, legend(), 5.0, BAR) for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("mm_per_px", "length", "text"),
    [
        (0.125, 50.0, "50 mm ± 0.5 mm"),
        (0.01, 5.0, "5 mm ± 0.05 mm"),
        (0.0032, 1.0, "1 mm ± 0.009 mm"),
        (1.7, 1000.0, "1000 mm ± 9 mm"),
    ],
)
def test_a_scale_bar_is_a_round_length_with_its_uncertainty(
    mm_per_px: float, length: float, text: str
) -> None:
    bar = ScaleBar(mm_per_px, 0.009)
    assert bar_length_mm(bar, WIDTH) == length
    assert bar_text(bar, length) == text


@given(st.floats(1e-4, 1e3), st.floats(50, 2e4))
def test_a_scale_bar_fills_a_tenth_to_a_quarter_of_the_picture(mm: float, width: float) -> None:
    share = bar_length_mm(ScaleBar(mm, 0.01), width) / (mm * width)
    assert 0.0999 <= share <= 0.2501


def test_a_scale_bar_never_claims_more_than_the_scale_knows() -> None:
    said = float(bar_text(ScaleBar(0.1, 0.0101), 50).split("± ")[1].removesuffix(" mm"))
    assert said >= 50 * 0.0101


@pytest.mark.parametrize("mm_per_px", [0.0, -1.0, float("nan"), float("inf")])
def test_a_scale_bar_without_a_scale_is_refused(mm_per_px: float) -> None:
    with pytest.raises(InputError, match="A scale bar needs a length of a pixel"):
        bar_length_mm(ScaleBar(mm_per_px, 0.01), 100)


def test_every_entry_has_a_swatch_that_is_well_formed() -> None:
    swatches = [swatch_svg(entry, f"s{index}") for index, entry in enumerate(legend().values())]
    assert len({re.sub(r"s\d+", "", swatch) for swatch in swatches}) == len(swatches)
    for swatch in swatches:
        parsed(swatch)


def test_a_crack_map_fades_the_picture_before_the_marks() -> None:
    svg = parsed(crack_map_svg(PICTURE, DRAWN, legend(), 5.0, BAR))
    assert svg[0].tag == f"{SVG}rect"
    assert 0 < float(svg[0].attrib["fill-opacity"]) < 1


@pytest.mark.parametrize("shape", list(PlanShape))
def test_a_plan_names_every_view_and_every_gap(shape: PlanShape) -> None:
    views = [PlacedView(1, "front", 0.3, 0.9), PlacedView(2, "above", 0.32, 0.05)]
    svg = view_plan_svg(shape, views, [PlacedGap("underside", 0.9, 0.8)])
    assert texts(svg) == ["1 front", "2 above", "underside", "not examined"]
    assert "stroke-dasharray" in svg


def test_views_from_one_place_share_a_sign_and_a_full_plan_shows_numbers() -> None:
    views = [PlacedView(n, "front", 0.1 + 0.2 * (n % 4), 0.95) for n in range(1, 13)]
    svg = view_plan_svg(PlanShape.BEAM, views, [])
    assert texts(svg) == ["1, 5, 9", "2, 6, 10", "3, 7, 11", "4, 8, 12"]


@given(st.floats(-2, 3), st.floats(-2, 3))
def test_a_place_off_the_plan_is_drawn_at_its_edge(x: float, y: float) -> None:
    svg = view_plan_svg(PlanShape.BOX, [PlacedView(1, "w" * 24, x, y)], [PlacedGap("g" * 32, x, y)])
    for node in parsed(svg).iter(f"{SVG}text"):
        assert 0 <= float(node.attrib["x"]) <= 480
        assert 0 <= float(node.attrib["y"]) <= 140


def test_drawn_points_leave_no_gap_that_a_label_could_slip_into() -> None:
    (line,) = DRAWN[0].geometry.parts
    ink = drawn_points([DRAWN[0].geometry], 20.0)
    for (x, y), (u, v) in pairwise(line):
        for share in np.linspace(0, 1, 50):
            at = (x + share * (u - x), y + share * (v - y))
            assert np.hypot(*(ink - at).T).min() <= 20.0
