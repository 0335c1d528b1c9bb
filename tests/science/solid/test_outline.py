"""Outlines of sections: area, widths and hollows against exact ones and a general library."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

from softmend.science.solid.mesh import Mesh
from softmend.science.solid.outline import section_outline
from tests.science.solid.bodies import path, together, turned, tusk

Z = np.array([0, 0, 1.0])


def test_an_oval_bar_has_its_area_and_its_axes() -> None:
    bar = turned(path([(0, 0), (0.03, 0), (0.03, 0.2), (0, 0.2)], 0.01), 240)
    oval = Mesh(bar.points * [1, 0.5, 1], bar.faces)
    found = section_outline(oval, np.array([0, 0, 0.101]), Z)
    assert found is not None
    assert found.is_closed
    assert found.area == pytest.approx(np.pi * 0.03 * 0.015, rel=1e-3)
    assert found.greatest == pytest.approx(0.06, rel=1e-4)
    assert found.least == pytest.approx(0.03, rel=1e-3)


def test_a_scanned_hollow_is_counted_off_and_shown() -> None:
    found = section_outline(
        tusk(along=120, around=96), np.array([0.9 * np.cos(0.3), 0.9 * np.sin(0.3), 0]),
        np.array([-np.sin(0.3), np.cos(0.3), 0]),
    )  # fmt: skip
    assert found is not None
    near = [loop for loop in found.loops if np.linalg.norm(loop.points.mean(axis=0)) < 0.05]
    # At 0.3 of 1.6 rad the tusk is 60 - 52 * 0.3 / 1.6 mm thick, its cone 45 * 4 / 7 mm wide.
    outer, inner = np.pi * 0.05025**2, np.pi * (0.045 * 4 / 7) ** 2
    assert sum(loop.area for loop in near) == pytest.approx(outer - inner, rel=0.005)
    assert min(loop.area for loop in near) == pytest.approx(-inner, rel=0.01)


def test_a_slanting_plane_through_two_bodies_agrees_with_general_libraries() -> None:
    body = tusk(cavity=None, along=80, around=32)
    both = together(body, Mesh(body.points + 0.2 * Z, body.faces))
    way = np.array([0.3, 0.9, 0.2]) / np.linalg.norm([0.3, 0.9, 0.2])
    origin = np.array([0.6, 0.6, 0.0])
    found = section_outline(both, origin, way)
    assert found is not None
    cut = trimesh.Trimesh(both.points, both.faces, process=False).section(way, origin)
    assert cut is not None
    rings = [(np.asarray(row) - found.origin) @ found.frame[:2].T for row in cut.discrete]
    assert len(found.loops) == len(rings)
    assert found.area == pytest.approx(sum(shapely.Polygon(ring).area for ring in rings), rel=1e-6)
    assert found.around == pytest.approx(cut.length, rel=1e-6)
    largest = shapely.Polygon(found.loops[0].points)
    assert largest.is_valid
    assert found.loops[0].area == pytest.approx(largest.area, rel=1e-9)
    thinnest = shapely.minimum_rotated_rectangle(largest)
    sides = np.linalg.norm(np.diff(np.array(thinnest.exterior.coords), axis=0), axis=1)
    assert found.least <= sides.min() * (1 + 1e-9)
    assert found.greatest <= 2 * shapely.minimum_bounding_radius(largest) * (1 + 1e-9)


def test_an_open_scan_has_an_open_outline() -> None:
    bar = turned(path([(0, 0), (0.03, 0), (0.03, 0.2), (0, 0.2)], 0.01), 48)
    slit = bar.part(bar.centres[:, 0] < 0.025)
    found = section_outline(slit, np.array([0, 0, 0.101]), Z)
    assert found is not None
    assert not found.is_closed
    assert section_outline(slit, np.array([0, 0, 5.0]), Z) is None
