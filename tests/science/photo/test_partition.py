"""Zones cut against each other: shared vertices, no gap, no overlap, and how areas meet."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import Polygon

from softmend.errors import InputError
from softmend.science.photo.partition import (
    Meeting,
    Region,
    cut_against,
    meeting,
    overlap_area_px2,
    overlap_width_px,
    region,
)

LEFT = region([[0, 0], [100, 0], [100, 100], [0, 100]])


def polygon(area: Region) -> Polygon:
    return Polygon(area.outline, area.holes)


def edges(area: Region) -> set[frozenset[tuple[float, float]]]:
    rings = [area.outline, *area.holes]
    return {
        frozenset((tuple(a), tuple(b)))
        for ring in rings
        for a, b in zip(ring.tolist(), np.roll(ring, -1, axis=0).tolist(), strict=True)
    }


def star(centre: tuple[float, float], radii: list[float], turn: float) -> Region:
    angle = turn + np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    ring = np.array(centre) + np.array(radii)[:, None] * np.column_stack(
        [np.cos(angle), np.sin(angle)]
    )
    return region(ring)


STARS = st.builds(
    star,
    st.tuples(st.floats(100, 900), st.floats(100, 900)),
    st.lists(st.floats(60, 300), min_size=3, max_size=14),
    st.floats(0, 6.28),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(STARS, min_size=2, max_size=6))
def test_zones_drawn_one_after_another_divide_the_surface_exactly(drawn: list[Region]) -> None:
    zones: list[Region] = []
    for new in drawn:
        try:
            cut = cut_against(new, zones)
        except InputError:
            continue
        zones = [*cut.neighbours, *cut.pieces]
    shapes = [polygon(zone) for zone in zones]
    assert all(shape.is_valid for shape in shapes)
    together = union_all(shapes)
    assert together.area == pytest.approx(sum(shape.area for shape in shapes), abs=1e-6)
    # Every edge is a rim of the whole or stands, vertex for vertex, in exactly two zones.
    counted: dict[frozenset[tuple[float, float]], int] = {}
    for zone in zones:
        for edge in edges(zone):
            counted[edge] = counted.get(edge, 0) + 1
    assert max(counted.values()) <= 2
    rim = sum(np.hypot(*np.subtract(*map(np.array, edge))) for edge, n in counted.items() if n == 1)
    assert rim == pytest.approx(together.length, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(STARS, STARS)
def test_a_neighbour_keeps_its_place_and_every_point_is_on_the_grid(
    new: Region, standing: Region
) -> None:
    try:
        cut = cut_against(new, [standing])
    except InputError:
        return
    before, after = polygon(standing), polygon(cut.neighbours[0])
    assert before.symmetric_difference(after).area < 0.02 * before.length
    for zone in (*cut.pieces, *cut.neighbours):
        for ring in (zone.outline, *zone.holes):
            np.testing.assert_array_equal(ring, np.round(ring, 2))


def test_a_new_zone_gets_the_old_edges_vertices_and_gives_its_own() -> None:
    cut = cut_against(region([[80, 20], [200, 20], [200, 80], [80, 80]]), [LEFT])
    assert [100.0, 20.0] in cut.neighbours[0].outline.tolist()
    assert frozenset(((100.0, 20.0), (100.0, 80.0))) in edges(cut.neighbours[0]) & edges(
        cut.pieces[0]
    )


def test_a_vertex_that_only_rests_on_an_edge_is_put_into_that_edge() -> None:
    cut = cut_against(region([[100, 50], [200, 20], [200, 80]]), [LEFT])
    assert [100.0, 50.0] in cut.neighbours[0].outline.tolist()


def test_a_zone_round_a_neighbour_gets_a_hole_and_across_one_two_pieces() -> None:
    ring = cut_against(region([[-50, -50], [150, -50], [150, 150], [-50, 150]]), [LEFT])
    assert len(ring.pieces[0].holes) == 1
    across = cut_against(region([[-50, 40], [170, 40], [170, 60], [-50, 60]]), [LEFT])
    assert [round(polygon(p).area) for p in across.pieces] == [70 * 20, 50 * 20]


def test_a_spill_beyond_a_neighbour_smaller_than_four_pixels_is_dropped() -> None:
    cut = cut_against(region([[-1, 40], [170, 40], [170, 42], [-1, 42]]), [LEFT])
    assert len(cut.pieces) == 1


def test_far_neighbours_come_back_as_they_were() -> None:
    far = region([[500, 500], [600, 500], [600, 600]])
    cut = cut_against(region([[80, 20], [200, 20], [200, 80]]), [far, LEFT])
    assert cut.neighbours[0] is far


def test_a_place_that_is_taken_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        cut_against(region([[10, 10], [20, 10], [20, 20]]), [LEFT])
    assert str(refused.value) == (
        "Nothing is left of the new zone: the place is already taken; allowed: a zone that reaches "
        "beyond its neighbours; Change the kind of the zone that is there, or redraw its outline "
        "first."
    )


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(InputError, match="An outline crosses itself, encloses nothing, or a hole"):
        region([[0, 0], [10, 10], [10, 0], [0, 10]])
    with pytest.raises(InputError, match="4 points, 1 holes"):
        region(LEFT.outline, [[[90, 90], [120, 90], [120, 95]]])


@pytest.mark.parametrize("turn", [0.0, 0.4, 1.1])
@pytest.mark.parametrize("width", [0.5, 3.0, 12.0])
def test_the_overlap_of_two_squares_is_as_wide_as_they_were_pushed(
    width: float, turn: float
) -> None:
    c, s = np.cos(turn), np.sin(turn)
    spin = np.array([[c, s], [-s, c]])
    one = region(LEFT.outline @ spin)
    other = region(np.add(LEFT.outline, (100 - width, 0)) @ spin)
    assert overlap_width_px(one, other) == pytest.approx(width, abs=0.03)
    assert overlap_area_px2(one, other) == pytest.approx(width * 100, abs=2.5)
    assert meeting(one, other, width + 0.1) is Meeting.TOUCHING
    assert meeting(one, other, width - 0.1) is Meeting.OVERLAPPING


def test_areas_within_the_accuracy_touch_and_beyond_it_lie_apart() -> None:
    near = region(np.add(LEFT.outline, (103, 0)))
    assert meeting(LEFT, near, 3.5) is Meeting.TOUCHING
    assert meeting(LEFT, near, 2.5) is Meeting.APART
    assert overlap_width_px(LEFT, near) == 0
    with pytest.raises(InputError, match="The accuracy of the drawing is out of range; got 0"):
        meeting(LEFT, near, 0)
