"""The invented antler as a scanner has it: one closed mesh of shaft, broken ends and tine stump.

The same description as the photographs': only the net is coarser, and a crack is seen no deeper
than it is wide, as a scanner sees it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tools.demo.antler import BLOBS, CARRIER, GROOVES, LENGTH_MM, LOSS, relief_height, tine_net
from tools.demo.camera import Array
from tools.demo.grain import Grain, grain
from tools.demo.lattice import Edges, Lattice, lattice, triangles
from tools.demo.piece import face_points

Faces = NDArray[np.int64]

EDGE_MM, FINE_EDGE_MM = 1.7, 0.8
"""The mesh's edge everywhere, and round the loss."""
WAVE_SD_MM = 0.015
"""A scanner's own waviness, square to the surface."""
CHIP_ROW, CHIP_TURN_DEG, CHIP_RADIUS_MM, CHIP_DEEP_MM = 540.0, 60.0, 9.0, 2.5
"""What broke away over the winter: a ball's bite out of the upper edge."""


@dataclass(frozen=True)
class Body:
    """A closed mesh: corners (n, 3) [mm] and faces (m, 3), outward."""

    points_mm: Array
    faces: Faces


@dataclass(frozen=True)
class Net:
    """How finely a body is cut: rows along the beam, columns between cracks, and the waviness."""

    rows: Array
    counts: tuple[int, ...]
    waves: Grain | None


def scan_net(seed: int) -> Net:
    """Return the net of one scan; the seed shifts its rows and makes its waviness."""
    shift = 0.37 * (seed % 3)
    low, high = LOSS.row - LOSS.along_mm - 5, LOSS.row + LOSS.along_mm + 5
    rows = np.concatenate(
        [[0.0], np.arange(0.9 + shift, low, EDGE_MM), np.arange(low + shift, high, FINE_EDGE_MM),
         np.arange(high + EDGE_MM + shift, LENGTH_MM - 0.5, EDGE_MM), [LENGTH_MM]]
    )  # fmt: skip
    gaps = (EDGE_MM, FINE_EDGE_MM, FINE_EDGE_MM, EDGE_MM, EDGE_MM, EDGE_MM)
    waves = grain(seed, 3.0, 3.0, (640.0, 200.0), 0.5)
    return Net(rows, tuple(int(arc / gap) + 2 for arc, gap in zip(_arcs(), gaps, strict=True)),
               waves)  # fmt: skip


def fine_net(step_mm: float) -> Net:
    """Return a fine net without waviness, for sums."""
    rows = np.linspace(0, LENGTH_MM, int(LENGTH_MM / step_mm) + 1)
    return Net(rows, tuple(int(arc / step_mm) + 2 for arc in _arcs()), None)


def _arcs() -> list[float]:
    rows = np.linspace(0, LENGTH_MM, 200)
    middles = [float(groove.centre(rows).mean()) for groove in GROOVES]
    return [float(gap) * 32 for gap in np.diff([-np.pi, *middles, np.pi])]


def shaft_net(net: Net, state: str) -> Lattice:
    """Return the lattice of the shaft; its depths are those that a scanner sees."""
    turn = np.full_like(net.rows, np.pi)
    found = lattice(CARRIER, GROOVES, net.rows, Edges(-turn, turn), net.counts, state)
    # Light reaches into a crack about as deep as its mouth is wide.
    seen = np.zeros_like(found.depth_mm)
    column = 0
    for gap, count in enumerate(net.counts[:-1]):
        column += count
        inside = slice(column, column + 7)
        widest = GROOVES[gap].width_mm(net.rows, state)[:, None]
        seen[:, inside] = np.minimum(found.depth_mm[:, inside], widest)
        column += 7
    return Lattice(found.row, found.cross, found.rest, seen, found.depth_share)


def shaft_height(net: Net, found: Lattice, *, with_loss: bool = True) -> Array:
    """Return how far the shaft's corners lie above the smooth body [mm]."""
    height = relief_height(found.row, found.rest, BLOBS if with_loss else BLOBS[:2])
    if net.waves is not None:
        around = (found.rest / (2 * np.pi) + 0.5) * 200.0
        height = height + WAVE_SD_MM * net.waves.at(found.row, around)
    return np.asarray(height - found.depth_mm)


def scanned_body(seed: int, state: str) -> Body:
    """Return the antler as one closed mesh; after the winter a chip is gone from it."""
    net = scan_net(seed)
    found = shaft_net(net, state)
    points = CARRIER.points(found.row, found.cross, shaft_height(net, found))
    ends = [end_points(net, found, points, end, 14) for end in (0, -1)]
    solid = _solid([points, *ends]) + _solid(_tine_parts())
    if state == "after":
        solid -= _ball(chip_centre(), CHIP_RADIUS_MM)
    return _body(solid)


def end_points(net: Net, found: Lattice, points: Array, end: int, rings: int) -> Array:
    """Return the broken face at one end of the shaft, from its edge to its middle [mm]."""
    inward = CARRIER.frame(net.rows[end])[0] * (1.0 if end == 0 else -1.0)
    turns = found.cross[end] / (2 * np.pi) + 0.5
    return face_points(points[end], inward, ROUGH, turns, rings)[0]


ROUGH = grain(77, 0.8, 0.8, (120, 120), 0.25)


def _tine_parts() -> list[Array]:
    tine = tine_net(1.5, 60)
    tip = face_points(tine.points[-1], -tine.out, ROUGH, tine.turn[-1] / (2 * np.pi) + 0.5, 8)[0]
    base = tine.points[0]
    middle = np.broadcast_to(base.mean(axis=0), base.shape)
    return [tine.points, tip, np.stack([middle, base])]


def chip_centre() -> Array:
    """Return the middle of the ball whose bite broke away [mm]."""
    row, turn = np.array(CHIP_ROW), np.array(np.radians(CHIP_TURN_DEG))
    return CARRIER.points(row, turn, np.array(CHIP_RADIUS_MM - CHIP_DEEP_MM))


def _solid(nets: list[Array]) -> Any:
    """Return the closed solid that nets of points enclose, corners that fall together merged."""
    points, faces, count = [], [], 0
    for net in nets:
        points.append(net.reshape(-1, 3))
        faces.append(triangles(net).astype(np.int64) + count)
        count += len(points[-1])
    return solid_of(np.concatenate(points), np.concatenate(faces))


def solid_of(points_mm: Array, faces: Faces) -> Any:
    """Return a solid of the boolean library, its faces turned to run one way and outward."""
    from softmend.science.solid.check import checked_shape

    mesh = checked_shape(np.round(points_mm, 5), faces).mesh
    library = import_module("manifold3d")
    solid = library.Manifold(
        library.Mesh(mesh.points.astype(np.float32), mesh.faces.astype(np.uint32))
    )
    if solid.status() != library.Error.NoError:
        raise ValueError(f"the body is not closed: {solid.status()}")
    return solid


def _ball(centre: Array, radius: float) -> Any:
    sphere = import_module("manifold3d").Manifold.sphere(radius, 96)
    return sphere.translate([float(one) for one in centre])


def _body(solid: Any) -> Body:
    mesh = solid.to_mesh()
    points = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    return Body(points, np.asarray(mesh.tri_verts, dtype=np.int64))
