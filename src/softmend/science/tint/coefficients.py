"""What a paint absorbs and scatters, from readings of its drawdowns, with a word on bad readings.

All reflectances are internal: corrected for the surface before they come here.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.tint.film import absorption_ratio, film_slopes, film_unchecked
from softmend.science.uncertain import Array

Flags = NDArray[np.bool_]
LEAST_CONTRAST = 0.02
"""Least difference of the two readings of a film, below which S is not to be had."""


@dataclass(frozen=True, slots=True)
class Coefficients:
    """K and S for each wavelength, and where they cannot be trusted.

    `usable` is False at a wavelength whose readings contradict the model; K and S are NaN there
    unless a fit over all wavelengths has bridged it. `why` says so in words.
    """

    absorption: Array
    scattering: Array
    usable: Flags
    why: tuple[str, ...] = ()

    @property
    def known(self) -> Flags:
        """Return where there is a K and an S at all."""
        return np.isfinite(self.absorption) & np.isfinite(self.scattering)


@dataclass(frozen=True, slots=True)
class Drawdown:
    """One film as read: thickness, internal reflectances of film and ground at each wavelength."""

    thickness: float
    ground: Array
    reading: Array


def from_two_backings(
    over_black: ArrayLike,
    over_white: ArrayLike,
    black: ArrayLike,
    white: ArrayLike,
    thickness: float,
) -> Coefficients:
    """Return K and S from one film read over a black and over a white ground.

    Parameters
    ----------
    over_black, over_white : array, the film's reflectance over each ground [1], 0 to 1
    black, white : array, reflectance of the bare grounds [1], 0 to 1
    thickness : float, of the dry film [any unit], above 0

    Returns
    -------
    Coefficients, K and S [1 over the unit of thickness]

    Raises
    ------
    InputError
        When the thickness is not above 0.

    Source: kubelka1948, solved for a and S X.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> one = from_two_backings(0.3721348184, 0.5152511347, 0.0, 0.85, 1.2)
    >>> round(float(one.absorption), 6), round(float(one.scattering), 6)
    (0.3, 0.8)
    """
    _thick(thickness)
    rb, rw, gb, gw = np.broadcast_arrays(
        *(_array(v) for v in (over_black, over_white, black, white))
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        top = (rw - rb) * (1 + gw * gb) - (gw - gb) * (1 + rw * rb)
        a = top / (2 * (rw * gb - rb * gw))
        b = np.sqrt(a * a - 1)
        ratio = ((rw - a - b) * (gw - a + b)) / ((rw - a + b) * (gw - a - b))
        depth = np.log(ratio) / (2 * b)
    scattering = depth / thickness
    contrast = (rw - rb) >= LEAST_CONTRAST
    good = np.isfinite(depth) & (a > 1) & (depth > 0) & contrast
    why = _reasons(
        (~contrast, "the film hides its ground: read it over both grounds when it is thinner"),
        (
            contrast & ~good,
            "the readings contradict each other: measure the grounds and the film again",
        ),
    )
    return _kept(scattering * (a - 1), scattering, good, why)


def from_black_and_hiding(
    over_black: ArrayLike, hiding: ArrayLike, thickness: float
) -> Coefficients:
    """Return K and S from a layer over a perfect black and from a pad so thick that it hides.

    Parameters
    ----------
    over_black : array, reflectance of one layer over black [1], 0 to 1
    hiding : array, reflectance of the thick pad [1], above over_black, below 1
    thickness : float, of the one layer [any unit], above 0

    Returns
    -------
    Coefficients, K and S [1 over the unit of thickness]

    Raises
    ------
    InputError
        When the thickness is not above 0.

    Source: iso9416, the paper form (white and near-white, not quite opaque).
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> one = from_black_and_hiding(0.3721348184, 0.4312706956, 1.2)
    >>> round(float(one.absorption), 6), round(float(one.scattering), 6)
    (0.3, 0.8)
    """
    _thick(thickness)
    r0, rinf = np.broadcast_arrays(_array(over_black), _array(hiding))
    good = (r0 > 0) & (rinf > r0) & (rinf < 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        log = np.log(rinf * (1 - r0 * rinf) / (rinf - r0))
        scattering = log * rinf / (1 - rinf**2) / thickness
        absorption = scattering * (1 - rinf) ** 2 / (2 * rinf)
    opaque = r0 / np.where(rinf > 0, rinf, 1.0) > 0.95
    why = _reasons(
        (~good, "the thick pad must be lighter than the layer over black"),
        (good & opaque, "the layer is over 95 % opaque: S is then poorly known; use a thinner one"),
    )
    return _kept(absorption, scattering, good, why)


def from_masstone_and_tint(
    masstone: ArrayLike, tint: ArrayLike, white: ArrayLike, share: float
) -> Coefficients:
    """Return K and S of a paint, relative to a white of S = 1, from three hiding films.

    Parameters
    ----------
    masstone, tint, white : array, reflectance of paint, tint and white, all hiding [1], 0 to 1
    share : float, of the paint in the tint [1], above 0, below 1

    Returns
    -------
    Coefficients, K and S [scattering of the white]

    Raises
    ------
    InputError
        When the share is out of range or a reflectance is 0.

    Source: duncan1949, mixture rule, solved for K and S.
    Checked against: tests/checks/softmend-colour.csv.

    Example
    -------
    >>> one = from_masstone_and_tint(0.1010205144, 0.6004844703, 0.9144679, 0.1)
    >>> round(float(one.absorption), 4), round(float(one.scattering), 4)
    (1.2, 0.3)
    """
    if not 0 < share < 1:
        raise InputError(
            "The share of paint in the tint is out of range", value=share, allowed="above 0 to 1"
        )
    paint, mixed, plain = (absorption_ratio(one) for one in (masstone, tint, white))
    with np.errstate(divide="ignore", invalid="ignore"):
        scattering = (1 - share) * (mixed - plain) / (share * (paint - mixed))
    good = np.isfinite(scattering) & (scattering >= 0)
    why = _reasons((~good, "the tint does not lie between the paint and the white"))
    return _kept(paint * scattering, scattering, good, why)


def fitted(drawdowns: Sequence[Drawdown], smoothing: float = 1e-3) -> Coefficients:
    """Return the K and S, 0 or more and smooth over the wavelengths, that fit all drawdowns best.

    Parameters
    ----------
    drawdowns : sequence of Drawdown, two or more films or grounds
    smoothing : float, weight of a bend of ln K and ln S against a misfit of 1 [1], 0 or more

    Returns
    -------
    Coefficients, K and S [1 over the unit of thickness]; `usable` where the fit is within 0.02

    Raises
    ------
    InputError
        When there are fewer than two drawdowns.

    Source: kubelka1948, by damped least squares; the smoothness is our own.
    Checked against: tests/science/tint/test_coefficients.py.

    Example
    -------
    >>> films = [Drawdown(1.2, np.full(5, g), film_unchecked(np.full(5, 0.36), np.full(5, 0.96), g))
    ...          for g in (0.0, 0.85)]
    >>> one = fitted(films)
    >>> round(float(one.absorption[2]), 3), round(float(one.scattering[2]), 3)
    (0.3, 0.8)
    """
    if len(drawdowns) < 2:
        raise InputError(
            "K and S need two drawdowns",
            value=len(drawdowns),
            allowed="2 or more",
            remedy="Read the film over a black and over a white ground",
        )
    count = drawdowns[0].reading.size
    logs = np.log(_first_guess(drawdowns))
    logs, misfit = _damped(drawdowns, logs, _bends(count) * smoothing)
    usable = misfit <= 0.02
    why = _reasons((~usable, "no film of this model gives these readings within 2 %"))
    return Coefficients(np.exp(logs[:count]), np.exp(logs[count:]), usable, why)


def _first_guess(drawdowns: Sequence[Drawdown]) -> Array:
    """Return, for each wavelength, the best K and S of a coarse net, one after the other."""
    thickest = max(one.thickness for one in drawdowns)
    net = np.geomspace(1e-3, 30, 24) / thickest
    k, s = (grid.ravel() for grid in np.meshgrid(net, net, indexing="ij"))
    misfit = sum(
        (film_unchecked(k[:, None] * d.thickness, s[:, None] * d.thickness, d.ground) - d.reading)
        ** 2
        for d in drawdowns
    )
    best = np.argmin(misfit, axis=0)
    return np.concatenate([k[best], s[best]])


def _damped(drawdowns: Sequence[Drawdown], logs: Array, bends: Array) -> tuple[Array, Array]:
    count, damping = logs.size // 2, 1e-3
    residual, slopes = _misfit(drawdowns, logs)
    cost = residual @ residual + np.sum((bends @ logs) ** 2)
    for _ in range(60):
        normal = slopes.T @ slopes + bends.T @ bends
        side = slopes.T @ residual + bends.T @ (bends @ logs)
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-12), -side)
        tried = np.clip(logs + np.clip(step, -1, 1), -16, 16)
        found, its_slopes = _misfit(drawdowns, tried)
        its_cost = found @ found + np.sum((bends @ tried) ** 2)
        if its_cost < cost:
            done = cost - its_cost < 1e-14
            logs, residual, slopes, cost = tried, found, its_slopes, its_cost
            damping = max(damping / 5, 1e-9)
            if done:
                break
        else:
            damping *= 8
            if damping > 1e9:
                break
    worst = np.abs(residual.reshape(len(drawdowns), count)).max(axis=0)
    return logs, worst


def _misfit(drawdowns: Sequence[Drawdown], logs: Array) -> tuple[Array, Array]:
    count = logs.size // 2
    k, s = np.exp(logs[:count]), np.exp(logs[count:])
    parts, slopes = [], []
    for one in drawdowns:
        r, r_k, r_s = film_slopes(k * one.thickness, s * one.thickness, one.ground)
        parts.append(r - one.reading)
        # The slope with ln K is K times the slope with K.
        scaled = [np.diag(r_k * k * one.thickness), np.diag(r_s * s * one.thickness)]
        slopes.append(np.hstack(scaled))
    return np.concatenate(parts), np.vstack(slopes)


def _bends(count: int) -> Array:
    """Return what takes the second differences of ln K and of ln S."""
    second = np.diff(np.eye(count), 2, axis=0) if count > 2 else np.zeros((0, count))
    nothing = np.zeros_like(second)
    return np.block([[second, nothing], [nothing, second]])


def _reasons(*found: tuple[Flags, str]) -> tuple[str, ...]:
    return tuple(
        f"{int(np.sum(where))} of {np.size(where)} wavelengths: {words}"
        for where, words in found
        if np.any(where)
    )


def _kept(absorption: Array, scattering: Array, good: Flags, why: tuple[str, ...]) -> Coefficients:
    nan = np.nan
    return Coefficients(
        np.where(good, absorption, nan), np.where(good, scattering, nan), np.asarray(good), why
    )


def _array(values: ArrayLike) -> Array:
    found = np.asarray(values, dtype=np.float64)
    if not np.all(np.isfinite(found)):
        raise InputError("A reading is not a number", remedy="Measure that film again")
    return found


def _thick(thickness: float) -> None:
    if not thickness > 0:
        raise InputError(
            "The film has no thickness",
            value=thickness,
            allowed="above 0",
            remedy="Give the dry thickness or the dry coat weight",
        )
