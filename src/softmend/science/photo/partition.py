"""Zones that divide a surface exactly: cut against each other, sharing every vertex of an edge.

All coordinates stand on a grid of 0.01 px. Boundaries are noded together on that grid, the faces
between them are given to zones, and each zone is put together again from its faces; so an edge
that two zones share has the same vertices in both, and areas add up to rounding.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

GRID_PX = 0.01
SMALLEST_PIECE_PX2 = 4.0
"""What a cut leaves over beyond a neighbour and is smaller than this is a slip of the hand."""


class Meeting(StrEnum):
    """How two drawn areas meet, given how exactly they were drawn."""

    APART = "apart"
    TOUCHING = "touching"
    OVERLAPPING = "overlapping"


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """An area on a picture: an outline and its holes, open rings of points [px]."""

    outline: Array
    holes: tuple[Array, ...] = ()


@dataclass(frozen=True, slots=True)
class Cut:
    """A new zone after cutting, largest piece first, and its neighbours in their given order."""

    pieces: tuple[Region, ...]
    neighbours: tuple[Region, ...]


def region(outline_px: ArrayLike, holes_px: Sequence[ArrayLike] = ()) -> Region:
    """Return an area on the 0.01 px grid after checking that it is one.

    Parameters
    ----------
    outline_px : array-like, vertices in order, shape (m, 2) [px], m at least 3
    holes_px : sequence of array-like, outlines of holes inside it [px]

    Returns
    -------
    Region [px]

    Raises
    ------
    InputError
        When the outline crosses itself, encloses nothing, or a hole leaves it.

    Source: own work.
    Checked against: tests/science/photo/test_partition.py.

    Example
    -------
    >>> region([[0, 0], [10, 0], [10, 10.004]]).outline.tolist()
    [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]
    """
    rings = [np.round(point_array(ring, 3), 2) for ring in (outline_px, *holes_px)]
    found = Region(rings[0], tuple(rings[1:]))
    shape = _shape(found)
    if not shape.is_valid or shape.area == 0:
        raise InputError(
            "An outline crosses itself, encloses nothing, or a hole leaves it",
            value=f"{len(rings[0])} points, {len(rings) - 1} holes",
            allowed="a simple outline with its holes inside",
            remedy="Undo the last vertex, or draw the area as two areas",
        )
    return found


def cut_against(new: Region, neighbours: Sequence[Region]) -> Cut:
    """Return a new zone cut against its neighbours, and the neighbours with the shared vertices.

    Neighbours keep their place: whatever the new zone has in common with one stays the
    neighbour's. Points of either boundary that lie on the other become vertices of both.

    Parameters
    ----------
    new : Region, the zone as it was drawn [px]
    neighbours : sequence of Region, zones already there, not overlapping each other [px]

    Returns
    -------
    Cut [px]; neighbours that the new zone does not meet come back as they were

    Raises
    ------
    InputError
        When nothing of the new zone is left.

    Source: hobby1999 (snap rounding: segments noded on a grid).
    Checked against: tests/science/photo/test_partition.py.

    Example
    -------
    >>> left = region([[0, 0], [10, 0], [10, 10], [0, 10]])
    >>> drawn = region([[8, 2], [20, 2], [20, 8], [8, 8]])
    >>> cut = cut_against(drawn, [left])
    >>> sorted(cut.pieces[0].outline.tolist())
    [[10.0, 2.0], [10.0, 8.0], [20.0, 2.0], [20.0, 8.0]]
    >>> [10.0, 2.0] in cut.neighbours[0].outline.tolist()
    True
    """
    import shapely

    drawn = _shape(new)
    standing = [_shape(one) for one in neighbours]
    met = [number for number, shape in enumerate(standing) if shape.intersects(drawn)]
    lines = shapely.union_all(
        [drawn.boundary, *(standing[m].boundary for m in met)], grid_size=GRID_PX
    )
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    inside = shapely.point_on_surface(faces)
    owner = np.full(len(faces), -1)
    owner[shapely.covers(drawn, inside)] = len(standing)
    for number in met:
        owner[shapely.covers(standing[number], inside)] = number
    pieces = [
        piece
        for piece in _joined(faces[owner == len(standing)])
        if piece.area >= SMALLEST_PIECE_PX2
    ]
    if not pieces:
        raise InputError(
            "Nothing is left of the new zone: the place is already taken",
            allowed="a zone that reaches beyond its neighbours",
            remedy="Change the kind of the zone that is there, or redraw its outline first",
        )
    kept = list(neighbours)
    for number in met:
        kept[number] = _region(max(_joined(faces[owner == number]), key=lambda part: part.area))
    ordered = sorted(pieces, key=lambda part: -part.area)
    return Cut(tuple(map(_region, ordered)), tuple(kept))


def overlap_width_px(one: Region, other: Region) -> float:
    """Return the width of the widest place where two areas overlap.

    Parameters
    ----------
    one : Region, an area [px]
    other : Region, another area [px]

    Returns
    -------
    float, diameter of the largest circle inside the overlap, to 0.01 px; 0 without overlap [px]

    Source: own work (largest inscribed circle).
    Checked against: tests/science/photo/test_partition.py.

    Example
    -------
    >>> left = region([[0, 0], [10, 0], [10, 10], [0, 10]])
    >>> round(overlap_width_px(left, region([[7, -5], [20, -5], [20, 15], [7, 15]])), 1)
    3.0
    """
    import shapely

    common = _shape(one).intersection(_shape(other))
    parts = [p for p in shapely.get_parts(common) if p.geom_type == "Polygon" and p.area > 0]
    radii = [shapely.maximum_inscribed_circle(p, tolerance=GRID_PX / 2).length for p in parts]
    return 2.0 * float(max(radii, default=0.0))


def overlap_area_px2(one: Region, other: Region) -> float:
    """Return the area that two areas have in common.

    Parameters
    ----------
    one : Region, an area [px]
    other : Region, another area [px]

    Returns
    -------
    float, area [px2]

    Source: own work.
    Checked against: tests/science/photo/test_partition.py.

    Example
    -------
    >>> left = region([[0, 0], [10, 0], [10, 10], [0, 10]])
    >>> overlap_area_px2(left, region([[7, -5], [20, -5], [20, 15], [7, 15]]))
    30.0
    """
    return float(_shape(one).intersection(_shape(other)).area)


def meeting(one: Region, other: Region, accuracy_px: float) -> Meeting:
    """Return how two areas meet: an overlap no wider than the drawing is exact is a touch.

    Parameters
    ----------
    one : Region, an area [px]
    other : Region, another area [px]
    accuracy_px : float, how far a drawn edge may lie from the true one [px], above 0 to 1000

    Returns
    -------
    Meeting; areas that lie apart by no more than the accuracy touch as well

    Raises
    ------
    InputError
        When the accuracy is out of range.

    Source: own work.
    Checked against: tests/science/photo/test_partition.py.

    Example
    -------
    >>> left = region([[0, 0], [10, 0], [10, 10], [0, 10]])
    >>> right = region([[9, -5], [20, -5], [20, 15], [9, 15]])
    >>> meeting(left, right, 2.0).value, meeting(left, right, 0.5).value
    ('touching', 'overlapping')
    """
    if not 0 < accuracy_px <= 1000:
        raise InputError(
            "The accuracy of the drawing is out of range",
            value=accuracy_px,
            allowed="above 0 to 1000 px",
        )
    if overlap_width_px(one, other) > accuracy_px:
        return Meeting.OVERLAPPING
    gap = _shape(one).distance(_shape(other))
    return Meeting.TOUCHING if gap <= accuracy_px else Meeting.APART


def _shape(area: Region) -> Any:
    from shapely.geometry import Polygon

    return Polygon(area.outline, area.holes)


def _joined(faces: Any) -> list[Any]:
    """Return faces joined to areas, every vertex of their rims kept."""
    import shapely

    return list(shapely.get_parts(shapely.union_all(faces, grid_size=GRID_PX)))


def _region(shape: Any) -> Region:
    rings = [
        np.round(np.asarray(ring.coords, dtype=np.float64)[:-1], 2)
        for ring in (shape.exterior, *shape.interiors)
    ]
    return Region(rings[0], tuple(rings[1:]))
