"""The paints of a bench, the skin they go into, and the colour that a mixture gives."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.colorimetry import Weights
from softmend.science.tint.film import Surface, film_unchecked
from softmend.science.uncertain import Array


@dataclass(frozen=True, slots=True)
class Palette:
    """K and S of each dry paint and of the dry binder, one row a paint, at common wavelengths.

    `white` is the row that may join every mixture without being counted, or None.
    """

    absorption: Array
    scattering: Array
    binder_absorption: Array
    binder_scattering: Array
    white: int | None = None

    @property
    def colours(self) -> tuple[int, ...]:
        """Return the rows of the paints that are counted."""
        return tuple(i for i in range(self.absorption.shape[0]) if i != self.white)


@dataclass(frozen=True, slots=True)
class Skin:
    """What the mixture is spread on and how: ground, dry thickness, surface, most paint in it.

    `offset` is added to K of the mixture: what a first drawdown has shown to be missing.
    """

    ground: Array
    thickness: float
    surface: Surface
    most_share: float = 0.4
    offset: Array | float = 0.0


def check_palette(palette: Palette, skin: Skin) -> None:
    """Return nothing when paints, binder and ground fit together; refuse the first that do not.

    Parameters
    ----------
    palette : Palette, K and S [1 over the unit of the thickness]
    skin : Skin, its ground at the same wavelengths [1]

    Returns
    -------
    None

    Raises
    ------
    InputError
        When lengths differ, a value is negative or not finite, or the thickness is not above 0.

    Source: own; what a mixture needs.
    Checked against: tests/science/tint/test_recipe.py.

    Example
    -------
    >>> one = Palette(np.ones((1, 2)), np.ones((1, 2)), np.zeros(2), np.zeros(2))
    >>> check_palette(one, Skin(np.full(2, 0.8), 0.06, Surface()))
    """
    wide = skin.ground.shape
    parts = {
        "K of a paint": palette.absorption,
        "S of a paint": palette.scattering,
        "K of the binder": palette.binder_absorption,
        "S of the binder": palette.binder_scattering,
    }
    if not palette.colours:
        raise InputError("There is no paint to mix", remedy="Name at least one paint")
    for name, values in parts.items():
        if values.shape[-1:] != wide:
            raise InputError(f"{name} and the ground have different wavelengths")
        if not np.all(np.isfinite(values)) or np.any(values < 0):
            raise InputError(
                f"{name} has a value that cannot be",
                value=f"{np.nanmin(values):.3g}",
                allowed="0 or more at every wavelength",
                remedy="Characterise that paint again, or leave it out",
            )
    if not skin.thickness > 0 or not 0 < skin.most_share <= 1:
        raise InputError(
            "The skin is not possible",
            value=f"thickness {skin.thickness:g}, paint {skin.most_share:g} of it",
            allowed="a thickness above 0, paint above 0 up to the whole",
        )


def mixed(palette: Palette, amounts: Array, skin: Skin) -> tuple[Array, Array]:
    """Return K and S of mixtures; what is not paint is binder.

    Parameters
    ----------
    palette : Palette, K and S [1 over the unit of the thickness]
    amounts : array, share of each paint in the dry skin, paints in the last axis [1]
    skin : Skin, for the offset of K

    Returns
    -------
    K and S, arrays, wavelengths in the last axis [1 over the unit of the thickness]

    Source: duncan1949, the mixture rule.
    Checked against: tests/checks/softmend-colour.csv (the mixture example).

    Example
    -------
    >>> one = Palette(np.full((1, 2), 10.0), np.full((1, 2), 5.0), np.zeros(2), np.zeros(2))
    >>> mixed(one, np.array([0.1]), Skin(np.ones(2), 0.06, Surface()))[0].tolist()
    [1.0, 1.0]
    """
    k = palette.binder_absorption + amounts @ (palette.absorption - palette.binder_absorption)
    s = palette.binder_scattering + amounts @ (palette.scattering - palette.binder_scattering)
    return np.maximum(k + skin.offset, 0.0), np.maximum(s, 0.0)


def skin_reflectance(
    palette: Palette, amounts: Array, skin: Skin, coat: float | Array = 1.0
) -> Array:
    """Return what an instrument reads on mixtures spread over the ground.

    Parameters
    ----------
    palette : Palette, K and S [1 over the unit of the thickness]
    amounts : array, share of each paint in the dry skin, paints in the last axis [1]
    skin : Skin, ground, thickness and surface
    coat : float or array, coat weight relative to the one meant [1], above 0

    Returns
    -------
    array, external reflectance, wavelengths in the last axis [1]

    Source: kubelka1948; saunderson1942.
    Checked against: tests/checks/softmend-colour.csv (the mixture example).

    Example
    -------
    >>> one = Palette(np.full((1, 2), 10.0), np.full((1, 2), 5.0), np.zeros(2), np.zeros(2))
    >>> skin = Skin(np.full(2, 0.8), 0.06, Surface(0, 0))
    >>> skin_reflectance(one, np.array([0.0]), skin).round(6).tolist()
    [0.8, 0.8]
    """
    k, s = mixed(palette, amounts, skin)
    depth = skin.thickness * coat
    internal = film_unchecked(k * depth, s * depth, skin.ground)
    surface = skin.surface
    through = (1 - surface.k1) * (1 - surface.k2)
    outer = surface.seen * surface.k1
    return np.asarray(outer + through * internal / (1 - surface.k2 * internal))


def strips(
    palette: Palette, amounts: Array, skin: Skin, lamps: Sequence[Weights], coats: Sequence[float]
) -> Array:
    """Return the colour of a mixture at several coat weights under several lamps.

    Parameters
    ----------
    palette : Palette, K and S [1 over the unit of the thickness]
    amounts : array, share of each paint in the dry skin [1]
    skin : Skin, ground, thickness and surface
    lamps : sequence of Weights, one a lamp
    coats : sequence of float, coat weights relative to the one meant [1], above 0

    Returns
    -------
    array, coats by lamps by L*, a*, b* [1]

    Source: kubelka1948; cie-15.
    Checked against: tests/science/tint/test_recipe.py.

    Example
    -------
    >>> one = Palette(np.full((1, 3), 10.0), np.full((1, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> day = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> skin = Skin(np.full(3, 0.8), 0.06, Surface(0, 0))
    >>> strips(one, np.array([0.1]), skin, [day], [0.7, 1.0, 1.3])[:, 0, 0].round(1).tolist()
    [88.8, 87.5, 86.4]
    """
    each = [skin_reflectance(palette, amounts, skin, coat) for coat in coats]
    return np.array([[lamp.lab(one) for lamp in lamps] for one in each])


def with_ground(skin: Skin, ground: Array) -> Skin:
    """Return the same skin over another ground.

    Parameters
    ----------
    skin : Skin, as it is
    ground : array, internal reflectance [1], 0 to 1

    Returns
    -------
    Skin, over the new ground

    Source: own.
    Checked against: tests/science/tint/test_recipe.py.

    Example
    -------
    >>> with_ground(Skin(np.ones(1), 0.06, Surface()), np.zeros(1)).ground.tolist()
    [0.0]
    """
    return replace(skin, ground=ground)
