"""Voids of known volume, with errors of picking and noise; leaks and bumps are said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.cap import below_plane, flat_cap, membrane, signed_volume
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.rim import crease_rim
from softmend.science.solid.void import Mouth, Void, void_volume
from tests.science.checks import expected
from tests.science.solid.bodies import arc, noisy, path, turned

CHECKS = expected("softmend-solids")
EDGE = 0.0015
MM3 = 1e9


def picks(radius: float, height: float, sd: float = 0.0004, seed: int = 3) -> np.ndarray:
    angle = 2 * np.pi * (np.arange(10) + 0.3) / 10
    ring = np.stack([radius * np.cos(angle), radius * np.sin(angle), 0 * angle + height], axis=-1)
    return ring + np.random.default_rng(seed).normal(0, sd, ring.shape)


def socket() -> Mesh:
    corners = [(0, 0), (0.045, 0), (0.045, 0.04), (0.02, 0.04), (0.02, 0.01), (0, 0.01)]
    return turned(path(corners, EDGE), 150)


def bowl() -> Mesh:
    block = path([(0, 0), (0.045, 0), (0.045, 0.04), (0.02, 0.04)], EDGE)
    return turned(np.concatenate([block, arc(0.02, 0, -np.pi / 2, 0.04, EDGE)[1:]]), 150)


def pit() -> tuple[Mesh, float, float]:
    """Return a ball of 60 mm with a pit of a 20 mm ball whose middle lies on its surface."""
    height = (2 * 0.06**2 - 0.02**2) / (2 * 0.06)
    ball = arc(0.06, -np.pi / 2, np.arcsin(height / 0.06), 0, EDGE)
    inner = arc(0.02, np.arcsin((height - 0.06) / 0.02), -np.pi / 2, 0.06, EDGE)
    return turned(np.concatenate([ball, inner[1:]]), 150), np.sqrt(0.06**2 - height**2), height


def hollow_end() -> Mesh:
    return turned(path([(0, 0), (0.06, 0), (0.055, 0.3), (0.045, 0.3), (0, 0.15)], 0.003), 110)


def found(mesh: Mesh, radius: float, height: float, inside: list[float], noise: float) -> Void:
    return void_volume(noisy(mesh, noise) if noise else mesh, picks(radius, height), inside)


@pytest.mark.parametrize("noise", [0.0, 2e-4])
def test_a_socket_in_a_flat_face(noise: float) -> None:
    void = found(socket(), 0.02, 0.04, [0, 0, 0.01], noise)
    assert void.mouth is Mouth.HOLE
    true = CHECKS["socket_volume"].value
    for volume in (void.fan, void.membrane, void.smooth, void.typical):
        assert MM3 * volume == pytest.approx(true, rel=0.005)
    assert void.low < true / MM3 < void.high
    assert void.depth == pytest.approx(0.03, abs=0.001)


@pytest.mark.parametrize("noise", [0.0, 2e-4])
def test_a_bowl(noise: float) -> None:
    void = found(bowl(), 0.02, 0.04, [0, 0, 0.02], noise)
    assert MM3 * void.typical == pytest.approx(CHECKS["bowl_volume"].value, rel=0.01)


@pytest.mark.parametrize("noise", [0.0, 2e-4])
def test_a_pit_in_a_round_surface_needs_the_smooth_cap(noise: float) -> None:
    mesh, radius, height = pit()
    void = found(mesh, radius, height, [0, 0, 0.04], noise)
    true = CHECKS["pit_volume"].value
    assert void.mouth is Mouth.HOLE
    assert MM3 * void.typical == pytest.approx(true, rel=0.015)
    assert void.membrane < 0.88 * void.typical
    assert void.low < true / MM3 < void.high


@pytest.mark.parametrize("noise", [0.0, 2e-4])
def test_an_open_end_is_capped_flat_and_never_continued(noise: float) -> None:
    void = found(hollow_end(), 0.045, 0.3, [0.01, 0, 0.185], noise)
    assert void.mouth is Mouth.END
    assert void.smooth is None
    assert MM3 * void.typical == pytest.approx(CHECKS["saddle_end_volume"].value, rel=0.005)


def test_an_oblique_end_is_asked_about() -> None:
    # A cone that opens at about 45 degrees: neither a hole nor an end by itself.
    corners = [(0, 0), (0.06, 0), (0.06, 0.05), (0.035, 0.09), (0.033, 0.09), (0, 0.05)]
    mesh = turned(path(corners, 0.002), 110)
    void = void_volume(mesh, picks(0.033, 0.09, 1e-4), [0.004, 0, 0.055])
    assert void.mouth is Mouth.UNKNOWN
    assert void.smooth is not None
    said = void_volume(mesh, picks(0.033, 0.09, 1e-4), [0.004, 0, 0.055], Mouth.END)
    assert said.typical == pytest.approx(said.membrane)


def test_a_part_fill_is_the_frustum() -> None:
    void = found(hollow_end(), 0.045, 0.3, [0.01, 0, 0.185], 0.0)
    below, area = void.filled_to(0.05)
    radius = 0.045 * (0.1 / 0.15)
    assert below == pytest.approx(np.pi * radius**2 * 0.1 / 3, rel=0.01)
    assert area == pytest.approx(np.pi * radius * np.hypot(radius, 0.1), rel=0.01)


def test_a_notch_lowers_the_level_fill() -> None:
    mesh = hollow_end()
    points = mesh.points.copy()
    near = (points[:, 2] > 0.29) & (np.abs(np.arctan2(points[:, 1], points[:, 0])) < 0.5)
    points[near, 2] -= 0.02
    lower = void_volume(Mesh(points, mesh.faces), picks(0.045, 0.297), [0.01, 0, 0.185])
    assert lower.level_depth > 0.005
    assert lower.level < 0.92 * lower.fan


def test_the_rim_snaps_to_the_crease() -> None:
    mesh = socket()
    rim = crease_rim(mesh, picks(0.02, 0.04, 1e-3, 5))
    radius = np.hypot(*mesh.points[rim][:, :2].T)
    assert np.abs(radius - 0.02).max() < 1e-6
    assert len(np.unique(rim)) == len(rim)


def test_a_leak_a_bump_and_a_hole_are_said() -> None:
    mesh = socket()
    with pytest.raises(InputError, match="The rim does not close round"):
        void_volume(mesh, picks(0.02, 0.04)[:5], [0.03, 0.03, 0.04])
    with pytest.raises(InputError, match=r"does not close round|a bump, not a void"):
        void_volume(mesh, picks(0.02, 0.04), [0.04, 0.0, 0.04])
    peg = turned(path([(0, 0), (0.045, 0), (0.045, 0.01), (0.02, 0.01), (0.02, 0.04), (0, 0.04)],
                      EDGE), 150)  # fmt: skip
    with pytest.raises(InputError, match="a bump, not a void"):
        void_volume(peg, picks(0.02, 0.01), [0, 0, 0.04])
    unseen = mesh.part(np.hypot(*mesh.centres[:, :2].T) + 100 * np.abs(
        mesh.centres[:, 2] - 0.01) > 0.01)  # fmt: skip
    with pytest.raises(InputError, match="The scanner did not see the bottom"):
        void_volume(unseen, picks(0.02, 0.04), [0.02, 0.0, 0.03])
    with pytest.raises(InputError, match="too few or too many picks"):
        crease_rim(mesh, picks(0.02, 0.04)[:2])


def test_caps_enclose_what_they_should() -> None:
    angle = 2 * np.pi * np.arange(64) / 64
    ring = np.stack([np.cos(angle), np.sin(angle), 0.2 * np.cos(2 * angle)], axis=-1)
    flat, tight = flat_cap(ring, np.zeros(3)), membrane(ring, np.zeros(3))

    def area(corners: np.ndarray) -> float:
        a, b, c = np.moveaxis(corners, 1, 0)
        return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)

    assert area(tight) < area(flat)
    assert signed_volume(flat, np.zeros(3)) == pytest.approx(0, abs=1e-12)
    whole = np.concatenate([flat, flat[:, ::-1] - [0, 0, 1]])
    assert below_plane(whole, np.array([0, 0, 9.0]), np.array([0, 0, 1.0]))[1] > 0
