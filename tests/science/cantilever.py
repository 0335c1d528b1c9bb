"""Finite elements of bars in plane stress: the oracle of joints and of the bending test."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from skfem import Basis, ElementQuad2, ElementVector, FacetBasis, MeshQuad, condense, solve
from skfem.assembly import BilinearForm, LinearForm
from skfem.helpers import ddot, eye, sym_grad, trace


def wall_stress(height: float, length: float, weight: float, poisson: float = 0.3) -> float:
    """Return the stress at the edge of the wall of a bar, 1 m broad, that carries its own weight.

    The wall takes the shear as a beam has it and lets the bar thin. Stress runs straight over the
    inner part of the section and is read on that line at the edge, as beam theory means it.
    """
    mesh = MeshQuad.init_tensor(np.linspace(0, length, 121), np.linspace(-0.5, 0.5, 21) * height)
    basis = Basis(mesh, ElementVector(ElementQuad2()))
    own = LinearForm(lambda v, _: -weight / (height * length) * v[1]).assemble(basis)
    face = FacetBasis(mesh, basis.elem, facets=mesh.facets_satisfying(lambda p: p[0] == 0))
    shear = LinearForm(
        lambda v, w: 1.5 * weight / height * (1 - (2 * w.x[1] / height) ** 2) * v[1]
    ).assemble(face)
    wall = basis.get_dofs(lambda p: p[0] == 0).all("u^1")
    held = np.append(wall, _upright(basis, 0.0, 0.0))
    moved = solve(*condense(_stiffness(1.0, poisson).assemble(basis), own + shear, D=held))
    near, y = 0.01 * length, np.linspace(-0.4, 0.4, 21) * height
    across = basis.probes(np.vstack([np.full_like(y, near), y])) @ moved
    # The probes give the movement along and then upright; the modulus is 1.
    slope = np.polyfit(y, across[: y.size] / near, 1)[0]
    return float(abs(slope) * height / 2)


def middle_sag(
    height: float, span: float, force: float, modulus: float, poisson: float = 0.3
) -> float:
    """Return how far a bar, 1 m broad, on two supports sags in the middle under a force there.

    Half of it by symmetry; force and support act on short stretches, and the sag is that of the
    middle line, so that no place is dented without end.
    """
    half, over, patch = span / 2, height, height / 4
    x = np.linspace(-over, half, round(16 * (half + over) / height) + 1)
    mesh = MeshQuad.init_tensor(x, np.linspace(-0.5, 0.5, 17) * height)
    basis = Basis(mesh, ElementVector(ElementQuad2()))
    top = _pressed(basis, lambda p: (p[1] > 0.49 * height) & (p[0] > half - patch / 2), force / 2)
    foot = _pressed(basis, lambda p: (p[1] < -0.49 * height) & (abs(p[0]) < patch / 2), -force / 2)
    wall = basis.get_dofs(lambda p: np.isclose(p[0], half)).all("u^1")
    held = np.append(wall, _upright(basis, 0.0, 0.0))
    moved = solve(*condense(_stiffness(modulus, poisson).assemble(basis), top + foot, D=held))
    return float(abs(moved[_upright(basis, half, 0.0)][0]))


def _pressed(basis: Basis, where, force: float) -> np.ndarray:
    facets = FacetBasis(basis.mesh, basis.elem, facets=basis.mesh.facets_satisfying(where))
    length = LinearForm(lambda v, _: v[1]).assemble(facets).sum()
    return LinearForm(lambda v, _: -v[1]).assemble(facets) * force / length


def _upright(basis: Basis, x: float, y: float) -> np.ndarray:
    at = np.argmin(np.hypot(basis.mesh.p[0] - x, basis.mesh.p[1] - y))
    return basis.nodal_dofs[1, [at]]


def _stiffness(modulus: float, poisson: float) -> BilinearForm:
    @BilinearForm
    def form(u, v, _):
        strain = sym_grad(u)
        stress = (
            modulus / (1 - poisson**2) * ((1 - poisson) * strain + poisson * eye(trace(strain), 2))
        )
        return ddot(stress, sym_grad(v))

    return form
