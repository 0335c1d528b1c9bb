"""Rules of the records, each as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError, LimitError
from softmend.records.condition import Grade, GradeBasis, Overall, overall_grade
from softmend.records.drawing import MOST_POSITIONS, checked_geometry
from softmend.records.mark import Geometry, Shape


def graded(*values: int) -> list[Grade]:
    return [
        Grade("part", f"part {i}", value, "x", GradeBasis.SEEN) for i, value in enumerate(values)
    ]


def test_overall_grade_is_the_worst_zone_grade() -> None:
    assert overall_grade(graded(1, 3, 2, 3)) == Overall(grade=3, worst_count=2, graded_count=4)


def test_nothing_graded_has_no_overall_grade() -> None:
    assert overall_grade([]) is None


@pytest.mark.parametrize("value", [0, 5, -1])
def test_a_grade_outside_the_four_is_refused(value: int) -> None:
    with pytest.raises(InputError, match="allowed: 1, 2, 3 or 4"):
        overall_grade(graded(value))


def line(*points: tuple[float, float]) -> Geometry:
    return Geometry(Shape.LINE, (points,))


def test_positions_are_kept_to_a_hundredth_of_a_pixel() -> None:
    kept = checked_geometry(line((1.234567, 2.0), (10.004, 3.999)), 100, 100)
    assert kept.parts == (((1.23, 2.0), (10.0, 4.0)),)


@pytest.mark.parametrize("point", [(-0.01, 5.0), (5.0, 100.01), (float("nan"), 5.0)])
def test_a_point_outside_the_picture_is_refused(point: tuple[float, float]) -> None:
    with pytest.raises(InputError):
        checked_geometry(line((5.0, 5.0), point), 100, 100)


def test_a_line_of_one_repeated_point_is_refused() -> None:
    with pytest.raises(InputError, match="too few different points; got 1; allowed: 2 or more"):
        checked_geometry(line((5.0, 5.0), (5.0, 5.0), (5.001, 5.0)), 100, 100)


def test_a_ring_that_repeats_its_first_point_is_kept_open() -> None:
    ring = ((1.0, 1.0), (5.0, 1.0), (5.0, 5.0), (1.0, 1.0))
    assert checked_geometry(Geometry(Shape.AREA, (ring,)), 100, 100).parts == (ring[:3],)


def test_a_drawing_of_too_many_points_is_refused() -> None:
    points = tuple((float(i % 90), float(i // 90)) for i in range(MOST_POSITIONS + 1))
    with pytest.raises(LimitError, match="too many points"):
        checked_geometry(Geometry(Shape.LINE, (points,)), 1000, 1000)
