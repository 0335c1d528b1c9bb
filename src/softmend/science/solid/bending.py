"""Bending stress of an object on its supports, section by section, and at each crack or join."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.section import Section
from softmend.science.uncertain import Array

GRAVITY = 9.80665
CURVED_BELOW = 60.0
"""Below this radius of bend in radii of the section the curved-beam factor is used."""
SPREAD = 7
CELLS = 60


@dataclass(frozen=True, eq=False)
class Supports:
    """Where a beam rests: distance along it [m], upward force [N], and pad length [m] of each."""

    at: Array
    forces: Array
    lengths: Array


@dataclass(frozen=True, eq=False)
class Stress:
    """Largest principal stress [Pa] at each slice, the moments there, and where it is worst."""

    at: Array
    tension: Array
    bending: Array
    torsion: Array

    @property
    def largest(self) -> float:
        """The largest principal stress of all [Pa]."""
        return float(self.tension.max())

    @property
    def worst_at(self) -> float:
        """Where along the beam it is largest [m]."""
        return float(self.at[self.tension.argmax()])


@dataclass(frozen=True)
class CrackStress:
    """Stress [Pa] in the section of a crack or join: whole, and net of what is lost."""

    at: float
    whole: float
    net: float
    lost_share: float


def bending_stress(beam: Beam, supports: Supports, weight: float, down: Array) -> Stress:
    """Return the largest principal stress in each section of an object on its supports.

    Parameters
    ----------
    beam : Beam, the object
    supports : Supports, where it rests, in balance with the weight
    weight : float, of the whole [N], above 0
    down : array (3,), direction of gravity [1], unit length

    Returns
    -------
    Stress [Pa]

    Raises
    ------
    InputError
        When the supports do not carry the weight.

    Source: softmend-solids, section 5c; machinerys2020, curved beams (Winkler).
    Checked against: tests/checks/softmend-solids.csv (exact beams), and
    tests/checks/softmend-curved-beam.csv (finite elements, within 5 %).

    Example
    -------
    >>> round(GRAVITY, 3)
    9.807
    """
    carried = float(supports.forces.sum())
    if not weight > 0 or abs(carried - weight) > 0.01 * weight:
        raise InputError(
            "The supports do not carry the weight",
            value=f"{carried:.2f} N",
            allowed=f"{weight:.2f} N",
            remedy="compute the reactions first",
        )
    at = np.unique(np.concatenate([beam.at, np.clip(supports.at, 0, beam.length)]))
    moments, forces = internal(beam, supports, weight, down, at)
    nearest = np.abs(at[:, None] - beam.at).argmin(axis=1)
    curvature = np.linalg.norm(beam.bend, axis=1)
    values = [
        _section_stress(beam.sections[k], moment, force, float(curvature[k]))
        for k, moment, force in zip(nearest, moments, forces, strict=True)
    ]
    tension, bending, torsion = np.array(values).T
    return Stress(at, tension, bending, torsion)


def internal(
    beam: Beam, supports: Supports, weight: float, down: Array, at: Array
) -> tuple[Array, Array]:
    """Return moment and force of everything beyond some places, about the middle line there.

    Parameters
    ----------
    beam : Beam, the object
    supports : Supports, where it rests, each pad spread over its length
    weight : float, of the whole [N]
    down : array (3,), direction of gravity [1]
    at : array (n,), distances along the beam [m]

    Returns
    -------
    array (n, 3), moments [N m], and array (n, 3), forces [N]

    Source: softmend-solids, section 5c (a tusk lying flat also twists).
    Checked against: tests/science/solid/test_bending.py.

    Example
    -------
    >>> CURVED_BELOW
    60.0
    """
    share = (np.arange(SPREAD) + 0.5) / SPREAD - 0.5
    pad_at = (supports.at[:, None] + share * supports.lengths[:, None]).reshape(-1)
    push = np.repeat(supports.forces / SPREAD, SPREAD)[:, None] * -down
    forces = np.concatenate([weight * beam.shares[:, None] * down, push])
    places = np.concatenate([beam.points, beam.place(pad_at)])
    # Of the slice that holds the place only the part beyond counts.
    bounds = np.concatenate([[0.0], (beam.at[1:] + beam.at[:-1]) / 2, [beam.length]])
    part = (bounds[1:] - at[:, None]) / np.diff(bounds)
    beyond = np.concatenate([np.clip(part, 0, 1), (pad_at > at[:, None]).astype(float)], axis=1)
    total = beyond @ forces
    return beyond @ np.cross(places, forces) - np.cross(beam.place(at), total), total


def _section_stress(
    section: Section, moment: Array, force: Array, bend: float
) -> tuple[float, float, float]:
    """Return largest principal stress [Pa], bending and torsion moments [N m] of one section."""
    x_way, y_way, along = section.frame
    mx, my, torsion = float(moment @ x_way), float(moment @ y_way), float(moment @ along)
    places = np.concatenate([section.outer[:, 0], section.holes[:, 0]])
    stress = _normal(section, (mx, my), float(force @ along), places, bend)
    shear = abs(torsion) * np.linalg.norm(places - section.net.centre, axis=1) / section.torsion
    principal = stress / 2 + np.sqrt(stress**2 / 4 + shear**2)
    return float(principal.max()), float(np.hypot(mx, my)), torsion


def _normal(
    section: Section, moments: tuple[float, float], pull: float, places: Array, bend: float = 0.0
) -> Array:
    """Return the normal stress at points of a section, by unsymmetric bending [Pa]."""
    net = section.net
    slopes = np.linalg.solve([[net.xx, net.xy], [net.xy, net.yy]], [-moments[1], moments[0]])
    x, y = (places - net.centre).T
    reach = float(np.abs(x).max())
    if bend * reach * CURVED_BELOW > 1 and bend * reach < 0.9:
        x = curved_share(section, 1 / bend, x)
    return np.asarray(pull / net.area + slopes[0] * x + slopes[1] * y)


def crack_stress(
    beam: Beam, internal_loads: tuple[Array, Array], at: float, surface_point: Array, depth: float
) -> CrackStress:
    """Return the stress in the section of a crack or join, whole and net of the lost part.

    Parameters
    ----------
    beam : Beam, the object
    internal_loads : moment (3,) [N m] and force (3,) [N] of `internal` at that place
    at : float, place along the beam [m], within it
    surface_point : array (3,), where the crack shows on the surface [m]
    depth : float, how deep the section is lost from there [m], 0 or more

    Returns
    -------
    CrackStress [Pa]

    Raises
    ------
    InputError
        When the place lies outside the beam, or nothing of the section is left.

    Source: softmend-solids, section 5c (stress at the crack, net of the lost section).
    Checked against: tests/science/solid/test_bending.py.

    Example
    -------
    >>> CrackStress(0.2, 1e5, 2e5, 0.3).net
    200000.0
    """
    if not 0 <= at <= beam.length or depth < 0:
        raise InputError(
            "The crack does not lie on the object",
            value=f"{1e3 * at:.0f} mm along, {1e3 * depth:.1f} mm deep",
            allowed=f"0 to {1e3 * beam.length:.0f} mm along, depth 0 or more",
        )
    k = int(np.abs(beam.at - at).argmin())
    section = beam.sections[k]
    moment, force = internal_loads
    bend = float(np.linalg.norm(beam.bend[k]))
    whole = _section_stress(section, moment, force, bend)[0]
    cells, cell = _cells(section)
    toward = section.frame[:2] @ (surface_point - section.origin) - section.net.centre
    toward = toward / max(float(np.linalg.norm(toward)), 1e-300)
    reach = float(((section.outer[:, 0] - section.net.centre) @ toward).max())
    left = cells[(cells - section.net.centre) @ toward < reach - depth]
    lost = 1 - len(left) / max(len(cells), 1)
    if len(left) < 12:
        raise InputError(
            "Nothing of the section is left behind the crack",
            value=f"{1e3 * depth:.1f} mm deep",
            allowed=f"less than about {2e3 * section.radius:.0f} mm",
            remedy="hold the two sides as separate pieces",
        )
    return CrackStress(
        at, whole, max(_cell_stress(section, left, cell, moment, force), whole), lost
    )


def _cells(section: Section) -> tuple[Array, float]:
    low, high = section.outer[:, 0].min(axis=0), section.outer[:, 0].max(axis=0)
    cell = float((high - low).max()) / CELLS
    lines = [np.arange(low[k] + cell / 2, high[k], cell) for k in (0, 1)]
    grid = np.stack(np.meshgrid(*lines, indexing="ij"), axis=-1).reshape(-1, 2)
    return grid[section.holds(grid)], cell


def _cell_stress(section: Section, left: Array, cell: float, moment: Array, force: Array) -> float:
    x_way, y_way, along = section.frame
    centre = left.mean(axis=0)
    away = left - centre
    # The pull acts through the whole section's middle; what is left bends about its own.
    off = (centre - section.net.centre) @ section.frame[:2]
    moved = moment - np.cross(off, force)
    xx, yy, xy = (
        float((away[:, i] * away[:, j]).sum()) * cell**2 for i, j in ((0, 0), (1, 1), (0, 1))
    )
    rim = cell**4 / 12 * len(left)
    slopes = np.linalg.solve(
        [[xx + rim, xy], [xy, yy + rim]], [-float(moved @ y_way), float(moved @ x_way)]
    )
    # Cells stand half a cell inside the true edge.
    edge = 0.5 * cell * float(np.abs(slopes).sum())
    stress = float(force @ along) / (len(left) * cell**2) + away @ slopes + edge
    area = len(left) * cell**2
    torsion = area**4 / (4 * np.pi**2 * (xx + yy))
    shear = abs(float(moment @ along)) * np.linalg.norm(away, axis=1) / torsion
    return float((stress / 2 + np.sqrt(stress**2 / 4 + shear**2)).max())


def curved_share(section: Section, radius: float, x: Array) -> Array:
    """Return by what the stress of a straight beam per offset is replaced in a bent one.

    Parameters
    ----------
    section : Section, x towards the centre of the bend
    radius : float, of the bend to the section's centre [m], above the section's reach
    x : array, offsets towards the centre of the bend [m]

    Returns
    -------
    array, what stands for x in stress = slope times x [m]

    Source: machinerys2020, curved beams (Winkler).
    Checked against: tests/checks/machinerys2020.csv.

    Example
    -------
    >>> angle = np.linspace(0, 2 * np.pi, 721)
    >>> ring = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    >>> round_bar = Section(np.zeros(3), np.eye(3), np.stack([ring[:-1], ring[1:]], 1),
    ...                     np.empty((0, 2, 2)), True, 0)
    >>> curved_share(round_bar, 3.0, np.array([1.0, -1.0])).round(2).tolist()
    [1.33, -0.79]
    """
    segments = np.concatenate([section.outer, section.holes]) - section.net.centre
    start, end = segments[:, 0], segments[:, 1]
    # The area over the radius, by Green's theorem with Simpson's rule on each side.
    total = 0.0
    for share, part in ((0.0, 1 / 6), (0.5, 4 / 6), (1.0, 1 / 6)):
        at = start[:, 0] * (1 - share) + end[:, 0] * share
        total += part * float((-np.log(radius - at) * (end[:, 1] - start[:, 1])).sum())
    neutral = section.net.area / total
    eccentric = radius - neutral
    r = radius - x
    return np.asarray(section.net.xx * (neutral - r) / (section.net.area * eccentric * r))
