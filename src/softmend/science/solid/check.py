"""What state a scan is in: closed, holes, a side or an end missing, faces reversed, shells doubled.

The faces are made to run one way, shells are told apart, and every open rim gets a name and a
place. Nothing is filled in: what the scanner did not see stays missing.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from softmend.science.solid.closing import fans_over
from softmend.science.solid.mesh import Faces, Flags, Mesh, Tidied, tidied
from softmend.science.uncertain import Array

PIECE_SHARE = 0.05
"""A shell beside the main one with less of its area is floating dirt, not a piece."""
SPECK_SHARE = 1e-3
LOOKED_AT = 400
FEW = 300


class State(StrEnum):
    """What is wrong with a scan."""

    INTACT = "closed, every face the same way"
    HOLES = "holes in the surface"
    SIDE_MISSING = "a side was not scanned"
    END_MISSING = "an end was not scanned"
    REVERSED = "faces run the wrong way"
    DOUBLED = "the surface is there twice"
    FLOATING = "loose pieces beside the object"
    HOLLOW = "a hollow was scanned inside"
    PIECES = "more than one piece"
    UNCLEAR = "a shell lies inside or across another"
    BRANCHED = "edges in which more than two faces meet"


class Role(StrEnum):
    """What a shell is to the object."""

    MAIN = "the object"
    PIECE = "a piece"
    HOLLOW = "a hollow"
    DOUBLED = "a double of the surface"
    FLOATING = "floating"
    UNCLEAR = "inside or across the object, not clear"


@dataclass(frozen=True, eq=False)
class Rim:
    """One open rim: what it bounds, where, how long, and the area of a flat fan over it."""

    kind: State
    edges: int
    length: float
    across: float
    centre: Array
    cap_area: float
    normal: Array


@dataclass(frozen=True, eq=False)
class Shell:
    """One connected shell: its role, faces, area [m2], capped volume [m3] and middle [m]."""

    role: Role
    faces: int
    area: float
    volume: float
    centre: Array


@dataclass(frozen=True, eq=False)
class Shape:
    """A checked scan: the object as a mesh that runs one way, as it came, and what was found."""

    mesh: Mesh
    as_it_came: Mesh
    tidied: Tidied
    rims: tuple[Rim, ...]
    shells: tuple[Shell, ...]
    reversed_faces: int
    is_inside_out: bool
    branched_edges: int
    clashing_edges: int
    states: tuple[State, ...]

    @property
    def is_closed(self) -> bool:
        """Say whether the object's surface is closed and every edge joins two faces, one way."""
        return not self.rims and not self.branched_edges and not self.clashing_edges

    @cached_property
    def axes(self) -> Array:
        """The object's own directions, the longest first, as rows of a rotation [1]."""
        return _axes(self.mesh)

    @cached_property
    def extents(self) -> Array:
        """The lengths of the box along the object's own directions [m]."""
        return np.asarray(np.ptp(self.mesh.points @ self.axes.T, axis=0))

    @cached_property
    def greatest_length(self) -> float:
        """The greatest distance between two points of the object [m]."""
        return greatest_distance(self.mesh.points)


def checked_shape(points: ArrayLike, faces: ArrayLike) -> Shape:
    """Return a scan with its faces running one way, its shells told apart and its rims named.

    Parameters
    ----------
    points : array-like, corners, shape (n, 3) [any length], finite
    faces : array-like, numbers of corners, shape (m, 3) [1]

    Returns
    -------
    Shape [same length]

    Raises
    ------
    InputError
        When the corners or faces are no surface.

    Source: softmend-solids, section 4 (states of a scan).
    Checked against: tests/science/solid/test_check.py.

    Example
    -------
    >>> corners = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]
    >>> shape = checked_shape(corners, [[0, 1, 2], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    >>> [state.value for state in shape.states], shape.reversed_faces
    (['faces run the wrong way'], 1)
    """
    from softmend.science.solid.opening import named_rims

    clean = tidied(points, faces)
    came = clean.mesh
    mended, turned = _one_way(came)
    roles, shells = _shells(came, mended)
    kept = np.isin(roles, (0, 1, 2))
    inward = roles == 2
    solid = mended.turned_over(inward).part(kept)
    outward = mended.part(roles == 0)
    rims = named_rims(solid, _axes(outward))
    counted = turned[kept] ^ inward[kept]
    found = Shape(
        mesh=solid,
        as_it_came=came.part(kept),
        tidied=clean,
        rims=rims,
        shells=shells,
        reversed_faces=int(counted.sum()),
        is_inside_out=bool(len(counted) and counted.mean() > 0.5),
        branched_edges=int((solid.edges.count > 2).sum()),
        clashing_edges=len(_clashes(solid)),
        states=(),
    )
    return _with_states(found)


