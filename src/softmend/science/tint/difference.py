"""How different two colours look: CIEDE2000, its straight-line form at one colour, metamerism."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from softmend.science.tint.colorimetry import Weights, lab
from softmend.science.uncertain import Array

POW_25_7 = 25.0**7


def colour_difference_ciede2000(first: ArrayLike, second: ArrayLike) -> Array:
    """Return the CIEDE2000 difference of colours.

    Parameters
    ----------
    first, second : array, L*, a*, b* in the last axis [1]

    Returns
    -------
    array, difference with all three weights 1 [1]

    Source: sharma2005, equations 2 to 22.
    Checked against: tests/checks/sharma2005.csv.

    Example
    -------
    >>> float(colour_difference_ciede2000([50, 2.6772, -79.7751], [50, 0, -82.7485]).round(4))
    2.0425
    """
    one, two = np.asarray(first, np.float64), np.asarray(second, np.float64)
    l1, l2 = one[..., 0], two[..., 0]
    chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2
    grow = 1.5 - 0.5 * np.sqrt(chroma**7 / (chroma**7 + POW_25_7))
    a1, a2 = grow * one[..., 1], grow * two[..., 1]
    c1, c2 = np.hypot(a1, one[..., 2]), np.hypot(a2, two[..., 2])
    h1, h2 = (np.arctan2(o[..., 2], a) % (2 * np.pi) for o, a in ((one, a1), (two, a2)))
    grey = c1 * c2 == 0
    turn = h2 - h1
    turn = np.where(turn > np.pi, turn - 2 * np.pi, np.where(turn < -np.pi, turn + 2 * np.pi, turn))
    turn = np.where(grey, 0.0, turn)
    dl, dc, dh = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(turn / 2)
    apart = np.abs(h1 - h2) > np.pi
    mean_h = np.where(
        apart, np.where(h1 + h2 < 2 * np.pi, h1 + h2 + 2 * np.pi, h1 + h2 - 2 * np.pi), h1 + h2
    )
    mean_h = np.where(grey, h1 + h2, mean_h / 2)
    sl, sc, sh, rt = _scales((l1 + l2) / 2, (c1 + c2) / 2, mean_h)
    inside = (dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * (dc / sc) * (dh / sh)
    return np.asarray(np.sqrt(np.maximum(inside, 0)))


def metric_at(colour: ArrayLike) -> Array:
    """Return the matrix whose product with a small step of L*, a*, b* has CIEDE2000 as its length.

    Parameters
    ----------
    colour : array, L*, a*, b* [1], where the step starts

    Returns
    -------
    array, three by three [1]

    Source: sharma2005, made straight at one colour.
    Checked against: tests/science/tint/test_difference.py.

    Example
    -------
    >>> step = np.array([0.01, 0.0, 0.0])
    >>> round(float(np.linalg.norm(metric_at([50, 10, 10]) @ step)), 4)
    0.01
    """
    light, a, b = (float(value) for value in np.asarray(colour, np.float64))
    chroma = np.hypot(a, b)
    grow = 1.5 - 0.5 * np.sqrt(chroma**7 / (chroma**7 + POW_25_7))
    prime, hue = np.hypot(grow * a, b), np.arctan2(b, grow * a) % (2 * np.pi)
    sl, sc, sh, rt = (
        float(one) for one in _scales(np.array(light), np.array(prime), np.array(hue))
    )
    along, across = np.array([np.cos(hue), np.sin(hue)]), np.array([-np.sin(hue), np.cos(hue)])
    dc, dh = along * np.array([grow, 1]) / sc, across * np.array([grow, 1]) / sh
    rest = np.sqrt(1 - rt * rt / 4)
    return np.array([[1 / sl, 0, 0], [0, *(dc + rt / 2 * dh)], [0, *(rest * dh)]])


def metamerism(
    wanted: Array, found: Array, reference: Weights, others: Sequence[Weights]
) -> dict[str, float]:
    """Return the difference of two reflectances under other lamps, made equal under one.

    Parameters
    ----------
    wanted, found : array, reflectances at the wavelengths of the weights [1], 0 to 1
    reference : Weights, of the lamp under which they are meant to match
    others : sequence of Weights, of the other lamps

    Returns
    -------
    dict, CIEDE2000 by the lamp's name [1], after scaling X, Y, Z to match under the reference

    Source: cie-15, special metamerism index, multiplicative correction (recalled).
    Checked against: tests/science/tint/test_difference.py.

    Example
    -------
    >>> day = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> metamerism(np.full(3, 0.5), np.full(3, 0.4), day, [day])["day"]
    0.0
    """
    scale = reference.xyz(wanted) / np.maximum(reference.xyz(found), 1e-12)
    pairs = {one.name: (one.lab(wanted), lab(one.xyz(found) * scale, one.white)) for one in others}
    return {
        name: float(colour_difference_ciede2000(first, second).round(12))
        for name, (first, second) in pairs.items()
    }


def direction(step: ArrayLike) -> str:
    """Return in words which way a small change of colour goes, the larger parts first.

    Parameters
    ----------
    step : array, change of L*, a*, b* [1]

    Returns
    -------
    str, such as 'lighter and yellower'; 'nowhere' when nothing changes

    Source: common practice, no source.
    Checked against: tests/science/tint/test_difference.py.

    Example
    -------
    >>> direction([-2.0, 0.1, 1.5])
    'darker and yellower'
    """
    change = np.asarray(step, np.float64)
    names = (("lighter", "darker"), ("redder", "greener"), ("yellower", "bluer"))
    size = np.abs(change)
    if size.max() < 1e-9:
        return "nowhere"
    order = [i for i in np.argsort(-size, kind="stable") if size[i] >= size.max() / 3]
    return " and ".join(names[i][0 if change[i] > 0 else 1] for i in order)


def _scales(lightness: Array, chroma: Array, hue: Array) -> tuple[Array, Array, Array, Array]:
    """Return S_L, S_C, S_H and the turning term at a mean colour."""
    bent = 1 - 0.17 * np.cos(hue - np.pi / 6) + 0.24 * np.cos(2 * hue)
    bent = bent + 0.32 * np.cos(3 * hue + np.deg2rad(6)) - 0.20 * np.cos(4 * hue - np.deg2rad(63))
    off = (lightness - 50) ** 2
    sl = 1 + 0.015 * off / np.sqrt(20 + off)
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * bent
    theta = np.deg2rad(30) * np.exp(-(((np.rad2deg(hue) - 275) / 25) ** 2))
    rt = -np.sin(2 * theta) * 2 * np.sqrt(chroma**7 / (chroma**7 + POW_25_7))
    return sl, sc, sh, rt
