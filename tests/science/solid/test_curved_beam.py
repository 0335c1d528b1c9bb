"""A hollow beam on an arc, by its sections, against three-dimensional finite elements."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.science.solid.beam import beam_of
from softmend.science.solid.bending import Supports, bending_stress
from softmend.science.solid.mesh import Mesh
from tests.science.checks import expected
from tools.oracles.curved_beam import (
    BEND_M,
    COARSE,
    HALF_ARC_RAD,
    INNER_M,
    OUTER_M,
    PAD_LENGTH_RAD,
    PAD_RAD,
    STATIONS_RAD,
    half_weight,
    tensions,
)

CHECKS = expected("softmend-curved-beam")


def pipe(along: int = 140, around: int = 64) -> Mesh:
    """Return a pipe on an arc, its ends closed by flat rings, outward all over."""
    angle = np.linspace(-HALF_ARC_RAD, HALF_ARC_RAD, along)
    turn = 2 * np.pi * np.arange(around) / around
    rings = []
    for radius, way in ((OUTER_M, 1), (INNER_M, -1)):
        out = BEND_M + radius * np.cos(turn)
        up = np.broadcast_to(radius * np.sin(turn), (along, around))
        rings.append(np.stack([out * np.sin(angle)[:, None], out * np.cos(angle)[:, None], up],
                              axis=-1)[::way])  # fmt: skip
    closed = np.concatenate(rings)
    number = np.arange(len(closed) * around).reshape(-1, around)
    ahead, beside = np.roll(number, -1, axis=0), np.roll(number, -1, axis=1)
    both = np.roll(ahead, -1, axis=1)
    halves = ((number, ahead, both), (number, both, beside))
    faces = np.concatenate([np.stack(part, axis=-1).reshape(-1, 3) for part in halves])
    mesh = Mesh(closed.reshape(-1, 3), faces)
    inward = np.einsum("ij,ij->", mesh.centres, mesh.area_vectors) < 0
    return mesh.turned_over(np.full(len(faces), inward))


@pytest.fixture(scope="module")
def by_sections() -> np.ndarray:
    beam = beam_of(pipe())
    assert beam.is_beam
    assert beam.length == pytest.approx(2 * HALF_ARC_RAD * BEND_M, rel=0.005)
    weight = 2 * half_weight()
    at = beam.length / 2 + BEND_M * PAD_RAD * np.array([-1.0, 1.0])
    pads = Supports(at, np.full(2, weight / 2), np.full(2, BEND_M * PAD_LENGTH_RAD))
    found = bending_stress(beam, pads, weight, np.array([0.0, -1.0, 0.0]))
    from_the_top = (found.at - beam.length / 2) / BEND_M
    return np.interp(STATIONS_RAD, from_the_top, found.tension)


@pytest.mark.parametrize("number", range(len(STATIONS_RAD)))
def test_the_stress_is_that_of_finite_elements(by_sections: np.ndarray, number: int) -> None:
    CHECKS[f"tension_{STATIONS_RAD[number]:g}"].accept(by_sections[number])


def test_a_coarse_net_solved_here_says_the_same(by_sections: np.ndarray) -> None:
    found = tensions(COARSE)
    assert by_sections == pytest.approx(found, abs=0.05 * found.max())
    assert found[0] == pytest.approx(CHECKS["tension_0"].value, rel=0.02)
