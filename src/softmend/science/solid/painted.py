"""Where two scans differ, at the corners of the copy for the eye."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.display import faces_seen, lit_faces
from softmend.science.solid.mesh import Mesh
from softmend.science.uncertain import Array


def distances_at_corners(copy: Mesh, later: Mesh) -> Array:
    """Return the signed distance from every corner of a copy to a later surface that lies on it.

    Parameters
    ----------
    copy : Mesh, of the earlier scan, faces running outward [m]
    later : Mesh, the later scan, already moved onto it [m]

    Returns
    -------
    array (n,), below 0 where material went [m]

    Raises
    ------
    Nothing.

    Source: lague2013 (signed distances along normals); softmend-solids, section 5d.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [1, 3, 2]]))
    >>> lower = Mesh(square.points - [0, 0, 0.01], square.faces)
    >>> distances_at_corners(square, lower).round(4).tolist()
    [-0.01, -0.01, -0.01, -0.01]
    """
    normals = np.stack(
        [
            np.bincount(
                copy.faces.reshape(-1), np.repeat(copy.area_vectors[:, k], 3), len(copy.points)
            )
            for k in range(3)
        ],
        axis=1,
    )
    away, _face, on = later.nearest_points(copy.points)
    side = np.einsum("ij,ij->i", on - copy.points, normals)
    return np.asarray(away * np.sign(side))


def painted_look(
    copy: Mesh, distances: ArrayLike, frame: ArrayLike, middle: ArrayLike, span: float,
    size: tuple[int, int],
) -> tuple[Array, Array]:  # fmt: skip
    """Return how bright each pixel of a look is, and the distance at the face that it shows.

    Parameters
    ----------
    copy : Mesh, of the earlier scan, faces running outward [any length]
    distances : array-like (n,), at every corner of the copy, below 0 where material went [m]
    frame : array-like (3, 3), right, up and toward the eye as rows [1]
    middle : array-like (3,), what lies at the centre of the picture [as the copy]
    span : float, the width of the picture [as the copy], above 0
    size : (int, int), width and height of the picture [px], 16 to 4000 each

    Returns
    -------
    (array, array), each (height, width): brightness, 0 past the surface [1]; distance, 0 there [m]

    Raises
    ------
    InputError
        When span or size are out of range, or there is not one distance a corner.

    Source: own; the mean of a face's three corners.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [1, 3, 2]]))
    >>> look = painted_look(square, [0, 3, 0, 0], np.eye(3), [0.5, 0.5, 0.0], 2.0, (16, 16))
    >>> sorted(set(look[1].ravel().tolist()))
    [0.0, 1.0]
    """
    told = np.asarray(distances, dtype=np.float64).reshape(-1)
    if len(told) != len(copy.points):
        raise InputError(
            "The colours are not of this copy", value=f"{len(told)} distances",
            allowed=f"{len(copy.points)}, one a corner", remedy="compare the scans again",
        )  # fmt: skip
    seen = faces_seen(copy, frame, middle, span, size)
    means = told[copy.faces].mean(axis=1)
    return lit_faces(copy, seen, frame), np.where(seen >= 0, means[np.maximum(seen, 0)], 0.0)
