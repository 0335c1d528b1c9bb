"""The real lower surface of a long object as a pad meets it: measured by rays from below."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.mesh import Flags, Mesh
from softmend.science.uncertain import Array

ALONG, ACROSS = 480, 121
"""Stations along the object and places across it at which its lower surface is measured."""
BEYOND = 1.05
"""How far past the outline, and how far below it, still counts as this stretch of the object."""


@dataclass(frozen=True, eq=False)
class Underside:
    """The lower surface along a beam: how far below its middle line material is met first.

    `at` (n,) are stations [m], `origins` (n, 3) their places on the middle line [m], `ways` (n, 3)
    the direction looked down, `sides` (n, 3) the direction across, `across` (n, m) offsets [m],
    `depth` (n, m) how far down the surface lies, nan where nothing is met [m]. `is_open` says that
    a ray met the inside of the scan: there is a hole. `is_other` says that another part of the
    object hangs lower there. `run` (n,) is the level length that a station stands for [m], `edge`
    the mean edge of the mesh that was measured [m].
    """

    at: Array
    origins: Array
    ways: Array
    sides: Array
    across: Array
    depth: Array
    is_open: Flags
    is_other: Flags
    run: Array
    edge: float

    @property
    def step(self) -> float:
        """How far the stations lie apart along the object [m]."""
        return float(self.at[1] - self.at[0])

    def lowest_at(self, at: float) -> Array:
        """Return the lowest place of the surface at a distance along the object [m]."""
        k = int(np.abs(self.at - at).argmin())
        met = np.where(np.isfinite(self.depth[k]), self.depth[k], -np.inf)
        j = int(met.argmax())
        deep = max(float(met[j]), 0.0)
        return np.asarray(self.origins[k] + self.across[k, j] * self.sides[k] + deep * self.ways[k])

    def surface(self, stations: Any) -> Array:
        """Return the measured places of some stations in space (k, m, 3) [m]."""
        return np.asarray(
            self.origins[stations, None]
            + self.across[stations, :, None] * self.sides[stations, None]
            + self.depth[stations, :, None] * self.ways[stations, None]
        )


def underside_of(mesh: Mesh, beam: Beam, down: Array, lean: float = 0.0) -> Underside:
    """Return the lower surface of a long object as it is met from below.

    Parameters
    ----------
    mesh : Mesh, the object, faces running outward [m]
    beam : Beam, its middle line and sections [m]
    down : array (3,), direction of gravity [1], unit length
    lean : float, how far the direction looked down is turned to the side, as for a flank of a
        V block [rad], -1.5 to 1.5

    Returns
    -------
    Underside [m]

    Raises
    ------
    InputError
        When the lean is outside its range.

    Source: softmend-solids, section 5b (rays up from each pad).
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> angle = np.arange(64) * np.pi / 32
    >>> ring = np.stack([0 * angle, np.cos(angle), np.sin(angle)], axis=-1)
    >>> points = np.concatenate([ring, ring + [20, 0, 0]])
    >>> k, nxt = np.arange(64), (np.arange(64) + 1) % 64
    >>> two = [np.stack([k, nxt, nxt + 64], 1), np.stack([k, nxt + 64, k + 64], 1)]
    >>> sides = np.concatenate(two)
    >>> from softmend.science.solid.section import Section
    >>> flat = np.stack([ring[:, 1:], np.roll(ring[:, 1:], -1, axis=0)], axis=1)
    >>> frame, middle = np.array([[0, 1, 0], [0, 0, 1], [1, 0, 0.0]]), np.zeros(3)
    >>> at = np.array([5.0, 15.0])
    >>> line = np.stack([at, 0 * at, 0 * at], 1)
    >>> along = np.array([[1, 0, 0], [1, 0, 0.0]])
    >>> section = Section(middle, frame, flat, np.empty((0, 2, 2)), True, 0)
    >>> beam = Beam(at, 20.0, line, along, 0 * along, (section, section), np.ones(2) / 2, ())
    >>> found = underside_of(Mesh(points, sides), beam, np.array([0, 0, -1.0]))
    >>> round(float(np.nanmax(found.depth)), 3), bool(found.is_other.any())
    (1.0, False)
    """
    if not -1.5 <= lean <= 1.5:
        raise InputError(
            "The lean of a flank is out of range", value=f"{np.degrees(lean):.0f} degrees",
            allowed="-85 to 85 degrees",
        )  # fmt: skip
    at = (np.arange(ALONG) + 0.5) / ALONG * beam.length
    origins = beam.place(at)
    along = np.stack([np.interp(at, beam.at, beam.along[:, k]) for k in range(3)], axis=1)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    level = along - (along @ down)[:, None] * down
    share = np.linalg.norm(level, axis=1)
    # Where it runs straight down there is no side; any level direction serves.
    spare = np.cross(down, np.eye(3)[np.abs(down).argmin()])
    level = np.where(share[:, None] > 1e-6, level, spare)
    level /= np.linalg.norm(level, axis=1, keepdims=True)
    side = np.cross(down, level)
    ways = np.cos(lean) * down + np.sin(lean) * side
    sides = np.cos(lean) * side - np.sin(lean) * down
    low, high, deep = _reaches(beam, at, sides, ways)
    across = low[:, None] + (high - low)[:, None] * (np.arange(ACROSS) + 0.5) / ACROSS
    places = origins[:, None] + across[..., None] * sides[:, None]
    looked = np.broadcast_to(ways[:, None], places.shape).reshape(-1, 3)
    depth, is_open = lowest(mesh, places.reshape(-1, 3), looked)
    depth, is_open = depth.reshape(across.shape), is_open.reshape(across.shape)
    with np.errstate(invalid="ignore"):
        is_other = depth > BEYOND * deep[:, None] + 2 * mesh.mean_edge
        # A ray off the edge passes by and may meet something far above the middle line.
        near = depth > -3 * deep[:, None]
    depth = np.where(near & ~is_other & ~is_open, depth, np.nan)
    return Underside(
        at, origins, ways, sides, across, depth, is_open & near, is_other,
        share * beam.length / ALONG, mesh.mean_edge,
    )  # fmt: skip


def _reaches(beam: Beam, at: Array, sides: Array, ways: Array) -> tuple[Array, Array, Array]:
    """Return how far the outline reaches to both sides and down at each station [m]."""
    nearest = np.abs(at[:, None] - beam.at).argmin(axis=1)
    found = np.empty((len(at), 3))
    for k, n in enumerate(nearest):
        section = beam.sections[n]
        # The middle line runs through the middle of the material, the outline about the origin.
        outline = section.outer[:, 0] @ section.frame[:2] + section.origin - beam.points[n]
        offsets = outline @ sides[k]
        found[k] = offsets.min(), offsets.max(), float((outline @ ways[k]).max())
    low, high, deep = found.T
    wide = (BEYOND - 1) / 2 * (high - low)
    return low - wide, high + wide, np.maximum(deep, 1e-9)


def lowest(mesh: Mesh, places: Array, ways: Array) -> tuple[Array, Flags]:
    """Return how far from places along directions the surface is met first, coming from outside.

    Parameters
    ----------
    mesh : Mesh, faces running outward [m]
    places : array (n, 3), from where it is measured [m]
    ways : array (n, 3), directions looked along [1], unit length

    Returns
    -------
    array (n,), distance of the outermost surface along the direction, nan where there is none
    [m], and flags (n,), whether it was met from inside: the scan has a hole there

    Source: softmend-solids, section 5b (rays up from each pad).
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> corners = np.array([[0, 0, 0], [2, 0, 0], [0, 2, 0], [0, 0, 2.0]])
    >>> tetra = Mesh(corners, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]))
    >>> found, is_open = lowest(tetra, np.full((1, 3), 0.5), np.array([[0, 0, -1.0]]))
    >>> float(found[0]), bool(is_open[0])
    (0.5, False)
    """
    rtcore: Any = import_module("embreex.rtcore_scene")
    surfaces: Any = import_module("embreex.mesh_construction")
    middle = mesh.middle
    # The library works in single precision: about the middle and in sizes of the object.
    size = max(mesh.size, 1e-12)
    scene = rtcore.EmbreeScene()
    surfaces.TriangleMesh(
        scene,
        np.ascontiguousarray((mesh.points - middle) / size, dtype=np.float32),
        np.ascontiguousarray(mesh.faces, dtype=np.int32),
    )
    start = (places - middle) / size + 2 * ways
    hit = np.asarray(
        scene.run(
            np.ascontiguousarray(start, dtype=np.float32),
            np.ascontiguousarray(-ways, dtype=np.float32),
        )
    )
    face = np.maximum(hit, 0)
    normals = mesh.normals[face]
    facing = np.einsum("ij,ij->i", normals, ways)
    # The face is known; where its plane is met is worked out in full precision.
    rise = np.einsum("ij,ij->i", mesh.points[mesh.faces[face, 0]] - places, normals)
    steep = np.abs(facing) < 1e-3
    far = np.where(steep, np.nan, rise / np.where(steep, 1.0, facing))
    return np.where(hit >= 0, far, np.nan), (hit >= 0) & (facing < 0)