def _with_states(found: Shape) -> Shape:
    from dataclasses import replace

    roles = {shell.role for shell in found.shells}
    told = {rim.kind for rim in found.rims}
    told |= {State.REVERSED} if found.reversed_faces or found.clashing_edges else set()
    repeated = found.tidied.repeated_faces > 0.01 * len(found.mesh.faces)
    told |= {State.DOUBLED} if Role.DOUBLED in roles or repeated else set()
    told |= {State.FLOATING} if Role.FLOATING in roles else set()
    told |= {State.HOLLOW} if Role.HOLLOW in roles else set()
    told |= {State.PIECES} if Role.PIECE in roles else set()
    told |= {State.UNCLEAR} if Role.UNCLEAR in roles else set()
    told |= {State.BRANCHED} if found.branched_edges else set()
    states = tuple(state for state in State if state in told) or (State.INTACT,)
    return replace(found, states=states)


def _clashes(mesh: Mesh) -> Faces:
    """Return the edges whose two faces run along them the same way."""
    half = np.stack([mesh.faces, np.roll(mesh.faces, -1, axis=1)], axis=-1).reshape(-1, 2)
    up = np.bincount(mesh.edges.of_half, half[:, 0] < half[:, 1], len(mesh.edges.count))
    return np.flatnonzero((mesh.edges.count == 2) & (up != 1))


def _one_way(mesh: Mesh) -> tuple[Mesh, Flags]:
    """Return the mesh with every shell running one way, outward, and which faces were turned."""
    if len(_clashes(mesh)):
        from importlib import import_module

        igl: Any = import_module("igl")
        oriented, patches = igl.bfs_orient(mesh.faces)
        faces, patches = np.asarray(oriented, dtype=np.int64), np.asarray(patches).reshape(-1)
        # The library may start a face at another corner; only its run counts.
        start = mesh.faces[:, 0][:, None] == faces
        following = np.take_along_axis(faces, ((start.argmax(axis=1) + 1) % 3)[:, None], 1)[:, 0]
        turned = following != mesh.faces[:, 1]
        # Each patch keeps the way that most of its surface came in.
        most = np.bincount(patches, np.where(turned, mesh.areas, -mesh.areas)) > 0
        turned ^= most[patches]
    else:
        turned = np.zeros(len(mesh.faces), dtype=bool)
    one_way = mesh.turned_over(turned)
    volumes = _volumes(one_way, one_way.pieces)
    inside_out = (volumes < 0)[one_way.pieces]
    return one_way.turned_over(inside_out), turned ^ inside_out


def _volumes(mesh: Mesh, pieces: Faces) -> Array:
    """Return the signed volume of each piece, its rims closed by flat fans [m3]."""
    count = int(pieces.max()) + 1
    middle = mesh.points.mean(axis=0)
    a, b, c = (mesh.points[corner] - middle for corner in mesh.faces.T)
    total = np.bincount(pieces, np.einsum("ij,ij->i", a, np.cross(b, c)) / 6, count)
    fans = fans_over(mesh)
    if len(fans.groups):
        of_point = np.zeros(len(mesh.points), dtype=np.int64)
        of_point[mesh.faces] = pieces[:, None]
        starts, ends = (mesh.points[fans.sides[:, k]] - middle for k in (1, 0))
        apex = fans.centres[fans.groups] - middle
        volume = np.einsum("ij,ij->i", starts, np.cross(ends, apex)) / 6
        total = total + np.bincount(of_point[fans.sides[:, 0]], volume, count)
    return np.asarray(total, dtype=np.float64)


