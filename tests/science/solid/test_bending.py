"""Bending: exact beams, Winkler's factors, and cracks net of what is lost."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from softmend.errors import InputError
from softmend.science.solid.beam import Beam, beam_of
from softmend.science.solid.bending import (
    Supports,
    bending_stress,
    crack_stress,
    curved_share,
    internal,
)
from softmend.science.solid.section import Section
from tests.science.checks import expected
from tests.science.solid.bodies import path, turned

CHECKS = expected("softmend-solids")
DOWN = np.array([0, -1.0, 0])
WEIGHT, RADIUS = 10.0, 0.02


@pytest.fixture(scope="module")
def bar() -> Beam:
    """A round bar of 1 m and 40 mm."""
    return beam_of(turned(path([(0, 0), (RADIUS, 0), (RADIUS, 1.0), (0, 1.0)], 0.02), 64))


def held(*at: float) -> Supports:
    count = len(at)
    return Supports(np.array(at), np.full(count, WEIGHT / count), np.full(count, 1e-4))


@pytest.mark.parametrize(
    ("name", "at"),
    [
        ("two_ends_moment", (0.0, 1.0)),
        ("two_best_moment", (0.207107, 0.792893)),
        ("three_sixths_moment", (1 / 6, 0.5, 5 / 6)),
    ],
)
def test_the_largest_moment_is_that_of_the_textbook(bar: Beam, name: str, at: tuple) -> None:
    found = bending_stress(bar, held(*at), WEIGHT, DOWN)
    CHECKS[name].accept(float(found.bending.max()) / WEIGHT)


def slopes(bar: Beam, overhang: float) -> tuple[np.ndarray, np.ndarray]:
    """Places from the middle to an end, and the slope there times E I, held at two points."""
    at = np.linspace(0.5, 1.0, 401)
    moments, _ = internal(bar, held(overhang, 1 - overhang), WEIGHT, DOWN, at)
    steps = (moments[1:, 0] + moments[:-1, 0]) / 2 * np.diff(at)
    return at, np.concatenate([[0.0], np.cumsum(steps)])


def test_the_end_faces_stay_parallel_at_the_points_of_airy(bar: Beam) -> None:
    CHECKS["airy"].accept(brentq(lambda a: slopes(bar, a)[1][-1], 0.19, 0.23))


def test_the_middle_line_shortens_least_at_the_points_of_bessel(bar: Beam) -> None:
    def shortening(overhang: float) -> float:
        at, slope = slopes(bar, overhang)
        return float(np.trapezoid(slope**2, at))

    overhangs = np.linspace(0.212, 0.229, 35)
    parabola = np.polynomial.Polynomial.fit(overhangs, [shortening(a) for a in overhangs], 4)
    CHECKS["bessel"].accept(minimize_scalar(parabola, bounds=(0.212, 0.229), method="bounded").x)


def test_the_stress_is_m_r_over_i(bar: Beam) -> None:
    found = bending_stress(bar, held(0.0, 1.0), WEIGHT, DOWN)
    wanted = WEIGHT / 8 * RADIUS / (np.pi * RADIUS**4 / 4)
    assert found.largest == pytest.approx(wanted, rel=0.01)
    assert found.worst_at == pytest.approx(0.5, abs=0.02)


def test_a_bent_round_bar_has_the_factors_of_winkler() -> None:
    checks = expected("machinerys2020")
    angle = np.linspace(0, 2 * np.pi, 1441)
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    bar = Section(np.zeros(3), np.eye(3), np.stack([ring[:-1], ring[1:]], 1),
                  np.empty((0, 2, 2)), True, 0)  # fmt: skip
    for ratio in (1.2, 1.4, 1.6, 2.0, 3.0, 4.0, 6.0, 10.0):
        inside, outside = curved_share(bar, ratio, np.array([1.0, -1.0]))
        checks[f"inside_{ratio:g}"].accept(inside)
        checks[f"outside_{ratio:g}"].accept(-outside)


def test_a_crack_raises_the_stress_in_its_section(bar: Beam) -> None:
    moments, forces = internal(bar, held(0.0, 1.0), WEIGHT, DOWN, np.array([0.5]))
    below = bar.place(0.5) + np.array([0, -RADIUS, 0])
    found = [
        crack_stress(bar, (moments[0], forces[0]), 0.5, below, depth)
        for depth in (0.0, 0.005, 0.01)
    ]
    assert found[0].net == pytest.approx(found[0].whole, rel=0.05)
    assert found[0].net < found[1].net < found[2].net
    assert found[1].lost_share < found[2].lost_share < 0.3
    with pytest.raises(InputError, match="Nothing of the section is left"):
        crack_stress(bar, (moments[0], forces[0]), 0.5, below, 0.05)
    with pytest.raises(InputError, match="does not lie on the object"):
        crack_stress(bar, (moments[0], forces[0]), 1.5, below, 0.001)


def test_supports_must_carry_the_weight(bar: Beam) -> None:
    with pytest.raises(InputError, match="do not carry the weight"):
        bending_stress(bar, held(0.2, 0.8), 2 * WEIGHT, DOWN)
