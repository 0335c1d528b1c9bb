"""Fills side by side: what each asks of bench and object, and which is worse in every respect."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from softmend.errors import InputError


@dataclass(frozen=True, slots=True)
class Making:
    """What a fill takes for each 10 cm of crack: mass of dry fill, of paste, of liquid [kg].

    The liquid leaves through the object and the mouth of the crack; `layers` are to be laid.
    """

    dry_kg: float
    paste_kg: float
    liquid_kg: float
    layers: int


def making(
    area_m2: float, density_kg_m3: float, solids: float, depth_m: float, layer_m: float | None
) -> Making:
    """Return what a fill takes for each 10 cm of crack.

    Parameters
    ----------
    area_m2 : float, area of the crack across [m2], above 0
    density_kg_m3 : float, density of the dry fill [kg/m3], above 0
    solids : float, solids over paste by mass [1], above 0 to 1
    depth_m : float, depth to fill [m], above 0
    layer_m : float or None, thickest layer that dries well [m]; None for one layer

    Returns
    -------
    Making, masses for 0.1 m of crack [kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived.
    Checked against: tests/science/joint/test_compare.py.

    Example
    -------
    >>> made = making(4e-5, 500.0, 0.25, 0.02, 0.005)
    >>> round(made.dry_kg * 1e3, 3), round(made.liquid_kg * 1e3, 3), made.layers
    (2.0, 6.0, 4)
    """
    thinnest = math.inf if layer_m is None else layer_m
    if not (min(area_m2, density_kg_m3, depth_m, thinnest) > 0 and 0 < solids <= 1):
        raise InputError(
            "What a fill takes cannot be computed",
            value=(area_m2, density_kg_m3, solids, depth_m, layer_m),
            allowed="positive sizes and density, solids above 0 to 1",
        )
    dry = area_m2 * 0.1 * density_kg_m3
    # A depth of four layers is four layers, whatever the last bit of the numbers says.
    layers = 1 if layer_m is None else max(1, math.ceil(depth_m / layer_m - 1e-9))
    return Making(dry, dry / solids, dry * (1 - solids) / solids, layers)


def dominated_by(
    systems: Mapping[str, Sequence[float | None]], same: float = 0.02
) -> dict[str, tuple[str, ...]]:
    """Return for each system those that are at least as good in every respect and better in one.

    A respect that is not known of either system cannot make one dominate the other.

    Parameters
    ----------
    systems : mapping, name to its values, lower is better, in one order; None is not known [any]
    same : float, two values nearer than this share of the larger are the same [1], 0 to below 1

    Returns
    -------
    dict, name to names of the systems that dominate it

    Raises
    ------
    InputError
        When the systems do not have the same respects.

    Source: own rule (Pareto order; no score).
    Checked against: tests/science/joint/test_compare.py.

    Example
    -------
    >>> dominated_by({"a": [1.0, 1.0], "b": [2.0, 1.0], "c": [0.5, None]})
    {'a': (), 'b': ('a',), 'c': ()}
    """
    if len({len(values) for values in systems.values()}) > 1:
        raise InputError("The systems are not compared in the same respects")

    def beats(one: Sequence[float | None], other: Sequence[float | None]) -> bool:
        better = False
        for a, b in zip(one, other, strict=True):
            if a is None or b is None:
                return False
            alike = abs(a - b) <= same * max(abs(a), abs(b))
            if a > b and not alike:
                return False
            better = better or (a < b and not alike)
        return better

    return {
        name: tuple(other for other, theirs in systems.items() if beats(theirs, values))
        for name, values in systems.items()
    }
