"""A closed rim along edges through a few picks, drawn to the crease."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.mesh import Faces, Mesh
from softmend.science.uncertain import Array

FOLD_DEG = 25.0
FEWEST_PICKS, MOST_PICKS = 3, 60


def crease_rim(mesh: Mesh, picks: ArrayLike) -> Faces:
    """Return the corners of a closed path along edges near some picks, snapped to the crease.

    Parameters
    ----------
    mesh : Mesh, the scan
    picks : array-like (k, 3), picks near the rim, in order [m], 3 to 60

    Returns
    -------
    array (n,), numbers of corners in order, each once [1]

    Raises
    ------
    InputError
        When there are too few or too many picks, two fall together, or no path joins them.

    Source: softmend-solids, section 5a (edge cost by fold angle).
    Checked against: tests/science/solid/test_void.py.

    Example
    -------
    >>> faces = np.array([[0, 1, 2], [0, 3, 1], [1, 3, 2], [2, 3, 0]])
    >>> rim = crease_rim(Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]), faces),
    ...                  [[0, 0, 0.1], [1, 0, 0], [0, 1, 0]])
    >>> rim.tolist()
    [0, 1, 2]
    """
    places = np.asarray(picks, dtype=np.float64).reshape(-1, 3)
    if not FEWEST_PICKS <= len(places) <= MOST_PICKS:
        raise InputError(
            "The rim has too few or too many picks",
            value=len(places),
            allowed=f"{FEWEST_PICKS} to {MOST_PICKS}, best 6 to 12",
            remedy="pick the rim in order",
        )
    nodes = _anchors(mesh, places)
    if len(np.unique(nodes)) < FEWEST_PICKS:
        raise InputError(
            "The picks of the rim fall together",
            value=f"{len(np.unique(nodes))} different corners",
            allowed="3 or more",
            remedy="pick the rim further apart, or confirm the unit of the scan",
        )
    return _closed(mesh, nodes)


def _anchors(mesh: Mesh, places: Array) -> Faces:
    """Return the corner to start from near each pick: the most folded within a short reach."""
    from scipy.spatial import cKDTree

    folded = _folds(mesh)
    most = np.zeros(len(mesh.points))
    for side in (0, 1):
        np.maximum.at(most, mesh.edges.ends[:, side], folded)
    used = np.unique(mesh.faces)
    tree = cKDTree(mesh.points[used])
    gaps = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    reach = min(0.25 * float(np.median(gaps)), 4 * mesh.mean_edge)
    found = []
    for place in places:
        nearest, number = tree.query(place)
        near = used[tree.query_ball_point(place, max(reach, 1.2 * nearest))]
        # A sharper fold may lie a little further away: distance counts, but less than the fold.
        away = np.linalg.norm(mesh.points[near] - place, axis=1)
        score = most[near] / FOLD_DEG - away / max(reach, 1e-300)
        found.append(
            int(near[score.argmax()]) if most[near].max() > FOLD_DEG else int(used[number])
        )
    return np.array(found)  # fmt: skip


def _folds(mesh: Mesh) -> Array:
    """Return the angle between the two faces of every edge [degrees]; 90 where there is one."""
    found = np.full(len(mesh.edges.count), 90.0)
    pairs = mesh.edges.pairs
    cosine = np.einsum("ij,ij->i", mesh.normals[pairs[:, 0]], mesh.normals[pairs[:, 1]])
    found[mesh.edges.paired] = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    return found


def _closed(mesh: Mesh, nodes: Faces) -> Faces:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    points = mesh.points
    middle = points[nodes].mean(axis=0)
    reach = 1.6 * float(np.linalg.norm(points[nodes] - middle, axis=1).max())
    ends = mesh.edges.ends
    near = (np.linalg.norm(points[ends] - middle, axis=-1) < reach).all(axis=1)
    ends = ends[near]
    used, local = np.unique(ends, return_inverse=True)
    local = local.reshape(-1, 2)
    length = np.linalg.norm(points[ends[:, 0]] - points[ends[:, 1]], axis=1)
    cost = length / (1 + (_folds(mesh)[near] / FOLD_DEG) ** 2)
    graph = coo_array((cost, (local[:, 0], local[:, 1])), shape=(len(used), len(used))).tocsr()
    starts = np.searchsorted(used, nodes)
    found, before = dijkstra(graph, directed=False, indices=starts, return_predecessors=True)
    path: list[int] = []
    for k, end in enumerate(np.roll(starts, -1)):
        if not np.isfinite(found[k, end]):
            raise InputError(
                "No path over the scan joins two picks of the rim",
                value=f"pick {k + 1} and the next",
                allowed="picks on one connected surface",
                remedy="pick the rim where the scan is whole",
            )
        leg = [int(end)]
        while leg[-1] != starts[k]:
            leg.append(int(before[k, leg[-1]]))
        path += leg[:0:-1]
    return np.asarray(used[np.array(_without_spurs(path))], dtype=np.int64)


def _without_spurs(path: list[int]) -> list[int]:
    """Return a closed path without the stretches that it runs out and back, and without loops."""
    kept: list[int] = []
    at: dict[int, int] = {}
    for corner in path:
        if corner in at:
            # What lies between two visits of one corner is a spur, unless it is most of the rim.
            start = at[corner]
            if len(kept) - start > len(path) / 2:
                return _without_spurs(kept[start:])
            for dropped in kept[start + 1 :]:
                del at[dropped]
            del kept[start + 1 :]
            continue
        at[corner] = len(kept)
        kept.append(corner)
    return kept
