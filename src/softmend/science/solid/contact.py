"""How hard a support presses: saddles, V blocks and flat pads of foam, and bare hard contact."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.mesh import Faces
from softmend.science.uncertain import Array

SMALL_TILT = math.radians(5.0)


@dataclass(frozen=True)
class SaddlePressure:
    """Pressure under a saddle: even, and the peak of a cosine distribution [Pa]."""

    even: float
    peak: float


@dataclass(frozen=True, eq=False)
class FoundationContact:
    """A body sunk into flat pads: peak pressure [Pa], contact area [m2], sink [m], tilts [rad].

    `forces` is what each pad carries [N]. `holds` is false where the body rolls beyond 5 degrees:
    flat pads do not hold this shape.
    """

    peak: float
    area: float
    sink: float
    tilts: tuple[float, float]
    forces: Array
    holds: bool


def saddle_pressure(
    force: float, length: float, radius: float, half_angle: float
) -> SaddlePressure:
    """Return the pressure under a saddle that follows the object's round.

    Parameters
    ----------
    force : float, carried [N], 0 or more
    length : float, of the saddle along the object [m], above 0
    radius : float, of the object there [m], above 0
    half_angle : float, from the bottom to the saddle's edge [rad], above 0 to pi/2

    Returns
    -------
    SaddlePressure [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-solids, section 5b (saddle pressure).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> found = saddle_pressure(40.0, 0.06, 0.05, math.pi / 4)
    >>> round(found.even), round(found.peak)
    (9428, 10373)
    """
    _check(force, length, radius)
    if not 0 < half_angle <= math.pi / 2 + 1e-9:
        raise InputError(
            "The half angle of the saddle is out of range",
            value=f"{math.degrees(half_angle):g} degrees",
            allowed="above 0 to 90 degrees",
        )
    sine, cosine = math.sin(half_angle), math.cos(half_angle)
    return SaddlePressure(
        force / (2 * radius * length * sine),
        force / (radius * length * (half_angle + sine * cosine)),
    )


def flat_pad_pressure(force: float, length: float, radius: float, bedding: float) -> float:
    """Return the peak pressure of a round body on a flat pad of foam.

    Parameters
    ----------
    force : float, carried [N], 0 or more
    length : float, of the pad along the object [m], above 0
    radius : float, of the object there [m], above 0
    bedding : float, modulus over thickness of the pad [Pa/m], above 0

    Returns
    -------
    float [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-solids, section 5b (exact cylinder on an elastic foundation).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> round(flat_pad_pressure(50.0, 0.2, 0.05, 0.15e6 / 0.025))
    12825
    """
    _check(force, length, radius)
    if not bedding > 0:
        raise InputError("The stiffness of the foam is not above 0", value=f"{bedding:g} Pa/m")
    half = (3 * (force / length) * radius / (2 * bedding)) ** (1 / 3)
    return float(bedding * half**2 / (2 * radius))


def v_block_pressure(
    force: float, length: float, radius: float, bedding: float, half_opening: float
) -> float:
    """Return the peak pressure on one flank of a padded V block.

    Parameters
    ----------
    force : float, carried by the block [N], 0 or more
    length : float, of the block along the object [m], above 0
    radius : float, of the object there [m], above 0
    bedding : float, modulus over thickness of the padding [Pa/m], above 0
    half_opening : float, half the angle between the flanks [rad], 0.1 to 1.5

    Returns
    -------
    float [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (each flank carries F / (2 sin of half the opening)).
    Checked against: tests/science/solid/test_contact.py.

    Example
    -------
    >>> round(v_block_pressure(50.0, 0.2, 0.05, 6e6, math.pi / 4))
    10179
    """
    if not 0.1 <= half_opening <= 1.5:
        raise InputError(
            "The opening of the V is out of range",
            value=f"{math.degrees(2 * half_opening):.0f} degrees",
            allowed="12 to 170 degrees",
        )
    return flat_pad_pressure(force / (2 * math.sin(half_opening)), length, radius, bedding)


def _check(force: float, length: float, radius: float) -> None:
    if not force >= 0 or not length > 0 or not radius > 0:
        raise InputError(
            "A support needs a force, a length and a radius",
            value=f"{force:g} N, {1e3 * length:g} mm, {1e3 * radius:g} mm",
            allowed="force 0 or more, length and radius above 0",
        )


def foundation_contact(
    gaps: Array, places: Array, pads: Faces, cell_area: float | Array, bedding: float,
    weight: float, centre: Array,
) -> FoundationContact:  # fmt: skip
    """Return how a rigid body sinks into flat pads: pressure = (E/h) times penetration.

    Parameters
    ----------
    gaps : array (n,), height of the underside above the pads at each grid point [m]
    places : array (n, 2), the grid points in plan [m]
    pads : array (n,), number of the pad of each grid point [1], 0 or more
    cell_area : float or array (n,), of one grid point, or of each [m2], above 0
    bedding : float, modulus over thickness [Pa/m], above 0
    weight : float, of the body [N], above 0
    centre : array (2,), plumb line of its centre of gravity [m]

    Returns
    -------
    FoundationContact

    Raises
    ------
    InputError
        When the body cannot rest on these pads.

    Source: softmend-solids, section 5b (elastic foundation, Newton on height and two tilts).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> grid = np.stack(np.meshgrid(np.arange(10), np.arange(10)), -1).reshape(-1, 2) * 0.01
    >>> found = foundation_contact(np.zeros(100), grid, np.zeros(100, int), 1e-4, 1e6, 10.0,
    ...                            grid.mean(axis=0))
    >>> round(found.peak, 3), round(found.area, 4), found.holds
    (1000.0, 0.01, True)
    """
    areas: Array = np.broadcast_to(np.asarray(cell_area, dtype=np.float64), np.shape(gaps))
    if len(gaps) < 3 or not weight > 0 or not bedding > 0 or not (areas > 0).all():
        raise InputError("A weight, a stiffness and pads are needed", value=f"{weight:g} N")
    size = max(float(np.ptp(places, axis=0).max()), 1e-9)
    terms = np.concatenate([np.ones((len(gaps), 1)), (places - centre) / size], axis=1)
    floor = gaps - gaps.min()
    wanted = np.array([weight, 0.0, 0.0]) / bedding
    sunk = np.array([wanted[0] / float(areas.sum()), 0.0, 0.0])
    energy = np.inf
    for _ in range(200):
        deep = np.maximum(terms @ sunk - floor, 0.0)
        residual = terms.T @ (areas * deep) - wanted
        touching = deep > 0
        if np.abs(residual).max() < 1e-10 * wanted[0]:
            break
        held = terms[touching]
        slope = (held.T * areas[touching]) @ held
        slope += 1e-9 * float(areas.sum()) * np.diag([1e-3, 1.0, 1.0])
        step = np.linalg.solve(slope, residual)
        energy = float((areas * deep**2).sum() / 2 - wanted @ sunk)
        factor = 1.0
        while factor > 1e-4:
            trial = sunk - factor * step
            deep = np.maximum(terms @ trial - floor, 0.0)
            if float((areas * deep**2).sum() / 2 - wanted @ trial) <= energy + 1e-24:
                break
            factor /= 2
        sunk = sunk - factor * step
    deep = np.maximum(terms @ sunk - floor, 0.0)
    tilts = (float(sunk[1] / size), float(sunk[2] / size))
    settled = bool(np.abs(terms.T @ (areas * deep) - wanted).max() < 1e-3 * wanted[0])
    forces: Array = np.bincount(pads, bedding * areas * deep).astype(np.float64)
    return FoundationContact(
        bedding * float(deep.max()), float(areas[deep > 0].sum()), float(deep.max()),
        tilts, forces, settled and max(map(abs, tilts)) < SMALL_TILT,
    )  # fmt: skip