def _shells(came: Mesh, mended: Mesh) -> tuple[Faces, tuple[Shell, ...]]:
    """Return each face's role (0 main, 1 piece, 2 hollow, 3 left out) and the shells."""
    pieces = mended.pieces
    count = int(pieces.max()) + 1
    areas = np.bincount(pieces, mended.areas, count)
    volumes = _volumes(mended, pieces)
    as_came = volumes if came is mended else _volumes(came, pieces)
    faces = np.bincount(pieces, minlength=count)
    numbers = {Role.MAIN: 0, Role.PIECE: 1, Role.HOLLOW: 2}
    main = mended.part(pieces == 0) if count > 1 else mended
    roles = [Role.MAIN]
    for piece in range(1, count):
        if areas[piece] < SPECK_SHARE * areas[0] or piece > 50:
            roles.append(Role.FLOATING)
            continue
        part = mended.part(pieces == piece)
        runs_inward = as_came[piece] * as_came[0] < 0
        roles.append(_role(main, part, areas[piece] / areas[0], runs_inward=bool(runs_inward)))
    centres = [
        np.bincount(pieces, mended.areas * mended.centres[:, k], count) / areas for k in range(3)
    ]
    shells = tuple(
        Shell(role, int(faces[n]), float(areas[n]), float(abs(volumes[n])), np.array(
            [axis[n] for axis in centres]))
        for n, role in enumerate(roles)
    )  # fmt: skip
    of_shell = np.array([numbers.get(role, 3) for role in roles], dtype=np.int64)
    return np.asarray(of_shell[pieces]), shells


def _role(main: Mesh, part: Mesh, share: float, *, runs_inward: bool) -> Role:
    step = max(len(part.faces) // LOOKED_AT, 1)
    places = part.centres[::step]
    inside = float((main.winding(places) > 0.5).mean())
    far = main.nearest_points(places)[0]
    near = float((far < max(0.005 * main.size, 2 * main.mean_edge)).mean())
    if inside > 0.9 and runs_inward:
        return Role.HOLLOW
    if near > 0.5 and share > 0.2:
        return Role.DOUBLED
    if inside < 0.1:
        return Role.PIECE if share >= PIECE_SHARE else Role.FLOATING
    return Role.UNCLEAR if share >= PIECE_SHARE else Role.FLOATING


def _axes(mesh: Mesh) -> Array:
    away = mesh.centres - mesh.middle
    _, vectors = np.linalg.eigh((away * mesh.areas[:, None]).T @ away)
    axes = np.asarray(vectors.T[::-1])
    return axes if np.linalg.det(axes) > 0 else axes * np.array([[1.0], [1.0], [-1.0]])


def greatest_distance(points: Array) -> float:
    """Return the greatest distance between two of some points, to 0.1 %.

    Parameters
    ----------
    points : array (n, 3), one or more [any length]

    Returns
    -------
    float [same length]

    Source: own; the farthest in 100 directions, and the farthest from these.
    Checked against: tests/science/solid/test_check.py.

    Example
    -------
    >>> greatest_distance(np.array([[0, 0, 0], [3, 4, 0], [1, 1, 0.0]]))
    5.0
    """
    if len(points) <= FEW:
        return float(np.linalg.norm(points[:, None] - points[None], axis=-1).max())
    n = 100
    turn = np.pi * (1 + 5**0.5) * np.arange(n)
    up = 1 - (np.arange(n) + 0.5) / n
    flat = np.sqrt(1 - up**2)
    ways = np.stack([flat * np.cos(turn), flat * np.sin(turn), up], axis=1)
    away = np.asarray(points - points.mean(axis=0))
    extremes: set[int] = set()
    for some in np.array_split(ways, 10):
        heights = some @ away.T
        extremes |= {*heights.argmax(axis=1).tolist(), *heights.argmin(axis=1).tolist()}
    outer = away[sorted(extremes)]
    far = np.linalg.norm(outer[:, None] - outer[None], axis=-1)
    # Directions see each end to a few degrees only: from the best ends look for the farthest point.
    best = outer[np.argsort(-far.max(axis=1))[:12]]
    found = 0.0
    for end in best:
        there = away[((away - end) ** 2).sum(axis=1).argmax()]
        found = max(found, float(((away - there) ** 2).sum(axis=1).max()))
    return float(np.sqrt(found))
