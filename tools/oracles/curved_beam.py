"""A hollow beam bent to an arc, in three-dimensional finite elements: the oracle of bending.

    python -m tools.oracles.curved_beam

writes tests/checks/softmend-curved-beam.csv. A pipe on an arc stands as an arch on two pads under
its own weight. By symmetry a quarter of it is enough: half the arc, half the section. Isoparametric
27-node bricks, so that the round is round. Nothing of the package goes in.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import importlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tools.oracles.solid import CHECKS, HEAD

Array = NDArray[np.float64]

BEND_M, OUTER_M, INNER_M, HALF_ARC_RAD = 0.5, 0.03, 0.018, 0.9
DENSITY, GRAVITY = 1800.0, 9.80665
YOUNG, POISSON = 10e9, 0.3
PAD_RAD, PAD_LENGTH_RAD = 0.6, 0.15
"""A pad's middle from the top of the arch, and its length, as angles."""
STATIONS_RAD = (0.0, 0.1, 0.2, 0.3, 0.4)
"""Where the stress is compared: clear of the pads."""


@dataclass(frozen=True)
class Fineness:
    """How many bricks through the wall, round half the section, and along half the arc."""

    wall: int
    round: int
    along: int


FINE, COARSE = Fineness(2, 14, 36), Fineness(1, 6, 18)


def half_weight() -> float:
    """Return the weight of half the arch, to the exact volume of Pappus [N]."""
    section = np.pi * (OUTER_M**2 - INNER_M**2)
    return float(DENSITY * GRAVITY * section * BEND_M * HALF_ARC_RAD)


def tensions(fineness: Fineness) -> Array:
    """Return the largest principal stress in the section at each station [Pa]."""
    fem: Any = importlib.import_module("skfem")
    mesh = _mesh(fem, fineness)
    element = fem.ElementVector(fem.ElementHex2())
    basis = fem.Basis(mesh, element, intorder=4)
    stiffness = _stiffness(fem).assemble(basis)
    load = _load(fem).assemble(basis)
    held = np.concatenate([
        basis.get_dofs(lambda x: np.abs(np.arctan2(x[0], x[1])) < 1e-7).all("u^1"),
        basis.get_dofs(lambda x: np.abs(x[2]) < 1e-9).all("u^3"),
    ])  # fmt: skip
    # One point holds the arch up or down; the loads balance, so it carries nothing.
    top = basis.get_dofs(elements=True).all("u^2")
    where = basis.doflocs[:, top]
    pin = top[np.linalg.norm(where - [[0.0], [BEND_M + OUTER_M], [0.0]], axis=0).argmin()]
    held = np.unique(np.append(held, pin))
    moved = fem.solve(*fem.condense(stiffness, load, D=held))
    return _largest(fem, mesh, element, moved)


def _mesh(fem: Any, fineness: Fineness) -> Any:
    count = max(round(fineness.along * (PAD_LENGTH_RAD / HALF_ARC_RAD)), 2)
    low, high = PAD_RAD - PAD_LENGTH_RAD / 2, PAD_RAD + PAD_LENGTH_RAD / 2
    before = max(round(fineness.along * low / HALF_ARC_RAD), 4)
    after = max(round(fineness.along * (HALF_ARC_RAD - high) / HALF_ARC_RAD), 2)
    along = np.concatenate(
        [np.linspace(0, low, before + 1), np.linspace(low, high, count + 1)[1:],
         np.linspace(high, HALF_ARC_RAD, after + 1)[1:]]
    )  # fmt: skip
    flat = fem.MeshHex.init_tensor(
        np.linspace(INNER_M, OUTER_M, fineness.wall + 1),
        np.linspace(0, np.pi, fineness.round + 1), along,
    )  # fmt: skip
    mesh = fem.MeshHex2.from_mesh(flat)
    radius, turn, angle = mesh.doflocs
    out = BEND_M + radius * np.cos(turn)
    places = np.stack([out * np.sin(angle), out * np.cos(angle), radius * np.sin(turn)])
    return fem.MeshHex2(np.ascontiguousarray(places), mesh.t)


def _stiffness(fem: Any) -> Any:
    helpers = importlib.import_module("skfem.helpers")
    shear = YOUNG / (2 * (1 + POISSON))
    first = YOUNG * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))

    def form(u: Any, v: Any, w: Any) -> Any:
        strain = helpers.sym_grad(u)
        stress = 2 * shear * strain + first * helpers.eye(helpers.trace(strain), 3)
        return helpers.ddot(stress, helpers.sym_grad(v))

    return fem.BilinearForm(form)


def _load(fem: Any) -> Any:
    weight = DENSITY * GRAVITY
    # The pad carries half the arch, spread evenly over the angle that it reaches.
    lift = weight * HALF_ARC_RAD / PAD_LENGTH_RAD

    def form(v: Any, w: Any) -> Any:
        angle = np.arctan2(w.x[0], w.x[1])
        on_pad = np.abs(angle - PAD_RAD) < PAD_LENGTH_RAD / 2
        return (np.where(on_pad, lift, 0.0) - weight) * v[1]

    return fem.LinearForm(form)


def _largest(fem: Any, mesh: Any, element: Any, moved: Array) -> Array:
    line = np.array([0.0, 0.5, 1.0])
    corners = np.stack(np.meshgrid(line, line, line, indexing="ij")).reshape(3, -1)
    nodes = fem.Basis(mesh, element, quadrature=(corners, np.full(27, 1 / 27)))
    gradient = np.asarray(nodes.interpolate(moved).grad)
    strain = (gradient + gradient.swapaxes(0, 1)) / 2
    shear = YOUNG / (2 * (1 + POISSON))
    first = YOUNG * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
    stress = 2 * shear * strain
    stress += first * np.einsum("ii...->...", strain) * np.eye(3)[:, :, None, None]
    principal = np.linalg.eigvalsh(np.moveaxis(stress, (0, 1), (-2, -1)))[..., -1].reshape(-1)
    x = np.asarray(nodes.global_coordinates())
    angle = np.arctan2(x[0], x[1]).reshape(-1)
    places = np.round(x.reshape(3, -1) * 1e7).astype(np.int64)
    # A corner that several bricks share has the mean of what they say.
    _, number = np.unique(places, axis=1, return_inverse=True)
    number = number.reshape(-1)
    count = np.bincount(number)
    mean, at = np.bincount(number, principal) / count, np.bincount(number, angle) / count
    found = []
    for station in STATIONS_RAD:
        levels = np.unique(np.round(at, 6))
        below, above = (
            levels[levels <= station + 1e-6].max(),
            levels[levels >= station - 1e-6].min(),
        )
        most = [float(mean[np.abs(at - level) < 1e-5].max()) for level in (below, above)]
        share = 0.0 if above == below else (station - below) / (above - below)
        found.append(most[0] * (1 - share) + most[1] * share)
    return np.array(found)


def main() -> int:
    """Write the file."""
    values = tensions(FINE)
    largest = float(values.max())
    with (CHECKS / "softmend-curved-beam.csv").open("w", encoding="utf-8", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(HEAD)
        for station, value in zip(STATIONS_RAD, values, strict=True):
            lines.writerow((
                f"tension_{station:g}", f"{station:g} rad from the top of the arch; Pa",
                f"{value:.6g}", f"{0.05 * largest:.3g}", "recomputed",
                "27-node bricks, 2 x 14 x 36 of a quarter; 5 % of the largest",
            ))  # fmt: skip
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
