"""Bodies of known volume as meshes: turned shapes, tusks, boxes; and ways to spoil a scan."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools

import numpy as np

from softmend.science.solid.mesh import Mesh, tidied


def tube(rings: np.ndarray) -> Mesh:
    """Return the closed surface through rings (k, n, 3); the end rings are closed by fans."""
    k, n = rings.shape[:2]
    number = np.arange(k * n).reshape(k, n)
    beside = np.roll(number, -1, axis=1)
    a, b, c, d = number[:-1], beside[:-1], beside[1:], number[1:]
    sides = np.concatenate([np.stack(t, axis=-1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])
    ends = []
    points = [rings.reshape(-1, 3)]
    for ring, turn in ((0, 1), (k - 1, -1)):
        if np.ptp(rings[ring], axis=0).max() > 1e-12:
            apex = k * n + len(points) - 1
            points.append(rings[ring].mean(axis=0)[None])
            fan = np.stack([np.full(n, apex), beside[ring], number[ring]], axis=-1)
            ends.append(fan[:, ::turn])
    return tidied(np.concatenate(points), np.concatenate([sides, *ends])).mesh


def turned(profile: np.ndarray, around: int = 96) -> Mesh:
    """Return the body that a profile of radius and height (k, 2) sweeps round the z axis."""
    angle = 2 * np.pi * np.arange(around) / around
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    rings = np.concatenate(
        [
            profile[:, None, :1] * circle[None],
            np.broadcast_to(profile[:, None, 1:], (len(profile), around, 1)),
        ],
        axis=-1,
    )
    return tube(rings)


def path(corners: list[tuple[float, float]], edge: float) -> np.ndarray:
    """Return a profile through corners with points about an edge apart."""
    found = [np.array(corners[:1])]
    for start, end in itertools.pairwise(corners):
        count = max(int(np.ceil(np.hypot(end[0] - start[0], end[1] - start[1]) / edge)), 1)
        share = np.linspace(0, 1, count + 1)[1:, None]
        found.append(np.array(start) * (1 - share) + np.array(end) * share)
    return np.concatenate(found)


def arc(radius: float, start: float, end: float, centre: float, edge: float) -> np.ndarray:
    """Return a profile on a circle round (0, centre) from one angle above the level to another."""
    count = max(int(np.ceil(abs(end - start) * radius / edge)), 2)
    angle = np.linspace(start, end, count + 1)
    return np.stack([radius * np.cos(angle), centre + radius * np.sin(angle)], axis=-1)


def sphere(radius: float, edge: float) -> Mesh:
    around = max(int(2 * np.pi * radius / edge), 12)
    return turned(arc(radius, -np.pi / 2, np.pi / 2, 0.0, edge), around)


def tusk(bend=0.9, turn=1.6, root=0.06, tip=0.008, cavity=(0.045, 0.7), along=240, around=64):
    """Return a tapering tusk on a circular arc in the xy plane, root at angle 0, with its cavity.

    `cavity` is mouth radius and the angle its cone reaches; None leaves it solid.
    """
    angle = 2 * np.pi * np.arange(around) / around

    def ring(at: float, radius: float) -> np.ndarray:
        out = np.array([np.cos(at), np.sin(at), 0.0])
        return out * bend + radius * (
            np.cos(angle)[:, None] * out - np.sin(angle)[:, None] * np.array([0, 0, 1.0])
        )

    rings = []
    if cavity is not None:
        mouth, reach = cavity
        steps = max(int(along * reach / turn), 4)
        rings += [ring(reach * s, mouth * (1 - s)) for s in np.linspace(1, 0, steps)]
        rings += [ring(0.0, mouth + (root - mouth) * s) for s in np.linspace(0, 1, 9)[1:-1]]
    else:
        rings += [ring(0.0, root * s) for s in np.linspace(0, 1, 9)[:-1]]
    rings += [ring(turn * s, root + (tip - root) * s) for s in np.linspace(0, 1, along)]
    rings += [ring(turn, tip * s) for s in (0.5, 0.0)]
    return tube(np.array(rings))


def bone(along: int = 120, around: int = 48) -> Mesh:
    """Return a long bone of no creature: 0.34 m, waisted, oval, slightly bowed."""
    s = np.linspace(0, 1, along)
    radius = 0.015 + 0.012 * np.abs(2 * s - 1) ** 3 + 0.001 * np.sin(9 * s)
    radius = radius * np.sqrt(np.clip(1 - np.abs(2 * s - 1) ** 40, 0, 1))
    angle = 2 * np.pi * np.arange(around) / around
    rings = np.stack(
        [
            radius[:, None] * np.cos(angle) * 1.2 + 0.01 * np.sin(np.pi * s)[:, None],
            radius[:, None] * np.sin(angle),
            np.broadcast_to(0.34 * s[:, None], (along, around)),
        ],
        axis=-1,
    )
    return tube(rings)


def holed(mesh: Mesh, centres: np.ndarray, radius: float) -> Mesh:
    """Return the mesh without the faces near some points."""
    away = np.linalg.norm(mesh.centres[:, None] - centres[None], axis=-1).min(axis=1)
    return mesh.part(away > radius)


def noisy(mesh: Mesh, sd: float, seed: int = 0) -> Mesh:
    """Return the mesh with white noise on every corner."""
    shift = np.random.default_rng(seed).normal(0, sd, mesh.points.shape)
    return Mesh(mesh.points + shift, mesh.faces)


def together(*meshes: Mesh) -> Mesh:
    """Return several meshes in one."""
    starts = np.cumsum([0, *(len(mesh.points) for mesh in meshes[:-1])])
    return Mesh(
        np.concatenate([mesh.points for mesh in meshes]),
        np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]),
    )
