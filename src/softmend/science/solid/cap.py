"""Caps over a rim, and the volume of what lies under them: flat, stretched, or smoothly on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from softmend.science.uncertain import Array

RINGS, AROUND, ROUNDS = 24, 96, 6


@dataclass(frozen=True, eq=False)
class OuterBand:
    """Middles [m] and areas [m2] of the faces round a rim, outside it."""

    places: Array
    areas: Array


def signed_volume(corners: Array, apex: Array) -> float:
    """Return the sum of signed tetrahedra from triangles to an apex.

    Parameters
    ----------
    corners : array (m, 3, 3), triangles [m]
    apex : array (3,), the common fourth corner [m]

    Returns
    -------
    float, positive where the triangles face away from the apex [m3]

    Source: own; divergence theorem.
    Checked against: tests/science/solid/test_void.py.

    Example
    -------
    >>> round(signed_volume(np.eye(3)[None], np.zeros(3)), 4)
    0.1667
    """
    a, b, c = np.moveaxis(corners - apex, 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def flat_cap(rim: Array, centre: Array) -> Array:
    """Return the triangles of a fan from a rim to its middle, facing as the rim runs.

    Parameters
    ----------
    rim : array (n, 3), the rim in order [m]
    centre : array (3,), the middle [m]

    Returns
    -------
    array (n, 3, 3), triangles [m]

    Source: softmend-solids, section 5a (fan).
    Checked against: tests/science/solid/test_void.py.

    Example
    -------
    >>> flat_cap(np.eye(3), np.zeros(3)).shape
    (3, 3, 3)
    """
    ahead = np.roll(rim, -1, axis=0)
    return np.stack([rim, ahead, np.broadcast_to(centre, rim.shape)], axis=1)


def below_plane(corners: Array, apex: Array, normal: Array) -> tuple[float, float]:
    """Return volume and area of what of a closed surface lies below a plane through an apex.

    Seen from a point of the plane, the cut itself adds no volume, so it need not be built.

    Parameters
    ----------
    corners : array (m, 3, 3), triangles [m]
    apex : array (3,), a point of the plane [m]
    normal : array (3,), upward direction of the plane [1]

    Returns
    -------
    float, signed volume [m3], and float, area of the triangles below [m2]

    Source: own; divergence theorem.
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> triangle = np.array([[[0, 0, -1.0], [2, 0, -1.0], [0, 0, 1.0]]])
    >>> below_plane(triangle, np.zeros(3), np.array([0, 0, 1.0]))[1]
    1.5
    """
    heights = (corners - apex) @ normal
    count = (heights < 0).sum(axis=1)
    parts = [corners[count == 3]]
    for wanted in (1, 2):
        cut, rise = corners[count == wanted], heights[count == wanted]
        if not len(cut):
            continue
        # The corner that is alone on its side comes first.
        alone = ((rise < 0) if wanted == 1 else (rise >= 0)).argmax(axis=1)
        turn = (alone[:, None] + np.arange(3)) % 3
        p, q, r = np.moveaxis(np.take_along_axis(cut, turn[:, :, None], 1), 1, 0)
        high = np.take_along_axis(rise, turn, 1)
        pq = p + (q - p) * (high[:, :1] / (high[:, :1] - high[:, 1:2]))
        pr = p + (r - p) * (high[:, :1] / (high[:, :1] - high[:, 2:]))
        if wanted == 1:
            parts.append(np.stack([p, pq, pr], axis=1))
        else:
            parts += [np.stack([pq, q, r], axis=1), np.stack([pq, r, pr], axis=1)]
    kept = np.concatenate(parts)
    a, b, c = np.moveaxis(kept, 1, 0)
    area = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
    return signed_volume(kept, apex), area


def membrane(rim: Array, centre: Array) -> Array:
    """Return the triangles of the smallest surface that a rim can carry.

    Parameters
    ----------
    rim : array (n, 3), the rim in order [m]
    centre : array (3,), its middle, where the search begins [m]

    Returns
    -------
    array (m, 3, 3), triangles facing as the rim runs [m]

    Source: softmend-solids, section 5a (repeated cotangent-Laplace solves on a polar grid).
    Checked against: tests/science/solid/test_void.py.

    Example
    -------
    >>> angle = np.arange(8) * np.pi / 4
    >>> ring = np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    >>> bool(abs(membrane(ring, np.zeros(3))[..., 2]).max() < 1e-12)
    True
    """
    even = _evenly(rim)
    points, faces = _disc(even, centre)
    inner = len(points) - AROUND
    for _ in range(ROUNDS):
        points[:inner] = _settled(points, faces, inner, points[inner:])
    return np.asarray(points[faces])


def smooth_cap(rim: Array, centre: Array, normal: Array, outer: OuterBand) -> Array | None:
    """Return the triangles of a cap that goes on as the surface round the rim does, or None.

    Parameters
    ----------
    rim : array (n, 3), the rim in order [m]
    centre : array (3,), its middle [m]
    normal : array (3,), direction out of the void [1]
    outer : OuterBand, the surface round the rim

    Returns
    -------
    array (m, 3, 3), triangles facing as the rim runs [m]; None where the surface says too little

    Source: softmend-solids, section 5a (robust quadratic, corrected harmonically to the rim).
    Checked against: tests/science/solid/test_void.py.

    Example
    -------
    >>> angle = np.arange(12) * np.pi / 6
    >>> ring = np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    >>> band = OuterBand(np.concatenate([1.2 * ring, 1.5 * ring]), np.ones(24))
    >>> cap = smooth_cap(ring, np.zeros(3), np.array([0, 0, 1.0]), band)
    >>> bool(abs(cap[..., 2]).max() < 1e-9)
    True
    """
    if len(outer.places) < 12:
        return None
    across = np.eye(3)[np.abs(normal).argmin()]
    x_way = np.cross(across, normal)
    x_way /= np.linalg.norm(x_way)
    frame = np.stack([x_way, np.cross(normal, x_way), normal])
    size = float(np.linalg.norm(rim - centre, axis=1).mean())
    factors = _quadratic((outer.places - centre) @ frame.T / size, outer.areas)
    even = _evenly(rim)
    points, faces = _disc(even, centre)
    own = (points - centre) @ frame.T / size
    inner = len(points) - AROUND
    fitted = _terms(own[:, 0], own[:, 1]) @ factors
    misfit = own[inner:, 2] - fitted[inner:]
    flat = np.concatenate([own[:, :2], np.zeros((len(own), 1))], axis=1)
    correction = _settled(flat, faces, inner, misfit[:, None])
    own[:inner, 2] = fitted[:inner] + correction[:, 0]
    return np.asarray((centre + size * own @ frame)[faces])


def _terms(x: Array, y: Array) -> Array:
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _quadratic(places: Array, areas: Array) -> Array:
    """Return the quadratic through most of some places; strays count little (Tukey's weights)."""
    terms = _terms(places[:, 0], places[:, 1])
    weight = areas / areas.max()
    factors = np.zeros(6)
    for _ in range(12):
        root = np.sqrt(weight)[:, None]
        factors = np.linalg.lstsq(terms * root, places[:, 2] * root[:, 0], rcond=None)[0]
        away = places[:, 2] - terms @ factors
        spread = 1.4826 * float(np.median(np.abs(away))) + 1e-9
        weight = areas / areas.max() * np.clip(1 - (away / (4.7 * spread)) ** 2, 0, 1) ** 2
    return np.asarray(factors)


def _evenly(rim: Array) -> Array:
    """Return points at even distances along a closed rim."""
    closed = np.concatenate([rim, rim[:1]])
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    wanted = np.linspace(0, at[-1], AROUND, endpoint=False)
    return np.stack([np.interp(wanted, at, closed[:, k]) for k in range(3)], axis=1)


def _disc(rim: Array, centre: Array) -> tuple[Array, Any]:
    """Return points and faces of a polar grid: the middle first, the rim itself last."""
    shares = np.linspace(0, 1, RINGS + 1)[1:, None, None]
    points = np.concatenate([centre[None], (centre + shares * (rim - centre)[None]).reshape(-1, 3)])
    number = 1 + np.arange(RINGS * AROUND).reshape(RINGS, AROUND)
    beside = np.roll(number, -1, axis=1)
    first = np.stack([np.zeros(AROUND, dtype=int), number[0], beside[0]], axis=-1)
    a, b, c, d = number[:-1], number[1:], beside[1:], beside[:-1]
    rest = [np.stack(t, axis=-1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))]
    return points, np.concatenate([first, *rest])


def _settled(points: Array, faces: Any, inner: int, at_rim: Array) -> Array:
    """Return values at the inner points for which the cotangent Laplacian is zero."""
    from scipy.sparse import coo_array
    from scipy.sparse.linalg import splu

    rows, columns, weights = [], [], []
    for k in range(3):
        i, j, o = faces[:, k], faces[:, (k + 1) % 3], faces[:, (k + 2) % 3]
        u, v = points[i] - points[o], points[j] - points[o]
        area = np.linalg.norm(np.cross(u, v), axis=1)
        cot = np.einsum("ij,ij->i", u, v) / np.maximum(area, 1e-300)
        cot = np.clip(cot, -1e3, 1e3) / 2
        rows += [i, j]
        columns += [j, i]
        weights += [cot, cot]
    count = len(points)
    off = coo_array(
        (np.concatenate(weights), (np.concatenate(rows), np.concatenate(columns))),
        shape=(count, count),
    ).tocsr()
    diagonal = np.asarray(off.sum(axis=1)).reshape(-1)
    inside = -off[:inner, :inner]
    inside.setdiag(inside.diagonal() + diagonal[:inner])
    return np.asarray(splu(inside.tocsc()).solve(off[:inner, inner:] @ at_rim))
