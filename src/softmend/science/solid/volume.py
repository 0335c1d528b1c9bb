"""Two independent volumes of a scan, and whether they agree well enough to be believed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.check import Role, Shape, State
from softmend.science.solid.closing import fans_over
from softmend.science.solid.mesh import Mesh
from softmend.science.uncertain import Array

AGREE, INCOMPLETE = 0.01, 0.05
"""Shares within which two volumes agree, and within which a range is still told."""
ONE_SIDED = 0.4
"""Share of the surface that flat caps may span before a scan is one side of an object."""
FLAT_SHARE = 1e-5
GRID_POINTS = 300_000
SMOOTHING_LENGTH_M = 1e-3


class Verdict(StrEnum):
    """Whether a volume can be had."""

    AGREES = "two independent volumes agree"
    INCOMPLETE = "scan incomplete: a range"
    AT_LEAST = "part was not scanned: at least this much"
    NONE = "no volume"


@dataclass(frozen=True, eq=False)
class Volume:
    """The volume by the capped divergence sum and by counting a grid, and the verdict.

    `low` to `high` is the range that is told; `centre_spread` is how far the two methods' centres
    lie apart. With the verdict "no volume" none of them may be shown.
    """

    verdict: Verdict
    capped: float
    counted: float
    difference: float
    low: float
    typical: float
    high: float
    centre: Array
    centre_spread: float
    grid_step: float
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Surface:
    """The area [m2] as scanned and after smoothing at a length, with the mean edge [m]."""

    area: float
    smoothed: float
    mean_edge: float
    smoothing_length: float


def solid_volume(shape: Shape, grid_points: int = GRID_POINTS) -> Volume:
    """Return the volume of a checked scan by two independent methods, or why there is none.

    Parameters
    ----------
    shape : Shape, a checked scan
    grid_points : int, about how many points are counted [1], 1000 to 5 000 000

    Returns
    -------
    Volume [m3]; within 1 % the capped volume, within 5 % a range, else no volume; where a side or
    an end was not scanned, it is that of the scanned part: at least

    Raises
    ------
    InputError
        When the number of points is outside its range.

    Source: softmend-solids, section 4; barill2018 (winding number of a soup).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> from softmend.science.solid.check import checked_shape
    >>> corners = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]
    >>> found = solid_volume(checked_shape(corners, [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]))
    >>> found.verdict.value, round(found.capped, 6)
    ('two independent volumes agree', 0.166667)
    """
    if not 1000 <= grid_points <= 5_000_000:
        raise InputError(
            "The number of grid points is out of range",
            value=grid_points,
            allowed="1000 to 5 000 000",
        )
    capped, centre = capped_volume(shape.mesh)
    counted, counted_centre, step = _counted(shape.as_it_came, shape.axes, grid_points)
    if _is_mended(shape) and abs(counted - capped) > AGREE * abs(capped):
        # The file's own faces cancel each other; the mended surface runs one way all over.
        counted, counted_centre, step = _counted(shape.mesh, shape.axes, grid_points)
    difference = abs(capped - counted) / max(abs(capped), abs(counted), 1e-300)
    verdict = Verdict.AGREES if difference <= AGREE else Verdict.INCOMPLETE
    reasons = _doubts(shape)
    if difference > INCOMPLETE or reasons or capped <= 0:
        verdict = Verdict.NONE
        reasons += _apart(shape, difference, capped, counted)
    off = abs(capped - counted)
    low, high = min(capped, counted), max(capped, counted)
    if verdict is Verdict.AGREES:
        low, high = capped - off, capped + off
    doubles = [one.volume for one in shape.shells if one.role is Role.DOUBLED]
    likely = [one for one in doubles if abs(one - capped) < INCOMPLETE * abs(capped)]
    low, high = min(low, *likely, low), max(high, *likely, high)
    typical = capped if verdict is Verdict.AGREES else (low + high) / 2
    if verdict is not Verdict.NONE and {State.SIDE_MISSING, State.END_MISSING} & {*shape.states}:
        # Both methods close the opening straight across, so they agree on what neither can know.
        verdict = Verdict.AT_LEAST
    return Volume(
        verdict, capped, counted, difference, low, typical, high, centre,
        float(np.linalg.norm(centre - counted_centre)), step, reasons,
    )  # fmt: skip


def _is_mended(shape: Shape) -> bool:
    return bool(shape.reversed_faces) and not shape.branched_edges and not shape.clashing_edges


def _doubts(shape: Shape) -> tuple[str, ...]:
    """Return why no volume may be told whatever the numbers say."""
    unclear = [shell for shell in shape.shells if shell.role is Role.UNCLEAR]
    found = []
    if unclear:
        found.append(
            f"{len(unclear)} closed shell(s) lie inside or across the object, and the scan does "
            "not say whether they are hollows: turn their faces inward in the scanner's program if "
            "they are, or leave them out"
        )
    gap = sum(rim.cap_area for rim in shape.rims) / max(shape.mesh.area, 1e-300)
    if gap > ONE_SIDED:
        found.append(
            f"the open rims span {100 * gap:.0f} % of what was scanned: this is one side of an "
            "object, not a body"
        )
    return tuple(found)


def _apart(shape: Shape, difference: float, capped: float, counted: float) -> tuple[str, ...]:
    found = []
    if difference > INCOMPLETE:
        found.append(
            f"the two volumes lie {100 * difference:.0f} % apart, more than {100 * INCOMPLETE:.0f} "
            "%, so neither is believed"
        )
    if capped <= 0 or counted <= 0:
        found.append("the surface encloses nothing")
    if shape.rims:
        found.append(f"{len(shape.rims)} open rim(s) bound what was not scanned")
    if State.REVERSED in shape.states:
        found.append("faces run the wrong way and could not all be turned round")
    return tuple(found)


def capped_volume(mesh: Mesh) -> tuple[float, Array]:
    """Return the volume and its centre by the divergence sum, rims closed by flat fans.

    Parameters
    ----------
    mesh : Mesh, faces running one way, outward

    Returns
    -------
    float, the volume [m3], and array (3,), the centre of the volume [m]

    Source: softmend-solids, section 4 (V1: the mesh recentred and capped).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> cube = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7]]
    >>> open_cube = Mesh(cube, np.array(sides))
    >>> volume, centre = capped_volume(open_cube)
    >>> round(volume, 9), centre.round(9).tolist()
    (1.0, [0.5, 0.5, 0.5])
    """
    origin = mesh.middle
    a, b, c = (mesh.points[corner] - origin for corner in mesh.faces.T)
    if len(mesh.rim):
        caps = np.moveaxis(_caps(mesh) - origin, 1, 0)
        a, b, c = (np.concatenate(both) for both in zip((a, b, c), caps, strict=True))
    parts = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volume = float(parts.sum())
    if volume == 0:
        return 0.0, origin
    return volume, np.asarray(origin + parts @ (a + b + c) / (4 * volume))


def _caps(mesh: Mesh) -> Array:
    """Return the triangles of a flat fan over every open rim."""
    fans = fans_over(mesh)
    ends = mesh.points[fans.sides]
    return np.stack([ends[:, 1], ends[:, 0], fans.centres[fans.groups]], axis=1)


def _counted(mesh: Mesh, axes: Array, grid_points: int) -> tuple[float, Array, float]:
    """Return volume [m3], centre [m] and step [m] by counting a grid laid along the object."""
    own = Mesh(mesh.points @ axes.T, mesh.faces)
    used = own.points[np.unique(own.faces)]
    low, high = used.min(axis=0), used.max(axis=0)
    if float((high - low).min()) < FLAT_SHARE * float((high - low).max()):
        # A sheet without thickness encloses nothing that a grid could count.
        return 0.0, mesh.middle, float((high - low).min())
    step = float((np.prod(np.maximum(high - low, 1e-12)) / grid_points) ** (1 / 3))
    # A flat thing needs finer steps than its box says, up to three times the points.
    finest = float((np.prod(np.maximum(high - low, step)) / (3 * grid_points)) ** (1 / 3))
    step = max(min(step, float((high - low).min()) / 8), finest)
    counts = np.ceil((high - low) / step).astype(int) + 1
    while np.prod(counts, dtype=np.float64) > 4 * grid_points:
        # Thinner than its steps: points scattered in its slab still find its share of them.
        step *= 1.2
        counts = np.ceil((high - low) / step).astype(int) + 1
    # One point somewhere in each cell: flat faces that run with the grid are not counted twice.
    rng = np.random.default_rng(0)
    start = (low + high) / 2 - (counts - 1) / 2 * step
    lines = [start[k] + step * np.arange(counts[k]) for k in range(3)]
    inside_count, total = 0, np.zeros(3)
    layers = max(1, 400_000 // int(counts[1] * counts[2]))
    for first in range(0, counts[0], layers):
        grid = np.meshgrid(lines[0][first : first + layers], *lines[1:], indexing="ij")
        places = np.stack(grid, axis=-1).reshape(-1, 3)
        places = places + step * (rng.random(places.shape) - 0.5)
        # A scan that is inside out winds the other way round; the space it encloses is the same.
        inside = places[np.abs(own.winding(places)) > 0.5]
        inside_count += len(inside)
        total += inside.sum(axis=0)
    centre = total / max(inside_count, 1) @ axes
    return inside_count * step**3, np.asarray(centre), step


def surface_area(mesh: Mesh, smoothing_length: float = SMOOTHING_LENGTH_M) -> Surface:
    """Return the area of a surface as scanned and after smoothing, with the edge it belongs to.

    Parameters
    ----------
    mesh : Mesh, the surface
    smoothing_length : float, waves shorter than this are smoothed away [m], 1e-6 to 1

    Returns
    -------
    Surface [m2]

    Raises
    ------
    InputError
        When the smoothing length is outside its range.

    Source: softmend-solids, section 3 (area depends on scale); taubin1995 (smoothing).
    Checked against: tests/science/solid/test_volume.py.

    Example
    -------
    >>> flat = Mesh(np.eye(3), np.array([[0, 1, 2]]))
    >>> found = surface_area(flat, 0.001)
    >>> round(found.area, 4), round(found.mean_edge, 4)
    (0.866, 1.4142)
    """
    if not 1e-6 <= smoothing_length <= 1:
        raise InputError(
            "The smoothing length is out of range",
            value=f"{smoothing_length:g} m",
            allowed="1e-6 to 1 m",
        )
    edge = mesh.mean_edge
    rounds = int(np.clip(round((smoothing_length / edge) ** 2), 0, 40))
    return Surface(mesh.area, smoothed(mesh, rounds).area, edge, smoothing_length)


def smoothed(mesh: Mesh, rounds: int) -> Mesh:
    """Return a surface without its finest waves; its volume hardly shrinks.

    Parameters
    ----------
    mesh : Mesh, the surface
    rounds : int, pairs of a shrinking and a growing step [1], 0 or more

    Returns
    -------
    Mesh, open rims unmoved

    Source: taubin1995 (factors 0.5 and -0.53).
    Checked against: tests/science/solid/test_volume.py.

    Example
    -------
    >>> flat = Mesh(np.eye(3), np.array([[0, 1, 2]]))
    >>> bool((smoothed(flat, 3).points == flat.points).all())
    True
    """
    if rounds <= 0:
        return mesh
    from scipy.sparse import csr_array

    ends = mesh.edges.ends
    both = np.concatenate([ends, ends[:, ::-1]])
    count = len(mesh.points)
    links = csr_array((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(count, count))
    degree = np.maximum(links.sum(axis=1), 1.0)[:, None]
    free = np.ones((count, 1))
    free[np.unique(mesh.rim)] = 0.0
    points = mesh.points
    for _ in range(rounds):
        for factor in (0.5, -0.53):
            points = points + factor * free * (links @ points / degree - points)
    return Mesh(points, mesh.faces)
