"""Volumes and centres against closed forms; area belongs to its mesh edge."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.check import checked_shape
from softmend.science.solid.volume import capped_volume, smoothed, solid_volume, surface_area
from tests.science.checks import expected
from tests.science.solid.bodies import arc, noisy, sphere, tube, turned, tusk

CHECKS = expected("softmend-solids")
MM, MM3 = 1e3, 1e9


def torus_segment() -> tuple[float, np.ndarray]:
    angle = 2 * np.pi * np.arange(128) / 128
    at = np.linspace(0, 1.2, 200)[:, None]
    out = 0.5 + 0.05 * np.cos(angle)
    rings = np.stack([out * np.cos(at), out * np.sin(at), -0.05 * np.sin(angle) + 0 * at], axis=-1)
    return capped_volume(tube(rings))


def test_a_torus_segment_has_the_volume_and_centre_of_pappus() -> None:
    volume, centre = torus_segment()
    CHECKS["torus_volume"].accept(MM3 * volume)
    CHECKS["torus_centre"].accept(MM * float(np.hypot(centre[0], centre[1])))


def test_a_tusk_has_the_volume_of_the_straight_frustum() -> None:
    volume, centre = capped_volume(tusk(cavity=None))
    CHECKS["tusk_volume"].accept(MM3 * volume)
    CHECKS["tusk_x"].accept(MM * centre[0])
    CHECKS["tusk_y"].accept(MM * centre[1])


def test_a_pulp_cavity_moves_the_centre() -> None:
    solid, _ = capped_volume(tusk(cavity=None))
    hollow, centre = capped_volume(tusk())
    CHECKS["cavity_volume"].accept(MM3 * (solid - hollow))
    CHECKS["hollow_x"].accept(MM * centre[0])
    CHECKS["hollow_y"].accept(MM * centre[1])


def test_both_methods_agree_on_a_sphere() -> None:
    ball = sphere(0.05, 0.002)
    found = solid_volume(checked_shape(ball.points, ball.faces))
    CHECKS["sphere_volume"].accept(MM3 * found.capped)
    CHECKS["sphere_volume"].accept(MM3 * found.counted)
    assert found.centre_spread < 2e-5


def test_noise_adds_to_the_area_and_smoothing_takes_it_off() -> None:
    ball = sphere(0.03, 0.0008)
    rough = noisy(ball, 1e-4)
    found = surface_area(rough)
    assert found.area > 1.02 * ball.area
    assert found.smoothed == pytest.approx(ball.area, rel=0.03)
    assert found.smoothed < 0.99 * found.area
    assert found.mean_edge == pytest.approx(ball.mean_edge, rel=0.1)


def test_smoothing_keeps_volume_and_open_rims() -> None:
    ball = sphere(0.03, 0.002)
    half = turned(arc(0.03, 0.0, np.pi / 2, 0.0, 0.002))
    open_half = half.part(half.centres[:, 2] > 1e-6)
    assert capped_volume(smoothed(ball, 10))[0] == pytest.approx(capped_volume(ball)[0], rel=0.01)
    rim = np.unique(open_half.rim)
    assert (smoothed(open_half, 5).points[rim] == open_half.points[rim]).all()


def test_numbers_out_of_range_are_refused() -> None:
    ball = sphere(0.03, 0.005)
    with pytest.raises(InputError, match="number of grid points"):
        solid_volume(checked_shape(ball.points, ball.faces), 10)
    with pytest.raises(InputError, match="smoothing length"):
        surface_area(ball, 5.0)
