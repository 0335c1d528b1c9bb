"""The unrolled shaft against rays cut with a cylinder and a cone, written here in another way."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.cylinder import CylinderView, cylinder_from_axis, cylinder_from_outline
from softmend.science.photo.polygon import line_length, measured_area, measured_length
from softmend.science.photo.scale import PlaneScale
from softmend.science.photo.surface import Standoff
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

RADIUS, DISTANCE, FRONT = 0.040, 1.000, 20_000.0
FOCAL = FRONT * (DISTANCE - RADIUS)
CENTRE = np.array([2000.0, 1500.0])
AXIS = np.array([[2000.0, 700.0], [2000.0, 2300.0]])
BESIDE = np.array([2900.0, 1500.0])


def photographed(phi_deg, along_m, aim: float = 0.0, radius=RADIUS, turn: float = 0.0):
    """Project points of the shaft by a pinhole; the shaft stands `aim` metres beside the middle."""
    phi = np.radians(np.asarray(phi_deg, dtype=float))
    x = aim + radius * np.sin(phi)
    depth = DISTANCE - radius * np.cos(phi)
    flat = FOCAL * np.stack([x / depth, np.asarray(along_m) / depth], axis=-1)
    c, s = np.cos(turn), np.sin(turn)
    return CENTRE + flat @ np.array([[c, s], [-s, c]])


def outline(aim: float = 0.0, turn: float = 0.0):
    """Return two points on each silhouette: where the ray only touches the cylinder."""
    reach = np.hypot(DISTANCE, aim)
    towards = np.degrees(np.arctan2(-aim, DISTANCE))
    half = np.degrees(np.arccos(RADIUS / reach))
    return [
        photographed([towards + side * half] * 2, [-0.05, 0.05], aim, turn=turn) for side in (-1, 1)
    ]


def surface_by_rays(points_px: np.ndarray) -> np.ndarray:
    """Cut each pixel's ray with the cylinder (a quadratic) and unroll what was hit."""
    rays = np.column_stack([(points_px - CENTRE) / FOCAL, np.ones(len(points_px))])
    a = rays[:, 0] ** 2 + rays[:, 2] ** 2
    b = -2 * DISTANCE * rays[:, 2]
    c = DISTANCE**2 - RADIUS**2
    near = (-b - np.sqrt(b**2 - 4 * a * c)) / (2 * a)
    hit = rays * near[:, None]
    phi = np.arctan2(hit[:, 0], DISTANCE - hit[:, 2])
    return np.column_stack([RADIUS * phi, hit[:, 1]])


def true_view(aim: float = 0.0, turn: float = 0.0, factor: float = 1.0) -> CylinderView:
    reach = float(np.hypot(DISTANCE, aim))
    left, right = outline(aim, turn)
    return cylinder_from_outline(
        left, right, Uncertain.exact(2 * RADIUS * factor),
        Uncertain.exact(reach - RADIUS * factor), CENTRE, 1.0,
    )  # fmt: skip


def axis_view(diameter: Uncertain | None = None, scale_sd: float = 0.0) -> CylinderView:
    flat = Standoff(Uncertain.exact(0.0), Uncertain.exact(DISTANCE - RADIUS))
    return cylinder_from_axis(
        AXIS,
        PlaneScale(FRONT, {"clicks on the scale": scale_sd}, flat),
        diameter or Uncertain.exact(2 * RADIUS), Uncertain.exact(DISTANCE - RADIUS), CENTRE, 1.0,
    )  # fmt: skip


@pytest.mark.parametrize("make", [true_view, axis_view], ids=["outline", "axis"])
def test_every_pixel_unrolls_to_where_its_ray_hits(make) -> None:
    x, y = np.meshgrid(np.linspace(-650, 650, 27), np.linspace(-1000, 1000, 9))
    points = CENTRE + np.column_stack([x.ravel(), y.ravel()])
    np.testing.assert_allclose(make().positions(points), surface_by_rays(points), atol=2e-8)


@pytest.mark.parametrize("angle", [-60, -40, -20, 0, 20, 40, 60])
@pytest.mark.parametrize("aim", [0.0, 0.06, -0.1])
@pytest.mark.parametrize("turn", [0.0, 0.7, 2.5])
def test_the_flat_readings_error_is_gone_up_to_60_degrees(
    angle: float, aim: float, turn: float
) -> None:
    view = true_view(aim, turn)
    lean = np.degrees(np.arctan2(-aim, DISTANCE))
    arc = photographed(lean + np.linspace(angle - 5, angle + 5, 41), np.zeros(41), aim, turn=turn)
    true = RADIUS * np.radians(10.0)
    assert line_length(view, arc) == pytest.approx(true, rel=0.005)
    np.testing.assert_allclose(view.angles_deg(arc[20:21]), angle, atol=0.05)


@pytest.mark.parametrize("angle", [20, 40, 60])
def test_a_flat_reading_errs_as_the_reference_says(angle: float) -> None:
    arc = photographed([angle - 5, angle + 5], [0, 0])
    flat = np.hypot(*(arc[1] - arc[0])) / FRONT / (RADIUS * np.radians(10.0)) - 1
    expected("softmend-imaging")[f"flat_reading_{angle}_deg"].accept(flat)


@pytest.mark.parametrize("angle", [40, 60])
def test_a_radius_3_percent_too_big_errs_as_the_reference_says(angle: float) -> None:
    arc = photographed(np.linspace(angle - 5, angle + 5, 21), np.zeros(21))
    found = line_length(axis_view(Uncertain.exact(2.06 * RADIUS)), arc)
    error = found / (RADIUS * np.radians(10.0)) - 1
    expected("softmend-imaging")[f"wrong_radius_{angle}_deg"].accept(error)


