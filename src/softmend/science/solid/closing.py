"""Openings of a scan closed straight across, for sections and for lines over the surface.

Nothing of the object is made up: a flat fan is the least that can stand there, and whoever uses it
says so.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.science.solid.mesh import Faces, Mesh
from softmend.science.uncertain import Array


def rim_loops(mesh: Mesh) -> list[Faces]:
    """Return every open rim as a closed row of corners, as its faces run.

    Parameters
    ----------
    mesh : Mesh, a surface whose faces run one way

    Returns
    -------
    list of arrays (k,), numbers of corners [1]; a corner where two rims touch is in both

    Source: own; half-edges followed.
    Checked against: tests/science/solid/test_closing.py.

    Example
    -------
    >>> mesh = Mesh(np.eye(3), np.array([[0, 1, 2]]))
    >>> [loop.tolist() for loop in rim_loops(mesh)]
    [[0, 1, 2]]
    """
    ahead: dict[int, list[int]] = {}
    for start, end in mesh.rim.tolist():
        ahead.setdefault(start, []).append(end)
    loops = []
    for first in list(ahead):
        while ahead.get(first):
            row, at, place = [first], {first: 0}, ahead[first].pop()
            while place != first and ahead.get(place):
                if place in at:
                    # A rim that meets itself is cut there, so that no corner is passed twice.
                    loops.append(np.array(row[at[place] :], dtype=np.int64))
                    for dropped in row[at[place] + 1 :]:
                        del at[dropped]
                    del row[at[place] + 1 :]
                else:
                    at[place] = len(row)
                    row.append(place)
                place = ahead[place].pop()
            if place == first:
                loops.append(np.array(row, dtype=np.int64))
    return [loop for loop in loops if len(loop) >= 3]


@dataclass(frozen=True, eq=False)
class Fans:
    """Flat fans over the open rims: sides as corners (k, 2), each one's rim, the rims' middles."""

    sides: Faces
    groups: Faces
    centres: Array


def fans_over(mesh: Mesh) -> Fans:
    """Return a flat fan over every open rim: its sides, and where they meet.

    Parameters
    ----------
    mesh : Mesh, a surface whose faces run one way [any length]

    Returns
    -------
    Fans [same length]; sides run as the faces do

    Source: softmend-solids, section 4 (fan caps).
    Checked against: tests/science/solid/test_closing.py.

    Example
    -------
    >>> fans = fans_over(Mesh(np.eye(3), np.array([[0, 1, 2]])))
    >>> fans.sides.tolist(), fans.centres.round(3).tolist()
    ([[0, 1], [1, 2], [2, 0]], [[0.333, 0.333, 0.333]])
    """
    loops = rim_loops(mesh)
    if not loops:
        return Fans(np.empty((0, 2), np.int64), np.empty(0, np.int64), np.empty((0, 3)))
    row, sizes = np.concatenate(loops), np.array([len(loop) for loop in loops])
    last = np.cumsum(sizes) - 1
    ahead = np.roll(row, -1)
    ahead[last] = row[last - sizes + 1]
    sides = np.stack([row, ahead], axis=1)
    groups = np.repeat(np.arange(len(loops)), sizes).astype(np.int64)
    ends = mesh.points[sides]
    weight = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    total = np.maximum(np.bincount(groups, weight), 1e-300)
    middles = ends.mean(axis=1)
    centres = [np.bincount(groups, weight * middles[:, k]) / total for k in range(3)]
    return Fans(sides, groups, np.stack(centres, axis=1))


def closed_over(mesh: Mesh) -> Mesh:
    """Return a surface with a flat fan over each of its open rims.

    Parameters
    ----------
    mesh : Mesh, a surface whose faces run one way

    Returns
    -------
    Mesh, itself where nothing is open

    Source: softmend-solids, section 4 (fan caps).
    Checked against: tests/science/solid/test_closing.py.

    Example
    -------
    >>> cube = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7]]
    >>> len(closed_over(Mesh(cube, np.array(sides))).rim)
    0
    """
    loops = rim_loops(mesh)
    if not loops:
        return mesh
    middles: list[Array] = []
    fans: list[Faces] = []
    for loop in loops:
        if len(loop) == 3:
            fans.append(loop[None, ::-1])
            continue
        apex = np.full(len(loop), len(mesh.points) + len(middles))
        middles.append(mesh.points[loop].mean(axis=0))
        fans.append(np.stack([np.roll(loop, -1), loop, apex], axis=1))
    points = np.concatenate([mesh.points, np.array(middles).reshape(-1, 3)])
    return Mesh(points, np.concatenate([mesh.faces, *fans]))
