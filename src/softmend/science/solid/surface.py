"""The length of a crack over the surface: the shortest way through picks, mesh and noise told."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.closing import closed_over
from softmend.science.solid.mesh import Mesh, joined
from softmend.science.solid.volume import smoothed
from softmend.science.uncertain import Array

EDGES_PER_NOISE = 10.0
"""A path on a mesh whose edge is less than this many times its noise reads long."""
SMOOTHING_ROUNDS = 10
MOST_PICKS = 200
LARGE = 120_000
"""Faces of a neighbourhood above which only a strip of it is searched."""


@dataclass(frozen=True, eq=False)
class SurfaceLength:
    """A length over the surface [m], with what it depends on.

    `smoothed` is the same on the smoothed surface, `chord` the straight way through the picks once
    they lie on the surface, `straight` as they were given, `spacing` the mean distance of picks,
    `moved` the farthest a pick was from the surface.
    """

    length: float
    smoothed: float
    chord: float
    straight: float
    spacing: float
    mean_edge: float
    noise: float
    moved: float
    path: Array
    is_noisy: bool


def surface_length(mesh: Mesh, picks: ArrayLike) -> SurfaceLength:
    """Return the length of the shortest line over the surface through picks in order.

    Parameters
    ----------
    mesh : Mesh, the scan
    picks : array-like (n, 3), along the crack [m], 2 to 200

    Returns
    -------
    SurfaceLength [m]

    Raises
    ------
    InputError
        When there are too few picks, they lie off the surface, or no surface joins them.

    Source: sharp2020 (edge flips); softmend-solids, section 5e.
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> across, up = np.meshgrid(np.arange(8.0), np.arange(8.0))
    >>> points = np.stack([across.ravel(), up.ravel(), 0 * up.ravel()], axis=-1)
    >>> n = np.array([8 * r + c for r in range(7) for c in range(7)])
    >>> faces = np.concatenate([np.stack([n, n + 1, n + 8], 1), np.stack([n + 1, n + 9, n + 8], 1)])
    >>> round(surface_length(Mesh(points, faces), [[0, 0, 0], [3, 4, 0]]).length, 4)
    5.0
    """
    places = np.asarray(picks, dtype=np.float64).reshape(-1, 3)
    if not 2 <= len(places) <= MOST_PICKS:
        raise InputError(
            "A crack needs two picks or more", value=len(places), allowed=f"2 to {MOST_PICKS}"
        )
    # Map coordinates far from the origin would leave too few digits for the path.
    origin = np.round(mesh.middle)
    places = places - origin
    # The sums over a large scan are kept where nothing shifts.
    near_origin = Mesh(mesh.points - origin, mesh.faces) if origin.any() else mesh
    mesh = closed_over(_unbranched(near_origin))
    far, _, on = mesh.nearest_points(places)
    chord = _run(on)
    if float(far.max()) > max(0.05 * mesh.size, 4 * mesh.mean_edge):
        raise InputError(
            "A pick lies far from the surface",
            value=f"{1e3 * float(far.max()):.1f} mm",
            allowed=f"within {50 * mesh.size:.1f} mm",
            remedy="pick on the scan, in the file's own coordinates",
        )
    if not chord > 0:
        raise InputError("The picks fall together", value=f"{len(places)} picks")
    path = np.concatenate(_legs(mesh, on))
    noise = _noise(mesh, on)
    near = _corridor(_around(mesh, on[0], on[-1], on), path, 0.1 * chord)
    gentle = smoothed(near, SMOOTHING_ROUNDS)
    eased = np.concatenate(_legs(gentle, gentle.nearest_points(on)[2]))
    return SurfaceLength(
        _run(path), _run(eased), chord, _run(places), chord / (len(places) - 1), mesh.mean_edge,
        noise, float(far.max()), path + origin, bool(mesh.mean_edge < EDGES_PER_NOISE * noise),
    )  # fmt: skip


def _unbranched(mesh: Mesh) -> Mesh:
    """Return the mesh without the faces round edges in which more than two meet."""
    many = mesh.edges.count > 2
    if not many.any():
        return mesh
    touched = many[mesh.edges.of_half].reshape(-1, 3)
    return mesh.part(np.asarray(~(touched[:, 0] | touched[:, 1] | touched[:, 2])))


def _run(path: Array) -> float:
    return float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())


def _legs(mesh: Mesh, on: Array) -> list[Array]:
    """Return the shortest path of each leg between two points of the surface."""
    return [_leg(mesh, start, end) for start, end in itertools.pairwise(on)]


def _leg(mesh: Mesh, start: Array, end: Array) -> Array:
    """Return the shortest path between two points of the surface, both made corners first."""
    last: Exception | None = None
    for factor in (1.0, 3.0, np.inf):
        part = _near(mesh, start, end, factor)
        if part is None:
            continue
        if len(part.faces) > LARGE:
            found = _in_corridor(part, start, end)
            if found is not None:
                return found
        try:
            return _leg_on(part, start, end)
        # The library says by a plain error that a cut-out is not connected or not a surface.
        except (RuntimeError, ValueError) as error:
            last = error
    raise InputError(
        "No whole surface joins two picks",
        value=f"{1e3 * float(np.linalg.norm(end - start)):.1f} mm apart",
        allowed="picks on one connected surface, at most two faces to an edge",
        remedy="pick closer together, or close the scan first",
    ) from last


def _leg_on(mesh: Mesh, start: Array, end: Array) -> Array:
    from importlib import import_module

    solver: Any = import_module("potpourri3d").EdgeFlipGeodesicSolver
    part, first = _with_corner(_unpinched(mesh), start)
    part, second = _with_corner(part, end)
    if first == second:
        return np.stack([start, end])
    return np.asarray(solver(part.points, part.faces).find_geodesic_path(first, second))


def _unpinched(mesh: Mesh) -> Mesh:
    """Return the mesh with every corner parted in which sheets only touch; loose corners go.

    A cut-out often hangs together by a corner, and the path finder takes no such surface.
    """
    order = np.argsort(mesh.edges.of_half, kind="stable")
    both = order[np.isin(mesh.edges.of_half[order], mesh.edges.paired)].reshape(-1, 2)
    face, side = np.divmod(both, 3)
    ahead = 3 * face + (side + 1) % 3
    flat = mesh.faces.reshape(-1)
    # Two faces may run along their edge the same way or opposite ways.
    same = (flat[both[:, 0]] == flat[both[:, 1]])[:, None]
    starts = np.where(same, both, np.stack([both[:, 0], ahead[:, 1]], axis=1))
    ends = np.where(same, ahead, np.stack([ahead[:, 0], both[:, 1]], axis=1))
    corners = joined(len(flat), starts, ends)
    points = np.empty((int(corners.max()) + 1, 3))
    points[corners] = mesh.points[flat]
    return Mesh(points, corners.reshape(-1, 3))


def _in_corridor(mesh: Mesh, start: Array, end: Array) -> Array | None:
    """Return the shortest path within a strip round the way along edges; None where it is cut."""
    width = max(0.08 * float(np.linalg.norm(end - start)), 8 * mesh.mean_edge)
    strip = _corridor(mesh, _along_edges(mesh, start, end), width)
    if len(strip.faces) > 0.7 * len(mesh.faces):
        return None
    path = _leg_on(strip, start, end)
    own = np.unique(strip.rim)
    if not len(own):
        return path
    from scipy.spatial import cKDTree

    # Only the strip's own sides count: where it has none near, nothing cut the path short.
    clear = float(cKDTree(strip.points[own]).query(path)[0].min())
    return path if clear > 2 * mesh.mean_edge else None


def _along_edges(mesh: Mesh, start: Array, end: Array) -> Array:
    """Return the shortest way along edges between the corners nearest to two points."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    first, last = (int(((mesh.points - one) ** 2).sum(axis=1).argmin()) for one in (start, end))
    a, b = mesh.edges.ends.T
    lengths = np.linalg.norm(mesh.points[a] - mesh.points[b], axis=1)
    graph = coo_array((lengths, (a, b)), shape=(len(mesh.points),) * 2).tocsr()
    _, before = dijkstra(graph, directed=False, indices=first, return_predecessors=True)
    way = [last]
    while way[-1] != first and before[way[-1]] >= 0:
        way.append(int(before[way[-1]]))
    return mesh.points[way]


