"""Where two scans differ, at the corners of the copy for the eye."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

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
