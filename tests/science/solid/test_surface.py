"""Lengths over a surface: a helix and a great circle, and what noise does."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.surface import surface_length
from tests.science.checks import expected
from tests.science.solid.bodies import noisy, path, sphere, turned

CHECKS = expected("softmend-solids")
CYLINDER = turned(path([(0, 0), (0.04, 0), (0.04, 0.2), (0, 0.2)], 0.0025), 100)
ENDS = [[0.04 * np.cos(a), 0.04 * np.sin(a), z] for a, z in ((0.1, 0.05), (1.6, 0.15))]


def test_a_helix_is_its_unrolled_line() -> None:
    found = surface_length(CYLINDER, ENDS)
    CHECKS["helix"].accept(1e3 * found.length)
    assert found.chord < 0.98 * found.length
    assert not found.is_noisy


def test_a_length_does_not_depend_on_where_the_scan_stands() -> None:
    far = np.array([512_345.0, 4_412_345.0, 120.0])
    found = surface_length(CYLINDER.moved(np.eye(3), far), np.array(ENDS) + far)
    CHECKS["helix"].accept(1e3 * found.length)
    assert found.path[0] == pytest.approx(np.array(ENDS[0]) + far, abs=1e-4)


def test_noise_is_found_and_its_length_smoothed_away() -> None:
    found = surface_length(noisy(CYLINDER, 3e-4), ENDS)
    assert found.noise == pytest.approx(3e-4, rel=0.2)
    assert found.is_noisy
    wanted = CHECKS["helix"].value / 1e3
    assert abs(found.smoothed - wanted) < abs(found.length - wanted)


def test_a_quarter_of_a_great_circle() -> None:
    ball = sphere(0.05, 0.002)
    found = surface_length(ball, [[0.05, 0, 0], [0, 0.05 * np.cos(0.5), 0.05 * np.sin(0.5)]])
    CHECKS["great_circle"].accept(1e3 * found.length)


def test_loose_corners_and_sheets_that_touch_in_a_corner_do_not_stop_a_length() -> None:
    loose = Mesh(np.concatenate([CYLINDER.points, [[0.0, 0.0, 0.1]]]), CYLINDER.faces)
    CHECKS["helix"].accept(1e3 * surface_length(loose, ENDS).length)
    # Every other cut-out of a rough scan hangs together by a corner somewhere.
    kept = np.ones(len(CYLINDER.faces), dtype=bool)
    kept[np.flatnonzero(CYLINDER.centres[:, 0] < -0.02)[::7]] = False
    pinched = Mesh(CYLINDER.points, CYLINDER.faces[kept])
    CHECKS["helix"].accept(1e3 * surface_length(pinched, ENDS).length)


def test_a_pick_off_the_surface_is_refused() -> None:
    with pytest.raises(InputError, match="far from the surface"):
        surface_length(CYLINDER, [[1, 1, 1], ENDS[1]])
    with pytest.raises(InputError, match="two picks or more"):
        surface_length(CYLINDER, [ENDS[0]])
