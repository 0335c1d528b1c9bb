"""What pull reaches the walls of a crack before the fill or its bond lets go."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend.errors import InputError
from softmend.science.joint.criteria import Draws, Loads
from softmend.science.uncertain import Array


def reaching_walls(loads: Loads, draws: Draws) -> Array:
    """Return the smaller of the full swing's pull and what fill and bond bear, in every draw.

    A fill that lets go before the swing is whole hands its walls no more than it held then; one
    that has parted on drying already, no more than it held while it dried.

    Parameters
    ----------
    loads : Loads, what the parts bear at rest and for the full swing
    draws : mapping, name of each uncertain value of the joint to its draws [SI]

    Returns
    -------
    numpy array, mean traction on the walls [Pa]

    Raises
    ------
    InputError
        When neither fill nor bond has a limit.

    Source: softmend-mechanics-joint, section 4h.
    Checked against: tests/science/joint/test_reaching.py (single solutions, swing by swing).

    Example
    -------
    >>> import numpy as np
    >>> from softmend.science.joint.criteria import Line, Square
    >>> none, one = np.zeros(2), np.ones(2)
    >>> loads = Loads(Line(none, 3e6 * one), one, Line(none, none), Line(none, none),
    ...               Line(none, none), Square(none, none, one), one, one, one, 0.0)
    >>> reaching_walls(loads, {"strength of the fill": np.array([1e6, 9e6])}).tolist()
    [1000000.0, 3000000.0]
    """
    limits = [
        draws[name] for name in ("strength of the fill", "strength of the bond") if name in draws
    ]
    if "elongation of the fill" in draws:
        limits.append(draws["elongation of the fill"] * loads.per_strain)
    if "energy of the bond" in draws:
        limits.append(_when_the_bond_parts(loads, draws["energy of the bond"]))
    if not limits:
        raise InputError(
            "It is not known what fill and bond stand",
            allowed="a strength, an elongation at break, or an energy of parting",
        )
    return np.asarray(np.minimum.reduce([loads.traction.at_full(), *limits]))


def _when_the_bond_parts(loads: Loads, energy: Array) -> Array:
    """Return the traction at which the energy released is what the bond costs to part."""
    share = np.minimum(loads.energy.crossing(energy), 1.0)
    swung = loads.traction.rest + share * loads.traction.growth
    # Drying alone releases energy with the square of the pull.
    with np.errstate(divide="ignore", invalid="ignore"):
        dried = loads.traction.rest * np.sqrt(energy / loads.energy.rest)
    return np.where(loads.energy.rest >= energy, dried, swung)