def _corridor(mesh: Mesh, path: Array, width: float) -> Mesh:
    """Return the faces near a path."""
    from scipy.spatial import cKDTree

    reach = max(width, 8 * mesh.mean_edge)
    low, high = path.min(axis=0) - reach, path.max(axis=0) + reach
    boxed = np.flatnonzero(((mesh.centres >= low) & (mesh.centres <= high)).all(axis=1))
    away = cKDTree(path).query(mesh.centres[boxed], distance_upper_bound=reach)[0]
    return mesh.part(boxed[np.isfinite(away)])


def _near(mesh: Mesh, start: Array, end: Array, factor: float) -> Mesh | None:
    """Return the neighbourhood of a leg: a capsule round it, the piece that holds both ends."""
    reach = float(np.linalg.norm(end - start)) * factor
    if not np.isfinite(reach):
        return mesh
    middle = (start + end) / 2
    near = np.linalg.norm(mesh.centres - middle, axis=1) < reach + 4 * mesh.mean_edge
    if not near.any():
        return None
    part = mesh.part(near)
    ends = part.nearest_points(np.stack([start, end]))
    pieces = part.pieces
    if float(ends[0].max()) > 1e-6 * mesh.size or pieces[ends[1][0]] != pieces[ends[1][1]]:
        return None
    return part.part(pieces == pieces[ends[1][0]])


