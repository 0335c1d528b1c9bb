"""The three bodies that a crack runs into, as stresses that a dislocation makes in each.

Lengths are over the outer radius (a plane: over the crack's depth), stresses over the plane-strain
modulus E / (1 - nu^2). A dislocation is a unit step of opening from its place to the mouth.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from softmend.errors import InputError
from softmend.science.uncertain import Array

MOST_HARMONICS, SMALLEST_TERM = 160, 1e-11


class Shape(StrEnum):
    """What the crack runs into: a flat side, a solid or a hollow round shaft."""

    PLANE = "plane"
    CYLINDER = "cylinder"
    HOLLOW = "hollow cylinder"


DEEPEST = 0.95
"""The deepest crack over what it may cut through, the radius or the wall."""


@dataclass(frozen=True, slots=True)
class Body:
    """A body by its shape and, if hollow, its inner over its outer radius."""

    shape: Shape
    hole: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a hole where there is none, and a wall next to nothing."""
        if (self.shape is Shape.HOLLOW) != (self.hole > 0) or not 0 <= self.hole <= 0.9:
            raise InputError(
                "The hole of a body is not possible",
                value=self.hole,
                allowed="a hollow cylinder has one of up to 0.9 of the outer radius, others none",
            )

    @property
    def deepest(self) -> float:
        """The greatest depth over the outer radius for which this body can be computed."""
        return 1.0 if self.shape is Shape.PLANE else DEEPEST * (1 - self.hole)

    def stress(self, depth: Array, source: Array) -> Array:
        """Return the opening stress at depths by unit dislocations at source depths."""
        if self.shape is Shape.PLANE:
            return _plane(depth, source) / (4 * math.pi)
        solid = _disc(1 - depth, 1 - source)
        if self.shape is Shape.HOLLOW:
            solid = solid + _hole(1 - depth, 1 - source, self.hole)
        return solid / (4 * math.pi)

    def own_stress(self, depth: Array) -> Array:
        """Return the stress across the line of the crack before it was there, for unit mismatch.

        A round shaft: radial minus tangential free strain. A plane: the strain that is held back.
        """
        if self.shape is Shape.PLANE:
            return np.ones_like(depth)
        r = 1 - depth
        if self.shape is Shape.CYLINDER:
            return np.asarray((1 + np.log(r)) / 2)
        ring = -math.log(self.hole) / (self.hole**-2 - 1)
        return np.asarray((1 + np.log(r) - ring - ring / r**2) / 2)


def _plane(x: Array, s: Array) -> Array:
    """Return the stress under a free straight surface: the dislocation and its three images."""
    return np.asarray(1 / (x - s) - 1 / (x + s) - 2 * s / (x + s) ** 2 + 4 * s**2 / (x + s) ** 3)


def _disc(x: Array, s: Array) -> Array:
    """Return the stress on the radius of a disc: Kolosov's two functions closed by images.

    Phi has the dislocation at s and images at 1/s; Psi follows from the free rim, and the
    constant from Psi being finite in the middle.
    """
    image = 1 / s
    twice = (s**2 - 1) / s**3

    def phi(z: Array) -> Array:
        far = z - image
        return np.asarray(1 / (z - s) - 1 / far + twice / far**2 + image - s)

    slope = -1 / (x - s) ** 2 + 1 / (x - image) ** 2 - 2 * twice / (x - image) ** 3
    here = phi(x)
    psi = (here + phi(1 / x)) / x**2 - slope / x
    return np.asarray(-(2 * here + x * slope + psi) / 2)


def _hole(x: Array, s: Array, hole: float) -> Array:
    """Return what a free hole adds to the stress of a disc: a Laurent series, the rim kept free."""
    fading = math.log(float(np.min(s)) / hole)
    last = min(MOST_HARMONICS, 8 + math.ceil(-math.log(SMALLEST_TERM) / fading))
    n = np.arange(last + 1).reshape(-1, *([1] * np.ndim(x + s)))
    along, around = _disc_on_hole(n.astype(np.float64), s, hole)
    m = n[2:].astype(np.float64)
    # Two equations a harmonic, scaled so that no power overflows.
    inner = hole**-2.0
    a11, a12 = (1 - m) * hole ** (2 * m) * (1 - inner), 1 - hole ** (2 * m) * inner
    a21, a22 = hole ** (2 * m) - inner, (1 + m) * (1 - inner)
    determinant = a11 * a22 - a12 * a21
    up = (along[2:] * a22 - a12 * around[2:]) / determinant * hole**m
    down = (a11 * around[2:] - a21 * along[2:]) / determinant * hole**m
    psi_up, psi_down = (1 - m) * up + down, (1 + m) * down + up
    waves = up * (2 + m) * x**m + down * (2 - m) * x**-m
    waves = waves + (psi_up * x**m + psi_down * x**-m) / x**2
    even = along[0] / (2 * (1 - inner))
    first = around[1] / (hole - hole**-3.0)
    rest = 2 * even * (1 + x**-2.0) + first * (3 * x + x**-3.0)
    return np.asarray(-(rest + waves.sum(axis=0)) / 2)


def _disc_on_hole(n: Array, s: Array, hole: float) -> tuple[Array, Array]:
    """Return the tractions to undo on the hole's edge, harmonics n and -n."""
    inward, outward = (hole / s) ** n, (s * hole) ** n
    phi = -inward / s + s * outward + (s**2 - 1) * (n + 1) * outward / s
    phi = phi + np.where(n == 0, 1 / s - s, 0.0)
    mirrored = outward / s - s * inward + (s**2 - 1) * (n - 1) * inward / s
    psi = np.where(n >= 2, (mirrored - (n - 1) * phi) / hole**2, 0.0)
    # The even harmonic counts twice: a real constant is its own conjugate.
    along = -((1 - n) * phi - psi) - np.where(n == 0, phi, 0.0)
    return np.asarray(along), np.asarray(-phi)
