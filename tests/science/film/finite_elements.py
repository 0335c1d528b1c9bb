"""Finite elements of films: the oracle of the channelling factor and of the bent laminate.

    python -m tests.science.film.finite_elements

prints the table that tests/checks/film-channelling.csv holds; the tests solve one case live.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import pairwise

import numpy as np
from skfem import Basis, ElementQuad2, ElementVector, FacetBasis, MeshQuad, condense, solve
from skfem.assembly import BilinearForm, LinearForm
from skfem.helpers import ddot, eye, sym_grad, trace

POISSON = 0.35
ALPHAS = (
    -0.99,
    -0.98,
    -0.95,
    -0.9,
    -0.818,
    -0.667,
    -0.5,
    -0.333,
    0.0,
    0.333,
    0.5,
    0.667,
    0.818,
    0.9,
)


def graded(far: float, least: float, growth: float) -> np.ndarray:
    """Return steps from 0 that grow by a factor until they reach a distance."""
    steps, at = [0.0], least
    while steps[-1] < far:
        steps.append(steps[-1] + at)
        at *= growth
    return np.array(steps) * far / steps[-1]


def channelling(
    alpha: float, far: float = 300.0, least: float = 1e-3, growth: float = 1.25
) -> float:
    """Return Z of a crack through a film that runs along it, by the opening of the section.

    Plane strain, film of thickness 1, plane-strain modulus 1 and stress 1; by symmetry half of it.
    """
    substrate = (1 - alpha) / (1 + alpha)
    half = graded(0.5, least, growth)
    film = np.unique(np.concatenate([half, 1 - half]))
    x = graded(far, least, growth)
    mesh = MeshQuad.init_tensor(x, np.unique(np.concatenate([-graded(far, least, growth), film])))
    basis = Basis(mesh, ElementVector(ElementQuad2()))
    stiffness = elastic(lambda _, y: np.where(y > 0, 1.0, substrate)).assemble(basis)
    face = mesh.facets_satisfying(lambda p: np.isclose(p[0], 0) & (p[1] > 0))
    load = LinearForm(lambda v, w: -v[0]).assemble(FacetBasis(mesh, basis.elem, facets=face))
    wall = basis.get_dofs(lambda p: np.isclose(p[0], 0) & (p[1] < 0)).all("u^1")
    # The tip belongs to the bonded part.
    tip = basis.nodal_dofs[0, np.flatnonzero((mesh.p[0] == 0) & np.isclose(mesh.p[1], 0))]
    side = basis.get_dofs(lambda p: np.isclose(p[0], far)).all("u^1")
    floor = basis.get_dofs(lambda p: np.isclose(p[1], -far)).all("u^2")
    moved = solve(*condense(stiffness, load, D=np.unique(np.concatenate([wall, tip, side, floor]))))
    # The face is pulled open by half the opening: its work is the energy per length of channel.
    return float(abs(load @ moved))


def freed_by_a_stack(*layers: tuple[float, float, float], long: float = 20.0) -> float:
    """Return the energy that a stack gives up for each length when it parts and curls freely.

    Layers are (plane-strain modulus, thickness, tension), the topmost first. Two lengths are
    solved and subtracted, so that the ends cancel.
    """
    return (_freed(layers, 1.5 * long) - _freed(layers, long)) / (0.5 * long)


def _freed(layers: tuple[tuple[float, float, float], ...], long: float) -> float:
    edges = np.concatenate([[0.0], np.cumsum([thick for _, thick, _ in reversed(layers)])])
    moduli, tensions = ([one[i] for one in reversed(layers)] for i in (0, 2))
    heights = np.unique(np.concatenate([np.linspace(*ends, 5) for ends in pairwise(edges)]))
    mesh = MeshQuad.init_tensor(np.linspace(0, long, int(8 * long) + 1), heights)
    basis = Basis(mesh, ElementVector(ElementQuad2()))

    def of(values):
        return lambda _, y: np.choose(np.searchsorted(edges[1:-1], y), values)

    stiffness = elastic(of(moduli)).assemble(basis)
    load = LinearForm(lambda v, w: -of(tensions)(*w.x) * sym_grad(v)[0, 0]).assemble(basis)
    held = basis.get_dofs(lambda p: np.isclose(p[0], 0)).all("u^1")
    corner = basis.nodal_dofs[1, np.flatnonzero((mesh.p[0] == 0) & (mesh.p[1] == 0))]
    moved = solve(*condense(stiffness, load, D=np.concatenate([held, corner])))
    return float(load @ moved) / 2


def elastic(modulus) -> BilinearForm:
    """Return the plane-strain form for a plane-strain modulus that varies from place to place."""

    @BilinearForm
    def form(u, v, w):
        young = modulus(*w.x) * (1 - POISSON**2)
        mu = young / (2 * (1 + POISSON))
        lame = young * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
        strain = sym_grad(u)
        stress = 2 * mu * strain + eye(lame * trace(strain), 2)
        return ddot(stress, sym_grad(v))

    return form


if __name__ == "__main__":
    for each in ALPHAS:
        fine, coarse = channelling(each, growth=1.15, least=3e-4), channelling(each, growth=1.25)
        print(f"{each},{fine:.4f},{abs(fine - coarse):.4f}")