@pytest.mark.parametrize("angle", [0, 40, 60])
def test_clicks_spread_an_arc_as_the_reference_says(angle: float) -> None:
    arc = photographed([angle - 5, angle + 5], [0, 0])
    view = axis_view()
    draws = np.random.default_rng(2).normal(size=(4000, 2, 2))
    lengths = [line_length(view, arc + shift) for shift in draws[:1500]]
    true = RADIUS * np.radians(10.0)
    check = expected("softmend-imaging")[f"clicks_{angle}_deg"]
    check.accept(float(np.std(lengths)) / true)
    still = Uncertain.exact(2 * RADIUS)
    found = measured_length(
        cylinder_from_axis(
            AXIS,
            PlaneScale(FRONT, {}, Standoff(Uncertain.exact(0), Uncertain.exact(0.96))),
            still, Uncertain.exact(DISTANCE - RADIUS), CENTRE, 0.001,
        ),
        arc,
    )  # fmt: skip
    check.accept(found.sd / true)


def test_the_truth_lies_inside_the_printed_uncertainty_of_clicked_shafts() -> None:
    """Clicks, calliper and tape all err; 95 % of true lengths must lie inside k = 2."""
    rng = np.random.default_rng(4)
    inside = 0
    for trial in range(200):
        angle, width = rng.uniform(-45, 45), rng.uniform(10, 30)
        phi = np.linspace(angle - width / 2, angle + width / 2, 7)
        drawn = photographed(phi, np.linspace(0, 0.02, 7)) + rng.normal(size=(7, 2))
        left, right = (edge + rng.normal(size=(2, 2)) for edge in outline())
        view = cylinder_from_outline(
            left, right,
            Uncertain.normal(2 * RADIUS + rng.normal(0, 0.0008), 0.0008),
            Uncertain.normal(DISTANCE - RADIUS + rng.normal(0, 0.03), 0.03), CENTRE, 1.0,
        )  # fmt: skip
        found = measured_length(view, drawn, 1.0, n=500, seed=trial)
        true = np.hypot(RADIUS * np.radians(width), 0.02)
        inside += abs(found.band.typical - true) <= found.expanded
    assert inside >= 184


def test_the_area_of_a_patch_round_the_shaft_is_arc_times_length() -> None:
    phi = np.linspace(10, 50, 60)
    low = photographed(phi, np.full(60, -0.02))
    high = photographed(phi[::-1], np.full(60, 0.03))
    found = measured_area(true_view(), np.concatenate([low, high]), n=500)
    assert found.band.typical == pytest.approx(RADIUS * np.radians(40) * 0.05, rel=0.005)


def test_a_tapering_shaft_is_unrolled_as_a_cone() -> None:
    """Rays to a drawn cone: radius 40 mm at the middle, growing 8 mm in 100 mm."""
    taper = 0.08

    def cone(phi_deg, along_m):
        return photographed(phi_deg, along_m, radius=RADIUS + taper * np.asarray(along_m))

    def edge(side: int) -> np.ndarray:
        # The outline is where the picture's angle to the axis is largest on each section.
        phi = np.linspace(60, 90, 3001) * side
        points = [cone(phi, np.full(3001, t)) for t in (-0.05, 0.05)]
        return np.array([p[np.argmax(np.abs(p[:, 0] - CENTRE[0]))] for p in points])

    view = cylinder_from_outline(
        edge(-1), edge(1), Uncertain.exact(2 * RADIUS), Uncertain.exact(DISTANCE - RADIUS), CENTRE
    )
    assert view.taper == pytest.approx(taper, rel=0.02)
    for start, end in (
        ((0, -0.04), (0, 0.04)),
        ((20, 0.03), (50, 0.03)),
        ((-40, -0.04), (30, 0.03)),
    ):
        phi, along = np.linspace(start[0], end[0], 81), np.linspace(start[1], end[1], 81)
        radius = RADIUS + taper * along
        solid = np.column_stack(
            [radius * np.sin(np.radians(phi)), along, radius * np.cos(np.radians(phi))]
        )
        true = np.sum(np.linalg.norm(np.diff(solid, axis=0), axis=1))
        assert line_length(view, cone(phi, along)) == pytest.approx(true, rel=0.005)


def test_the_grey_lines_stand_at_their_angle() -> None:
    view = true_view(0.06, 0.7)
    lines = view.lines_at_px(45.0, 900.0)
    np.testing.assert_allclose(view.angles_deg(lines[0]), -45.0, atol=0.01)
    np.testing.assert_allclose(view.angles_deg(lines[1]), 45.0, atol=0.01)
    assert true_view().front_px_per_m == pytest.approx(FRONT, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: true_view().angles_deg([BESIDE]),
            "A point lies on or beyond the outline of the shaft; got 1 points; allowed: points "
            "inside the outline; Move the points, or measure there on a view taken further round.",
        ),
        (
            lambda: cylinder_from_outline(
                [[0, 0], [0, 100]], [[500, 100], [500, 0]], Uncertain.exact(0.08),
                Uncertain.exact(1.0), CENTRE,
            ),
            "The two edges run in opposite directions or cross; allowed: both edges clicked in the "
            "same order along the shaft.",
        ),
        (
            lambda: cylinder_from_outline(
                [[0, 0], [0, 100]], [[500, 0], [500, 100]], Uncertain.exact(0.08),
                Uncertain.exact(0.03), CENTRE,
            ),
            "The camera cannot be nearer to the shaft than its radius; got 0.03 m; allowed: at "
            "least 0.04 m; Give the distance from the lens to the surface.",
        ),
    ],
)  # fmt: skip
def test_a_shaft_that_cannot_be_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
