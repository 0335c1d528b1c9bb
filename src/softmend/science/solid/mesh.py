"""A surface of triangles, and the few sums over it that everything else is made of."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.uncertain import Array

Faces = NDArray[np.int64]
Flags = NDArray[np.bool_]

FEW_PLACES, MANY_FACES = 40, 50_000
"""For so few places on so many faces only the faces about them are searched."""
MERGE_SHARE = 1e-6
"""Corners nearer to each other than this share of the size are one corner."""


@dataclass(frozen=True, eq=False)
class Edges:
    """Every edge once: its two corners, how many faces meet in it, and each half-edge's edge."""

    ends: Faces
    count: Faces
    of_half: Faces
    """The edge of half-edge 3 f + k, which runs from corner k of face f to the next."""

    @cached_property
    def pairs(self) -> Faces:
        """The faces on both sides of every edge in which exactly two faces meet."""
        order = np.argsort(self.of_half, kind="stable")
        starts = np.concatenate([[0], np.cumsum(self.count)[:-1]])[self.count == 2]
        return np.stack([order[starts] // 3, order[starts + 1] // 3], axis=1)

    @cached_property
    def paired(self) -> Faces:
        """The numbers of the edges of `pairs`."""
        return np.flatnonzero(self.count == 2)


@dataclass(frozen=True, eq=False)
class Mesh:
    """Corners (n, 3) [m] and faces (m, 3) as numbers of corners."""

    points: Array
    faces: Faces

    @property
    def corners(self) -> Array:
        """The three corners of every face, shape (m, 3, 3) [m]."""
        return self.points[self.faces]

    @cached_property
    def area_vectors(self) -> Array:
        """The normal of every face, as long as the face's area [m2]."""
        a, b, c = (self.points[corner] for corner in self.faces.T)
        return np.cross(b - a, c - a) / 2

    @cached_property
    def areas(self) -> Array:
        """The area of every face [m2]."""
        return np.asarray(np.linalg.norm(self.area_vectors, axis=1))

    @property
    def area(self) -> float:
        """The area of the surface [m2]; it grows with every wrinkle that the edge resolves."""
        return float(self.areas.sum())

    @cached_property
    def normals(self) -> Array:
        """The direction outward of every face [1]."""
        return np.asarray(self.area_vectors / np.maximum(self.areas, 1e-300)[:, None])

    @cached_property
    def centres(self) -> Array:
        """The middle of every face [m]."""
        a, b, c = (self.points[corner] for corner in self.faces.T)
        return np.asarray((a + b + c) / 3)

    @cached_property
    def middle(self) -> Array:
        """The middle of the surface, every face by its area [m]."""
        return np.asarray(self.areas @ self.centres / max(self.area, 1e-300))

    @cached_property
    def size(self) -> float:
        """The diagonal of the box round the corners that faces use [m]."""
        return float(np.linalg.norm(np.ptp(self.points[self._is_used(self.faces)], axis=0)))

    @cached_property
    def edges(self) -> Edges:
        """Every edge once."""
        half = np.stack([self.faces, np.roll(self.faces, -1, axis=1)], axis=-1).reshape(-1, 2)
        low, high = half.min(axis=1), half.max(axis=1)
        keys, of_half, count = np.unique(
            low * len(self.points) + high, return_inverse=True, return_counts=True
        )
        ends = np.stack(np.divmod(keys, len(self.points)), axis=1)
        return Edges(ends, count, of_half.reshape(-1))

    @cached_property
    def mean_edge(self) -> float:
        """The mean length of an edge [m]."""
        a, b = self.points[self.edges.ends].transpose(1, 0, 2)
        return float(np.linalg.norm(a - b, axis=1).mean())

    @cached_property
    def rim(self) -> Faces:
        """The half-edges that no second face shares, as the faces run, shape (k, 2)."""
        half = np.stack([self.faces, np.roll(self.faces, -1, axis=1)], axis=-1).reshape(-1, 2)
        return np.asarray(half[self.edges.count[self.edges.of_half] == 1])

    @cached_property
    def pieces(self) -> Faces:
        """The number of the connected piece that each face belongs to, the largest area first."""
        found = joined(len(self.faces), self.edges.pairs, self._branches())
        order = np.argsort(-np.bincount(found, self.areas))
        rank = np.empty_like(order)
        rank[order] = np.arange(len(order))
        return np.asarray(rank[found], dtype=np.int64)

    def _branches(self) -> Faces:
        """Return pairs of faces that meet with others in one edge."""
        many = np.flatnonzero(self.edges.count > 2)
        if not len(many):
            return np.empty((0, 2), dtype=np.int64)
        order = np.argsort(self.edges.of_half, kind="stable")
        sorted_edges = self.edges.of_half[order]
        same = (sorted_edges[1:] == sorted_edges[:-1]) & np.isin(sorted_edges[1:], many)
        return np.stack([order[:-1][same] // 3, order[1:][same] // 3], axis=1)

    def part(self, kept: Flags | Faces) -> Mesh:
        """Return the mesh of some faces, with only the corners that they use; all is itself."""
        if kept.dtype == np.bool_ and kept.all():
            return self
        faces = self.faces[kept]
        used = self._is_used(faces)
        # Their order stays, so that each has its place among the used as its new number.
        numbers = np.cumsum(used, dtype=np.int64) - 1
        return Mesh(self.points[used], numbers[faces])

    def _is_used(self, faces: Faces) -> Flags:
        """Return which corners some faces use."""
        used = np.zeros(len(self.points), dtype=bool)
        used[faces.reshape(-1)] = True
        return used

    def turned_over(self, turned: Flags) -> Mesh:
        """Return the mesh with some faces running the other way; with none, itself."""
        if not turned.any():
            return self
        return Mesh(self.points, np.where(turned[:, None], self.faces[:, ::-1], self.faces))

    def moved(self, rotation: Array, shift: Array) -> Mesh:
        """Return the mesh turned by a rotation matrix and then shifted [m]."""
        return Mesh(self.points @ rotation.T + shift, self.faces)

    def scaled(self, factor: float) -> Mesh:
        """Return the mesh with every length multiplied."""
        return Mesh(self.points * factor, self.faces)

    def nearest_points(self, places: Array) -> tuple[Array, Faces, Array]:
        """Return the distance [m], the face and the point [m] nearest to each place."""
        if len(places) <= FEW_PLACES and len(self.faces) > MANY_FACES:
            near = self._faces_near(np.asarray(places))
            if len(near) < len(self.faces) // 4:
                away, face, on = Mesh(self.points, self.faces[near]).part(
                    np.arange(len(near))
                ).nearest_points(places)  # fmt: skip
                return away, near[face], on
        # Squares of coordinates far from the origin would leave no digits for the distance.
        origin = self.points.mean(axis=0)
        found: Any = _igl().point_mesh_squared_distance(
            np.ascontiguousarray(places - origin, dtype=np.float64),
            self.points - origin, self.faces,
        )  # fmt: skip
        squared, face, point = found
        return (
            np.sqrt(np.maximum(np.atleast_1d(squared), 0.0)), np.atleast_1d(face), point + origin
        )  # fmt: skip

    def _faces_near(self, places: Array) -> Faces:
        """Return the faces among which the nearest to each place must be."""
        found = np.zeros(len(self.faces), dtype=bool)
        for place in places:
            away = np.sqrt(((self.centres - place) ** 2).sum(axis=1))
            found |= away - self._reaches <= away.min()
        return np.flatnonzero(found)

    @cached_property
    def _reaches(self) -> Array:
        """How far each face reaches from its middle [m]."""
        squared = [
            ((self.points[corner] - self.centres) ** 2).sum(axis=1) for corner in self.faces.T
        ]
        return np.asarray(np.sqrt(np.max(squared, axis=0)))

    def winding(self, places: Array) -> Array:
        """Return how often the surface winds round each place: 1 inside, 0 outside [1]."""
        # The library works in single precision inside: far from its origin it loses the surface.
        origin = self.points.mean(axis=0)
        found: Any = _igl().fast_winding_number(
            self.points - origin, self.faces,
            np.ascontiguousarray(places - origin, dtype=np.float64),
        )  # fmt: skip
        return np.asarray(found, dtype=np.float64).reshape(-1)


def joined(count: int, *pairs: Faces) -> Faces:
    """Return the number of the group that each of some things belongs to.

    Parameters
    ----------
    count : int, how many things there are [1]
    pairs : arrays (k, 2), two things that belong together

    Returns
    -------
    array (count,), the number of each thing's group [1]

    Source: own; connected components of a graph.
    Checked against: tests/science/solid/test_mesh.py.

    Example
    -------
    >>> joined(4, np.array([[0, 2]])).tolist()
    [0, 1, 0, 2]
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    both = np.concatenate([np.asarray(pair, dtype=np.int64).reshape(-1, 2) for pair in pairs])
    ones = np.ones(len(both), dtype=np.int8)
    graph = coo_array((ones, (both[:, 0], both[:, 1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Tidied:
    """A mesh after merging, and what was dropped on the way."""

    mesh: Mesh
    merged_corners: int
    flat_faces: int
    repeated_faces: int


def tidied(points: ArrayLike, faces: ArrayLike) -> Tidied:
    """Return a mesh whose corners are merged, without faces of no area and repeated faces.

    Parameters
    ----------
    points : array-like, corners, shape (n, 3) [any length], finite
    faces : array-like, numbers of corners, shape (m, 3) [1], 0 to n - 1

    Returns
    -------
    Tidied, corners nearer than one millionth of the size merged [same length]

    Raises
    ------
    InputError
        When a corner is not finite, a face names a corner that is not there, or fewer than four
        faces remain.

    Source: softmend-solids, section 9 (merge at 1e-6 of the size).
    Checked against: tests/science/solid/test_mesh.py.

    Example
    -------
    >>> corners = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]]
    >>> sides = [[0, 2, 1], [0, 1, 3], [1, 2, 4], [2, 0, 3], [0, 3, 2], [3, 4, 0]]
    >>> found = tidied(corners, sides)
    >>> len(found.mesh.points), len(found.mesh.faces), found.flat_faces, found.repeated_faces
    (4, 4, 1, 1)
    """
    places = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    named = np.asarray(faces, dtype=np.int64).reshape(-1, 3)
    _check(places, named)
    low = places.min(axis=0)
    step = max(float(np.ptp(places, axis=0).max()) * MERGE_SHARE, 1e-300)
    cells = np.rint((places - low) / step).astype(np.int64)
    keys = (cells[:, 0] << 42) | (cells[:, 1] << 21) | cells[:, 2]
    _, first, of_point = np.unique(keys, return_index=True, return_inverse=True)
    kept, merged = places[first], of_point.reshape(-1)[named]
    a, b, c = merged.T
    flat = (a == b) | (b == c) | (c == a)
    whole = Mesh(kept, merged)
    flat |= whole.areas <= (step * 1e-3) ** 2
    # Sums over a large scan are kept where nothing is dropped from it.
    whole = Mesh(kept, merged[~flat]) if flat.any() else whole
    single = _first_of_each(whole.faces, len(kept))
    mesh = _with_seams_closed(whole.part(single), step)
    if len(mesh.faces) < 4:
        raise InputError(
            "The scan has too few faces to be a solid",
            value=f"{len(mesh.faces)} faces",
            allowed="4 or more",
            remedy="export the whole scan again",
        )
    return Tidied(mesh, len(places) - len(kept), int(flat.sum()), int((~single).sum()))


def _with_seams_closed(mesh: Mesh, step: float) -> Mesh:
    """Return the mesh with corners of open rims joined that rounding kept in two cells."""
    open_corners = np.unique(mesh.rim)
    if not len(open_corners):
        return mesh
    from scipy.spatial import cKDTree

    pairs = cKDTree(mesh.points[open_corners]).query_pairs(step, output_type="ndarray")
    if not len(pairs):
        return mesh
    groups = joined(len(open_corners), pairs)
    first = np.full(int(groups.max()) + 1, len(mesh.points))
    np.minimum.at(first, groups, open_corners)
    of_point = np.arange(len(mesh.points))
    of_point[open_corners] = first[groups]
    faces = of_point[mesh.faces]
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    return Mesh(mesh.points, faces).part(_first_of_each(faces, len(mesh.points)))


def _check(places: Array, named: Faces) -> None:
    wrong = int((~np.isfinite(places).all(axis=1)).sum())
    if wrong:
        raise InputError(
            "Corners of the scan are not finite numbers",
            value=f"{wrong} of {len(places)}",
            allowed="finite numbers",
            remedy="export the scan again",
        )
    if len(named) == 0 or len(places) == 0:
        raise InputError(
            "The scan has no faces",
            value=f"{len(places)} points, {len(named)} faces",
            allowed="a surface of triangles",
            remedy="make a mesh of the points in the scanner's program first",
        )
    if named.min() < 0 or named.max() >= len(places):
        raise InputError(
            "A face of the scan names a corner that is not there",
            value=f"corner {int(named.max())}",
            allowed=f"0 to {len(places) - 1}",
            remedy="export the scan again",
        )


def _first_of_each(faces: Faces, count: int) -> Flags:
    """Say of each face whether it is the first with its three corners, whatever their order."""
    ordered = np.sort(faces, axis=1)
    order = np.lexsort((ordered[:, 2], ordered[:, 1], ordered[:, 0]))
    same = np.zeros(len(faces), dtype=bool)
    same[1:] = (ordered[order][1:] == ordered[order][:-1]).all(axis=1)
    single = np.ones(len(faces), dtype=bool)
    single[order[same]] = False
    return single


def _igl() -> Any:
    """Return libigl; it brings no types along."""
    from importlib import import_module

    return import_module("igl")
