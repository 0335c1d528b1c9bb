"""A scan for the eye: a lighter copy to turn on the screen, and how it looks from one side."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.mesh import Faces, Mesh
from softmend.science.uncertain import Array

LEAST_FACES, MOST_FACES = 100, 1_000_000
_ABOUT_A_PLACE, _SQUARE_ENOUGH = 50, 0.9
LIGHT = (-0.45, 0.6, 0.66)
"""Where the light of a still comes from, seen from the eye: left, above, in front."""


def display_copy(mesh: Mesh, most: int) -> Mesh:
    """Return a copy of at most so many faces, for the eye only: nothing is measured on it.

    Parameters
    ----------
    mesh : Mesh, the measuring mesh [any length]
    most : int, how many faces the copy may have [1], 100 to 1 000 000

    Returns
    -------
    Mesh [same length]

    Raises
    ------
    InputError
        When the number of faces is out of range.

    Source: softmend-solids, section 3 (decimation for display).
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> across, up = np.meshgrid(np.arange(40.0), np.arange(40.0))
    >>> points = np.stack([across.ravel(), up.ravel(), 0 * up.ravel()], axis=-1)
    >>> n = np.array([40 * r + c for r in range(39) for c in range(39)])
    >>> faces = np.concatenate([np.stack([n, n + 1, n + 40], 1),
    ...                         np.stack([n + 1, n + 41, n + 40], 1)])
    >>> copy = display_copy(Mesh(points, faces), 500)
    >>> len(copy.faces) <= 500, round(copy.area / 1521, 1)
    (True, 1.0)
    """
    if not LEAST_FACES <= most <= MOST_FACES:
        raise InputError(
            "The number of faces of a display copy is out of range",
            value=most,
            allowed=f"{LEAST_FACES} to {MOST_FACES}",
        )
    if len(mesh.faces) <= most:
        return mesh
    # Single precision is enough for the eye once the copy lies about its own middle.
    middle = (mesh.points.min(axis=0) + mesh.points.max(axis=0)) / 2
    lighter: Any = import_module("fast_simplification")
    points, faces = lighter.simplify(
        np.ascontiguousarray(mesh.points - middle, dtype=np.float32),
        np.ascontiguousarray(mesh.faces, dtype=np.int32),
        target_count=most,
    )
    return Mesh(np.asarray(points, dtype=np.float64) + middle, np.asarray(faces, dtype=np.int64))


def frame_of_look(toward: ArrayLike, up: ArrayLike) -> Array:
    """Return right, up and toward-the-eye as rows: the frame of a look at an object.

    Parameters
    ----------
    toward : array-like (3,), the direction of the look [1], not zero
    up : array-like (3,), what is upward on paper [1], not along the look

    Returns
    -------
    array (3, 3), a rotation [1]

    Raises
    ------
    InputError
        When a direction is zero or both are the same.

    Source: own; an orthographic look.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> np.allclose(frame_of_look([0, 0, -1], [0, 1, 0]), np.eye(3))
    True
    """
    away = np.asarray(toward, dtype=np.float64)
    upward = np.asarray(up, dtype=np.float64)
    right = np.cross(away, upward)
    if not np.isfinite(right).all() or not float(np.linalg.norm(right)) > 1e-9 * float(
        np.linalg.norm(away) * np.linalg.norm(upward)
    ):
        raise InputError(
            "A look needs a direction and another one upward",
            value=f"{away.tolist()}, {upward.tolist()}",
            allowed="two directions that differ, neither zero",
        )
    back = -away / np.linalg.norm(away)
    right = right / np.linalg.norm(right)
    return np.stack([right, np.cross(back, right), back])


def look_at(
    mesh: Mesh, frame: ArrayLike, middle: ArrayLike, span: float, size: tuple[int, int]
) -> Array:
    """Return how bright a matt surface looks from one side, without perspective; 0 is past it.

    Parameters
    ----------
    mesh : Mesh, faces running outward [any length]
    frame : array-like (3, 3), right, up and toward the eye as rows [1]
    middle : array-like (3,), what lies at the centre of the picture [same length]
    span : float, the width of the picture [same length], above 0
    size : (int, int), width and height of the picture [px], 16 to 4000 each

    Returns
    -------
    array (height, width), brightness of the surface, 0.15 to 1, or 0 where there is none [1]

    Raises
    ------
    InputError
        When span or size are out of range.

    Source: own; Lambert's cosine law, one lamp and a little light from everywhere.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [0, 2, 3]]))
    >>> seen = look_at(square, np.eye(3), [0.5, 0.5, 0.0], 2.0, (16, 16))
    >>> float((seen > 0).mean())
    0.25
    """
    return lit_faces(mesh, faces_seen(mesh, frame, middle, span, size), frame)


def lit_faces(mesh: Mesh, seen: Faces, frame: ArrayLike) -> Array:
    """Return how bright the faces of a look are, by one lamp; 0 where there is none.

    Parameters
    ----------
    mesh : Mesh, faces running outward [any length]
    seen : array (height, width), the face that each pixel shows, or -1 [1]
    frame : array-like (3, 3), right, up and toward the eye as rows [1]

    Returns
    -------
    array (height, width), brightness of the surface, 0.15 to 1, or 0 where there is none [1]

    Raises
    ------
    Nothing.

    Source: own; Lambert's cosine law, one lamp and a little light from everywhere.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [0, 2, 3]]))
    >>> lit_faces(square, np.array([[-1, 1]]), np.eye(3)).round(2).tolist()
    [[0.0, 0.71]]
    """
    lamp = np.asarray(LIGHT) @ np.asarray(frame, dtype=np.float64)
    facing = np.abs(mesh.normals @ (lamp / np.linalg.norm(lamp)))
    return np.asarray(np.where(seen >= 0, 0.15 + 0.85 * facing[np.maximum(seen, 0)], 0.0))


def faces_seen(
    mesh: Mesh, frame: ArrayLike, middle: ArrayLike, span: float, size: tuple[int, int]
) -> Faces:
    """Return which face each pixel of a look without perspective shows, or -1 past the surface.

    Parameters
    ----------
    mesh : Mesh [any length]
    frame : array-like (3, 3), right, up and toward the eye as rows [1]
    middle : array-like (3,), what lies at the centre of the picture [same length]
    span : float, the width of the picture [same length], above 0
    size : (int, int), width and height of the picture [px], 16 to 4000 each

    Returns
    -------
    array (height, width), numbers of faces [1]

    Raises
    ------
    InputError
        When span or size are out of range.

    Source: own; an orthographic look, one ray a pixel.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [0, 2, 3]]))
    >>> seen = faces_seen(square, np.eye(3), [0.5, 0.5, 0.0], 2.0, (16, 16))
    >>> sorted(set(seen.ravel().tolist()))
    [-1, 0, 1]
    """
    width, height = size
    if not span > 0 or not (16 <= width <= 4000 and 16 <= height <= 4000):
        raise InputError(
            "A still has no sensible size",
            value=f"{width} x {height} px over {span:g}",
            allowed="16 to 4000 px, a width above 0",
        )
    rows, at = np.asarray(frame, dtype=np.float64), np.asarray(middle, dtype=np.float64)
    seen = np.full((height, width), -1)
    # Rays go only where the surface can be: a long object fills little of its picture.
    flat = ((mesh.points - at) @ rows.T)[:, :2] * (width / span) + np.array([width, height]) / 2
    low = np.maximum(np.floor(flat.min(axis=0)), 0)
    high = np.ceil(flat.max(axis=0))
    left, right = int(low[0]), min(int(high[0]) + 1, width)
    top, bottom = max(height - int(high[1]) - 1, 0), min(height - int(low[1]), height)
    if left >= right or top >= bottom:
        return seen
    x = (np.arange(left, right) + 0.5 - width / 2) * span / width
    y = (height / 2 - np.arange(top, bottom) - 0.5) * span / width
    across, up = np.meshgrid(x, y)
    starts = np.stack([across.ravel(), up.ravel(), np.full(across.size, 4 * mesh.size)], axis=1)
    hit = _first_faces(mesh, starts @ rows + at, -rows[2])
    seen[top:bottom, left:right] = hit.reshape(bottom - top, right - left)
    return seen


def look_facing(mesh: Mesh, place: ArrayLike, down: ArrayLike) -> tuple[Array, Array]:
    """Return the look that faces the surface at a place, the object as upright as can be.

    Parameters
    ----------
    mesh : Mesh, faces running outward [any length]
    place : array-like (3,), on the surface [same length]
    down : array-like (3,), what points down as the object lies [1], not zero

    Returns
    -------
    (array (3,), array (3,)), the direction of the look, and what is upward on paper [1]

    Raises
    ------
    InputError
        When which way is down has no direction.

    Source: own; the mean normal about the place, a longest side across where seen from above.
    Checked against: tests/science/solid/test_display.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [0, 1, 0], [0, 1, 1], [0, 0, 1.0]]),
    ...               np.array([[0, 1, 2], [0, 2, 3]]))
    >>> toward, up = look_facing(square, [0, 0.5, 0.5], [0, 0, -1])
    >>> toward.tolist(), up.tolist()
    ([-1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
    """
    way = np.asarray(down, dtype=np.float64)
    if not float(np.linalg.norm(way)) > 0:
        raise InputError("Which way is down has no direction", value="0, 0, 0")
    away = np.linalg.norm(mesh.centres - np.asarray(place, dtype=np.float64), axis=1)
    few = min(_ABOUT_A_PLACE, len(away) - 1)
    near = away <= max(float(np.partition(away, few)[few]), 0.01 * mesh.size)
    outward = mesh.area_vectors[near].sum(axis=0)
    toward = np.asarray(-outward / max(float(np.linalg.norm(outward)), 1e-300)) + 0.0
    ups = [-way / float(np.linalg.norm(way)) + 0.0]
    # Seen from straight above or below, what is longest lies across.
    ups += [np.eye(3)[k] for k in np.argsort(np.ptp(mesh.points, axis=0))[[1, 0, 2]]]
    return toward, next(one for one in ups if abs(float(one @ toward)) < _SQUARE_ENOUGH)


def _first_faces(mesh: Mesh, starts: Array, way: Array) -> Any:
    """Return the first face that each ray meets, or -1."""
    rtcore: Any = import_module("embreex.rtcore_scene")
    surfaces: Any = import_module("embreex.mesh_construction")
    middle = mesh.middle
    scene = rtcore.EmbreeScene()
    surfaces.TriangleMesh(
        scene,
        np.ascontiguousarray(mesh.points - middle, dtype=np.float32),
        np.ascontiguousarray(mesh.faces, dtype=np.int32),
    )
    ways = np.broadcast_to(way, starts.shape)
    return np.asarray(
        scene.run(
            np.ascontiguousarray(starts - middle, dtype=np.float32),
            np.ascontiguousarray(ways, dtype=np.float32),
        )
    )