def _around(mesh: Mesh, start: Array, end: Array, on: Array) -> Mesh:
    middle = on.mean(axis=0)
    reach = float(np.linalg.norm(on - middle, axis=1).max()) * 2.5 + 10 * mesh.mean_edge
    near = np.linalg.norm(mesh.centres - middle, axis=1) < reach
    return mesh.part(near)


def _with_corner(mesh: Mesh, place: Array) -> tuple[Mesh, int]:
    """Return the mesh with a point of its surface as a corner, and that corner's number."""
    face = int(mesh.nearest_points(place[None])[1][0])
    corners = mesh.faces[face]
    away = np.linalg.norm(mesh.points[corners] - place, axis=1)
    sides = np.linalg.norm(mesh.points[corners] - mesh.points[np.roll(corners, -1)], axis=1)
    if float(away.min()) < 1e-3 * float(sides.max()):
        return mesh, int(corners[away.argmin()])
    fresh = len(mesh.points)
    points = np.concatenate([mesh.points, place[None]])
    gap = 2 * mesh.areas[face] / np.maximum(sides, 1e-300)
    weights = np.array(
        [np.linalg.norm(np.cross(mesh.points[corners[k]] - place, mesh.points[corners[(k + 1) % 3]]
         - place)) for k in range(3)]
    ) / np.maximum(sides, 1e-300)  # fmt: skip
    if float((weights / np.maximum(gap, 1e-300)).min()) > 1e-3:
        split = [[corners[k], corners[(k + 1) % 3], fresh] for k in range(3)]
        return Mesh(points, np.concatenate([np.delete(mesh.faces, face, axis=0), split])), fresh
    # The point lies on an edge: both faces there are split.
    k = int((weights / np.maximum(gap, 1e-300)).argmin())
    a, b = int(corners[k]), int(corners[(k + 1) % 3])
    holds = (mesh.faces == a).any(axis=1) & (mesh.faces == b).any(axis=1)
    halves = [np.where(old == there, fresh, old) for old in mesh.faces[holds] for there in (a, b)]
    return Mesh(points, np.concatenate([mesh.faces[~holds], np.array(halves)])), fresh


def _noise(mesh: Mesh, on: Array) -> float:
    """Return how rough the surface is near the picks: the middle deviation from its neighbours [m].

    A corner of white noise lies off the middle of six neighbours by 1.08 of its sd.
    """
    part = _around(mesh, on[0], on[-1], on)
    ends = part.edges.ends
    both = np.concatenate([ends, ends[:, ::-1]])
    count = np.maximum(np.bincount(both[:, 0], minlength=len(part.points)), 1)
    middles = np.stack(
        [np.bincount(both[:, 0], part.points[both[:, 1], k], len(part.points)) / count
         for k in range(3)], axis=1
    )  # fmt: skip
    normals: Array = np.stack(
        [np.bincount(part.faces.reshape(-1), np.repeat(part.area_vectors[:, k], 3),
                     len(part.points)) for k in range(3)], axis=1
    ).astype(np.float64)  # fmt: skip
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)
    off = ((part.points - middles) * normals).sum(axis=1)
    # Even curvature shifts all alike and is no noise.
    return float(1.4826 * np.median(np.abs(off - np.median(off))) / 1.08)
