"""The pure parts of the demo's generator, against the imaging library and closed formulas."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from tools.demo.antler import CARRIER, GROOVES
from tools.demo.camera import Camera
from tools.demo.features import Blob, Groove, area_mm2, length_mm
from tools.demo.lattice import Edges, lattice, normals, triangles
from tools.demo.truth import stretches

CRACK = Groove("c", "crack", "", ((0, 0.0), (100, 0.0)), 10, 90, {"before": 1.0, "after": 2.0}, 3.0)


class Plane:
    """A flat carrier."""

    def points(self, row: np.ndarray, cross: np.ndarray, height: np.ndarray) -> np.ndarray:
        return np.stack([cross, row, np.zeros_like(row) + height], axis=-1)


class Tube:
    """A cylinder of radius 20 mm along x."""

    def points(self, row: np.ndarray, cross: np.ndarray, height: np.ndarray) -> np.ndarray:
        out = 20.0 + height
        return np.stack([row, out * np.sin(cross), out * np.cos(cross)], axis=-1)


def test_the_camera_agrees_with_the_imaging_library() -> None:
    camera = Camera((30.0, -20.0, 900.0), (5.0, 10.0, 0.0), (0.1, 1.0, 0.0), 5000.0, 2000, 1500)
    points = np.random.default_rng(1).uniform(-80, 80, (20, 3))
    turned = camera.axes * np.array([[1.0], [-1.0], [1.0]])
    inner = np.array([[5000.0, 0, 1000], [0, 5000.0, 750], [0, 0, 1]])
    shift = -turned @ np.array(camera.position_mm)
    expected = cv2.projectPoints(points, cv2.Rodrigues(turned)[0], shift, inner, np.zeros(4))[0]
    assert camera.project(points) == pytest.approx(expected[:, 0], abs=1e-6)


def test_an_even_blob_has_the_area_of_an_ellipse_on_flat_and_round_ground() -> None:
    flat = Blob("b", "loss", "", 0.0, 0.0, 12.0, 5.0, 0.0, 0.0)
    assert area_mm2(Plane(), flat) == pytest.approx(np.pi * 60, rel=1e-4)
    round_ = Blob("b", "loss", "", 0.0, 0.3, 12.0, 5.0, 0.0, 0.0, metric=20.0)
    assert area_mm2(Tube(), round_) == pytest.approx(np.pi * 60, rel=1e-4)


def test_a_point_on_the_outline_is_neither_inside_nor_outside() -> None:
    blob = Blob("b", "loss", "", 3.0, 0.2, 12.0, 5.0, 0.2, 0.0, seed=4, turn=0.4, metric=20.0)
    angle = np.linspace(0, 6, 50)
    row, cross = blob.at(np.ones_like(angle), angle)
    assert blob.inside_mm(row, cross) == pytest.approx(np.zeros(50), abs=1e-9)


@pytest.mark.parametrize("groove", GROOVES, ids=lambda groove: groove.name)
def test_the_lips_of_a_crack_stand_its_width_apart(groove: Groove) -> None:
    row = np.linspace(groove.start, groove.end, 4001)
    centre, half = groove.centre(row), groove.half_cross(CARRIER, row, "after")
    low, high = (CARRIER.points(row, centre + s * half, np.zeros_like(row)) for s in (-1, 1))
    at = np.arange(400, 3601, 100)
    gap = [np.linalg.norm(high - low[station], axis=1).min() for station in at]
    assert gap == pytest.approx(groove.width_mm(row[at], "after"), rel=0.03)


def test_a_straight_crack_is_as_long_as_its_ends_are_apart() -> None:
    row = np.linspace(10, 90, 200)
    line = Tube().points(row, CRACK.centre(row), np.zeros(200))
    assert length_mm(line) == pytest.approx(80.0, rel=1e-9)


def test_an_opened_crack_pushes_its_lips_apart_and_leaves_the_edges() -> None:
    rows = np.linspace(0, 100, 51)
    edges = Edges(np.full(51, -10.0), np.full(51, 10.0))
    nets = [lattice(Plane(), (CRACK,), rows, edges, (20, 20), state) for state in CRACK.widest_mm]
    before, after = nets
    lips = [net.cross[25, 20] for net in nets]
    assert lips[1] == pytest.approx(2 * lips[0])
    assert after.cross[25, [0, -1]] == pytest.approx([-10, 10])
    assert after.rest == pytest.approx(before.cross)
    assert before.depth_mm.max() == pytest.approx(3.0)


def test_cracks_that_cross_are_refused() -> None:
    other = Groove("d", "crack", "", ((0, -5.0), (100, 5.0)), 10, 90, {"before": 1.0}, 3.0)
    rows = np.linspace(0, 100, 51)
    edges = Edges(np.full(51, -10.0), np.full(51, 10.0))
    with pytest.raises(ValueError, match="two cracks cross"):
        lattice(Plane(), (CRACK, other), rows, edges, (9, 9, 9), "before")


def test_normals_point_away_from_a_plane() -> None:
    cross, row = np.meshgrid(np.arange(5.0), np.arange(4.0))
    net = Plane().points(row, cross, np.zeros_like(row))
    assert np.abs(normals(net)[..., 2]) == pytest.approx(np.ones((4, 5)))
    assert triangles(net).shape == (24, 3)
    assert triangles(net).max() == 19


def test_stretches_bridge_a_speck_and_part_at_a_gap() -> None:
    seen = np.array([0, 1, 1, 0, 0, 1, 1, 0, 0, 0, 0, 0, 1, 1, 0], bool)
    assert stretches(seen) == [slice(1, 7), slice(12, 14)]
    assert stretches(np.zeros(3, bool)) == []
