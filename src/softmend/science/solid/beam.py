"""An object as a beam: its middle line, sections along it, and whether it is a beam at all."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.closing import closed_over, fans_over
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.section import Section, plane_section
from softmend.science.uncertain import Array

SLENDER, GENTLE = 5.0, 6.0
"""Least length in diameters, and least radius of bend in radii, of what is called a beam."""
OPEN_SHARE = 0.08
"""Share of the surface that flat fans may stand for before sections are not believed."""
STATIONS = 60
SLICED_FACES = 120_000


@dataclass(frozen=True, eq=False)
class Beam:
    """Slices along a middle line: where, their sections, their share of the volume.

    `at` is the distance of each slice's middle from the first end [m], `points` its middle (n, 3),
    `along` its direction, `bend` the curvature vector towards the centre of the bend [1/m].
    """

    at: Array
    length: float
    points: Array
    along: Array
    bend: Array
    sections: tuple[Section, ...]
    shares: Array
    reasons: tuple[str, ...]

    @property
    def radii(self) -> Array:
        """The radius of each section [m]."""
        return np.array([section.radius for section in self.sections])

    @property
    def is_beam(self) -> bool:
        """Say whether beam theory holds for it."""
        return not self.reasons

    def place(self, at: float | Array) -> Array:
        """Return the points of the middle line at distances from its first end [m]."""
        inside = np.clip(at, self.at[0], self.at[-1])
        on = np.stack([np.interp(inside, self.at, self.points[:, k]) for k in range(3)], axis=-1)
        # Before the first and after the last slice's middle the line goes straight on.
        over = np.asarray(at - inside)[..., None]
        return np.asarray(on + over * np.where(over < 0, self.along[0], self.along[-1]))


def beam_of(mesh: Mesh, stations: int = STATIONS) -> Beam:
    """Return an object as a beam: sections square to its middle line, and what speaks against it.

    Parameters
    ----------
    mesh : Mesh, one closed object, faces running outward
    stations : int, how many slices [1], 12 to 400

    Returns
    -------
    Beam [m]

    Raises
    ------
    InputError
        When there are too few stations, or no middle line can be followed.

    Source: softmend-solids, section 5c (centre line and sections).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> angle = np.arange(8) * np.pi / 4
    >>> ring = np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    >>> rings = [ring + [0, 0, z] for z in range(31)]
    >>> points = np.concatenate([*rings, [[0, 0, 0], [0, 0, 30.0]]])
    >>> side = [[8 * z + k, 8 * z + (k + 1) % 8, 8 * z + 8 + k]
    ...         for z in range(30) for k in range(8)]
    >>> side += [[8 * z + (k + 1) % 8, 8 * z + 8 + (k + 1) % 8, 8 * z + 8 + k]
    ...          for z in range(30) for k in range(8)]
    >>> side += [[248, (k + 1) % 8, k] for k in range(8)] + [[249, 240 + k, 240 + (k + 1) % 8]
    ...          for k in range(8)]
    >>> beam = beam_of(Mesh(points, np.array(side)), 20)
    >>> round(beam.length, 2), beam.is_beam
    (30.01, True)
    """
    if not 12 <= stations <= 400:
        raise InputError(
            "The number of slices is out of range", value=stations, allowed="12 to 400"
        )
    sliced = _lighter(closed_over(mesh))
    points, along, beyond = _evenly(_followed(sliced), sliced, stations)
    sections: list[Section] = []
    kept = []
    for k, (point, way) in enumerate(zip(points, along, strict=True)):
        section = plane_section(sliced, point, _frame(way))
        if section is not None and section.net.area > 0:
            sections.append(section)
            kept.append(k)
    if len(kept) < 0.8 * stations:
        raise InputError(
            "No middle line can be followed through this object",
            value=f"{len(kept)} of {stations} sections",
            allowed="a long object, closed all round",
            remedy="close the scan, or hold the object as a whole body",
        )
    points = np.array([section.centre for section in sections])
    along = along[kept]
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    at = beyond[0] + np.concatenate([[0.0], np.cumsum(steps)])
    length = float(at[-1] + beyond[1])
    bounds = np.concatenate([[0.0], (at[1:] + at[:-1]) / 2, [length]])
    weights = np.array([section.net.area for section in sections]) * np.diff(bounds)
    bend = _bend(at, along)
    sections = [_turned(section, toward) for section, toward in zip(sections, bend, strict=True)]
    found = Beam(at, length, points, along, bend, tuple(sections), weights / weights.sum(), ())
    from dataclasses import replace

    return replace(found, reasons=_doubts(found, _open_share(mesh)))


def _open_share(mesh: Mesh) -> float:
    """Return what the open rims span, each as its plane sees it, as a share of what was scanned."""
    fans = fans_over(mesh)
    if not len(fans.groups):
        return 0.0
    spokes = mesh.points[fans.sides] - fans.centres[fans.groups][:, None]
    caps = np.cross(spokes[:, 0], spokes[:, 1]) / 2
    vectors = [np.bincount(fans.groups, caps[:, k]) for k in range(3)]
    return float(np.linalg.norm(vectors, axis=0).sum()) / max(mesh.area, 1e-300)


def _doubts(beam: Beam, open_share: float) -> tuple[str, ...]:
    found = []
    wide = 2 * float(np.quantile(beam.radii, 0.9))
    if beam.length < SLENDER * wide:
        found.append(
            f"it is {beam.length / wide:.1f} diameters long, and a beam is {SLENDER:g} or more"
        )
    curvature = np.linalg.norm(beam.bend, axis=1)
    # Slices within a diameter of an end are cut by it; their direction says little.
    inner = (beam.at > wide) & (beam.at < beam.length - wide)
    ratio = 1 / max(float((curvature * beam.radii)[inner].max(initial=0.0)), 1e-9)
    if ratio < GENTLE:
        found.append(
            f"it bends with {ratio:.1f} of its own radii, and a beam with {GENTLE:g} or more"
        )
    if open_share > OPEN_SHARE:
        found.append(
            f"{100 * open_share:.0f} % of its surface was not scanned, and sections across so much "
            "are not its own"
        )
    parted = sum(not section.is_closed for section in beam.sections)
    if parted > 0.02 * len(beam.sections):
        found.append(f"{parted} of {len(beam.sections)} sections are open in the scan")
    return tuple(found)


def _lighter(mesh: Mesh) -> Mesh:
    """Return a copy with fewer faces for slicing; nothing else is measured on it."""
    if len(mesh.faces) <= SLICED_FACES:
        return mesh
    from importlib import import_module

    simplify = import_module("fast_simplification").simplify
    middle = mesh.middle
    points, faces = simplify(
        (mesh.points - middle).astype(np.float32),
        mesh.faces.astype(np.int32),
        1 - SLICED_FACES / len(mesh.faces),
    )
    return Mesh(points.astype(np.float64) + middle, faces.astype(np.int64))


def _frame(way: Array) -> Array:
    """Return a right-handed frame whose third row is a direction."""
    x = np.cross(way, np.eye(3)[np.abs(way).argmin()])
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(way, x), way])


def _turned(section: Section, toward: Array) -> Section:
    """Return the section with its x axis towards the centre of the bend, from its own middle."""
    size = float(np.linalg.norm(toward))
    centre = section.net.centre
    way = section.frame[:2] @ toward if size > 1e-9 else np.array([1.0, 0.0])
    way = way / max(float(np.linalg.norm(way)), 1e-300)
    turn = np.array([way, [-way[1], way[0]]])
    frame = np.concatenate([turn @ section.frame[:2], section.frame[2:]])
    return Section(
        section.centre, frame, (section.outer - centre) @ turn.T,
        (section.holes - centre) @ turn.T, section.is_closed, section.others,
    )  # fmt: skip


def _followed(mesh: Mesh) -> tuple[Array, Array]:
    """Return points of the middle line and radii, from one end to the other."""
    away = mesh.centres - mesh.middle
    _, vectors = np.linalg.eigh((away * mesh.areas[:, None]).T @ away)
    way = np.asarray(vectors[:, 2])
    heights = mesh.points @ way
    step = float(np.ptp(heights)) / 80
    start = _start(mesh, way, heights)
    ahead, wide = _march(mesh, start, way, step)
    back, wide_back = _march(mesh, start, -way, step)
    line = np.concatenate([back[::-1], ahead[1:]])
    radii = np.concatenate([wide_back[::-1], wide[1:]])
    # The first end is the thicker one, so that a place along the object means the same each time.
    fifth = max(len(line) // 5, 1)
    thicker_last = radii[-fifth:].mean() > radii[:fifth].mean()
    return (line[::-1], radii[::-1]) if thicker_last else (line, radii)


def _start(mesh: Mesh, way: Array, heights: Array) -> Array:
    for share in (0.5, 0.45, 0.55, 0.4, 0.6, 0.3, 0.7):
        level = heights.min() + share * np.ptp(heights)
        near = mesh.points[np.abs(heights - level) < 0.03 * np.ptp(heights)]
        if not len(near):
            continue
        origin = near.mean(axis=0)
        section = plane_section(mesh, origin + way * (level - origin @ way), _frame(way))
        if section is not None and section.net.area > 0:
            return np.asarray(section.origin + section.whole.centre @ section.frame[:2])
    raise InputError(
        "No section through the middle of this object can be closed",
        value=f"{len(mesh.faces)} faces",
        allowed="one closed object",
        remedy="close the scan first",
    )


def _march(mesh: Mesh, start: Array, way: Array, step: float) -> tuple[Array, Array]:
    """Return middles and radii of sections from a start on, each square to the run so far."""
    found, radii = [start], [0.0]
    direction = way
    for _ in range(400):
        guess = found[-1] + step * direction
        section = plane_section(mesh, guess, _frame(direction))
        if section is None or section.whole.area <= 0:
            break
        middle = section.origin + section.whole.centre @ section.frame[:2]
        if float(np.linalg.norm(middle - guess)) > 2.5 * step + 0.5 * section.radius:
            break
        run = middle - found[max(len(found) - 4, 0)]
        fresh = run / max(float(np.linalg.norm(run)), 1e-300)
        if float(fresh @ direction) < 0.5:
            break
        direction = fresh
        found.append(middle)
        radii.append(section.radius)
    radii[0] = radii[min(1, len(radii) - 1)]
    return np.array(found), np.array(radii)


def _evenly(
    followed: tuple[Array, Array], mesh: Mesh, stations: int
) -> tuple[Array, Array, tuple[float, float]]:
    """Return evenly spaced points, directions, and how far the ends go on beyond them."""
    line, radii = followed
    if len(line) < 8:
        raise InputError(
            "No middle line can be followed through this object",
            value=f"{len(line)} sections",
            allowed="a long object, closed all round",
            remedy="close the scan, or hold the object as a whole body",
        )
    for _ in range(4):
        inner = (line[:-2] + 2 * line[1:-1] + line[2:]) / 4
        line = np.concatenate([line[:1], inner, line[-1:]])
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    # Within a radius of an end a section is cut by the end itself: the run goes straight on there.
    first, last = (min(float(part.max()), 0.15 * at[-1]) for part in (radii[:6], radii[-6:]))
    kept = (at >= first) & (at <= at[-1] - last)
    line, radii, at = line[kept], radii[kept], at[kept]
    ways = np.gradient(line, at, axis=0)
    start_way, end_way = (-_mean_way(ways[:4]), _mean_way(ways[-4:]))
    start = _end_beyond(mesh.points, line[0], start_way, (radii[0], 2.5 * first))
    end = _end_beyond(mesh.points, line[-1], end_way, (radii[-1], 2.5 * last))
    line = np.concatenate(
        [(line[0] + start_way * start)[None], line, (line[-1] + end_way * end)[None]]
    )
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    wanted = (np.arange(stations) + 0.5) / stations * at[-1]
    points = np.stack([np.interp(wanted, at, line[:, k]) for k in range(3)], axis=1)
    along = np.stack([np.gradient(points[:, k], wanted) for k in range(3)], axis=1)
    for _ in range(2):
        along[1:-1] = (along[:-2] + 2 * along[1:-1] + along[2:]) / 4
    beyond = at[-1] / stations / 2
    return points, along / np.linalg.norm(along, axis=1, keepdims=True), (beyond, beyond)


def _mean_way(ways: Array) -> Array:
    way = ways.mean(axis=0)
    return np.asarray(way / np.linalg.norm(way))


def _end_beyond(points: Array, origin: Array, way: Array, reach: tuple[float, float]) -> float:
    """Return how far the object goes on from a point: the mean of its farthest in 8 sectors [m]."""
    frame = _frame(way)
    own = (points - origin) @ frame.T
    radius, far = reach
    near = (np.hypot(own[:, 0], own[:, 1]) < 1.6 * radius) & (own[:, 2] > 0) & (own[:, 2] < far)
    if not near.any():
        return 0.0
    sector = ((np.arctan2(own[near, 1], own[near, 0]) + np.pi) / (np.pi / 4)).astype(int) % 8
    most = np.full(8, np.nan)
    for k in range(8):
        if (sector == k).any():
            most[k] = own[near, 2][sector == k].max()
    return float(np.nanmean(most))


def _bend(at: Array, along: Array) -> Array:
    """Return the curvature vector of the middle line, smoothed [1/m]."""
    bend = np.stack([np.gradient(along[:, k], at) for k in range(3)], axis=1)
    width = max(len(at) // 12, 1)
    kernel = np.ones(2 * width + 1) / (2 * width + 1)
    padded = np.pad(bend, ((width, width), (0, 0)), mode="edge")
    smooth = np.stack([np.convolve(padded[:, k], kernel, "valid") for k in range(3)], axis=1)
    return np.asarray(smooth - (smooth * along).sum(axis=1, keepdims=True) * along)
