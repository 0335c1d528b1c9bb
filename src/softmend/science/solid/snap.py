"""Picks from a lighter copy taken to the measuring mesh: many look-ups on one surface."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.mesh import Mesh
from softmend.science.uncertain import Array

FAR_SHARE = 0.02
"""A pick further off than this share of the size was not made on this scan."""


class Snapping:
    """A surface that is asked again and again for its nearest point; the tree is built once."""

    def __init__(self, mesh: Mesh) -> None:
        """Build the tree over the faces of a mesh."""
        library: Any = import_module("igl")
        self._mesh = mesh
        self._tree = library.AABB()
        self._tree.init(mesh.points, mesh.faces)

    def snapped(self, places: ArrayLike) -> Array:
        """Return the nearest points of the surface to some picks.

        Parameters
        ----------
        places : array-like (n, 3), picks [length of the mesh]

        Returns
        -------
        array (n, 3), on the surface [same length]

        Raises
        ------
        InputError
            When a pick is not finite or lies far from the surface.

        Source: own; nearest point of a surface by a tree of boxes.
        Checked against: tests/science/solid/test_display.py.

        Example
        -------
        >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]]),
        ...               np.array([[0, 1, 2], [0, 2, 3]]))
        >>> Snapping(square).snapped([[0.25, 0.5, 0.01]]).tolist()
        [[0.25, 0.5, 0.0]]
        """
        asked = np.ascontiguousarray(np.asarray(places, dtype=np.float64).reshape(-1, 3))
        if not np.isfinite(asked).all():
            raise InputError("A pick is not a place", value="not a finite number")
        squared, _face, found = self._tree.squared_distance(
            self._mesh.points, self._mesh.faces, asked
        )
        most = float(np.sqrt(np.max(squared)))
        if most > FAR_SHARE * self._mesh.size:
            raise InputError(
                "A pick lies far from the scan",
                value=f"{100 * most / self._mesh.size:.0f} % of its size",
                allowed=f"within {100 * FAR_SHARE:.0f} %",
                remedy="pick on the scan, in the file's own coordinates",
            )
        return np.asarray(found).reshape(-1, 3)
