"""Case W1 as an uncertain joint, with the coefficients of variation of the reference."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.science.joint.body import Body, Shape
from softmend.science.joint.criteria import (
    Bond,
    Climate,
    Filling,
    Joint,
    Matter,
    Movement,
    Opening,
)
from softmend.science.joint.sharing import Section
from softmend.science.uncertain import Uncertain

exact, log_normal = Uncertain.exact, Uncertain.log_normal
FILLINGS = {
    "polyester": (3.5e9, 0.15, 0.36, 58.6e6, 0.02),
    "microballoon": (0.4e9, 0.6, 0.30, 2e6, 0.015),
    "pulp_eva": (0.04e9, 0.8, 0.20, 1.5e6, 0.15),
}


def poisson(value: float) -> Uncertain:
    """Return a Poisson's ratio with a tenth of spread."""
    return Uncertain.truncated_normal(value, 0.1 * value, 0, 0.495)


def w1(name: str) -> Joint:
    """Return W1 with one of the fills; moisture mismatch 0.015 % per %RH, a fall of 10 %RH."""
    modulus, cv, nu, strength, elongation = FILLINGS[name]
    return Joint(
        Matter(
            log_normal(8e9, 0.25),
            poisson(0.3),
            log_normal(0.55, 0.35),
            log_normal(1.6e6, 0.35),
            log_normal(30e6, 0.35),
        ),
        Opening(
            Body(Shape.CYLINDER),
            Section.BONDED,
            log_normal(0.02, 0.1),
            log_normal(0.002, 0.15),
            exact(0.05),
        ),
        Filling(
            log_normal(modulus, cv),
            poisson(nu),
            exact(1.0),
            log_normal(strength, 0.4),
            log_normal(elongation, 0.5),
        ),
        Bond(energy=log_normal(100, 0.8)),
        Movement(mismatch=log_normal(1.5e-4, 0.6)),
        Climate(exact(10.0), exact(0.0)),
    )


def certain(joint: Joint) -> Joint:
    """Return a joint with every value at its median."""

    def fixed(group):
        values = {
            name: exact(value.typical)
            for name, value in ((f, getattr(group, f)) for f in group.__dataclass_fields__)
            if isinstance(value, Uncertain)
        }
        return replace(group, **values)

    return Joint(*(fixed(getattr(joint, name)) for name in Joint.__dataclass_fields__))
