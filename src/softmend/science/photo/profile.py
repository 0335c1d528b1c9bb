"""Brightness along lines square to a line, and a model fitted to many such profiles at once."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from softmend.science.photo.light import Plane
from softmend.science.photo.strip import CV2_CENTRE
from softmend.science.uncertain import Array

SAMPLE_PX = 0.5
ITERATIONS = 14
ENOUGH = 1e-4
"""A profile is done when a step changes what is left over by no more than this share."""

Model = Callable[[Array, Array], tuple[Array, Array]]
"""Offsets (m,) and parameters (n, p) in; values (n, m) and slopes (n, p, m) out."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Parameters (n, p) fitted to n profiles, their covariance (n, p, p), and the slopes there."""

    parameters: Array
    covariance: Array
    slopes: Array
    scatter: Array


def offsets_px(reach_px: float) -> Array:
    """Return the offsets at which a profile is sampled, zero in the middle.

    Parameters
    ----------
    reach_px : float, how far to either side [px], above 0

    Returns
    -------
    numpy array, shape (m,) [px]

    Source: own; half a pixel loses nothing of a picture that is blurred by half a pixel or more.
    Checked against: tests/science/photo/test_width.py.

    Example
    -------
    >>> offsets_px(1.0).tolist()
    [-1.0, -0.5, 0.0, 0.5, 1.0]
    """
    half = int(np.ceil(reach_px / SAMPLE_PX))
    return np.asarray(np.arange(-half, half + 1) * SAMPLE_PX, dtype=np.float64)


def sampled(light: Plane, middle_px: Array, normal: Array, across_px: Array) -> Array:
    """Return the brightness across a line at each of its points, by bicubic interpolation.

    Parameters
    ----------
    light : numpy array, linear light, shape (h, w) [1]
    middle_px : numpy array, points of the line, shape (n, 2) [px]
    normal : numpy array, unit vectors across it, shape (n, 2) [1]
    across_px : numpy array, offsets along the normal, shape (m,) [px]

    Returns
    -------
    numpy array, shape (n, m) [1]

    Source: keys1981 (bicubic convolution; the imaging library's is a little sharper).
    Checked against: tests/science/photo/test_width.py.

    Example
    -------
    >>> ramp = np.tile(np.arange(40, dtype=np.float32) + 0.5, (40, 1))
    >>> sampled(ramp, np.array([[20.0, 20.0]]), np.array([[1.0, 0.0]]), np.array([-1.0, 0.5]))
    array([[19. , 20.5]])
    """
    import cv2

    start = (middle_px - CV2_CENTRE).astype(np.float32)
    way = normal.astype(np.float32)
    across = across_px.astype(np.float32)[None]
    x, y = (start[:, axis, None] + way[:, axis, None] * across for axis in (0, 1))
    found = cv2.remap(light, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(found, dtype=np.float64)


def fitted(
    model: Model, start: Array, across_px: Array, profiles: Array, weights: Array, least: Array
) -> Fit:
    """Return a model's parameters for all profiles at once, by damped Gauss-Newton steps.

    Parameters
    ----------
    model : callable, offsets and parameters in, values and slopes out [1]
    start : numpy array, parameters to start from, shape (n, p) [unit of each]
    across_px : numpy array, offsets of the samples, shape (m,) [px]
    profiles : numpy array, what was sampled, shape (n, m) [1]
    weights : numpy array, weight of each sample, shape (n, m), 0 or more [1]
    least : numpy array, what each parameter may not fall below, shape (p,) [unit of each]

    Returns
    -------
    Fit; covariance from the scatter of the samples, two neighbours counted as one [unit of each]

    Source: marquardt1963.
    Checked against: scipy's least squares one by one, in tests/science/photo/test_width.py.

    Example
    -------
    >>> def line(x, p):
    ...     slopes = np.stack([np.ones_like(x), x])
    ...     return p @ slopes, np.broadcast_to(slopes, (len(p), 2, len(x)))
    >>> x = np.arange(9.0)
    >>> found = fitted(line, np.zeros((1, 2)), x, (3 + 2 * x)[None], np.ones((1, 9)),
    ...                np.full(2, -np.inf))
    >>> np.round(found.parameters, 6).tolist()
    [[3.0, 2.0]]
    """
    at = start.copy()
    damping = np.full(len(at), 1e-3)
    value, slopes = (np.array(part) for part in model(across_px, at))
    cost = np.sum(weights * (profiles - value) ** 2, axis=1)
    live = np.arange(len(at))
    for _ in range(ITERATIONS):
        step = _step(slopes[live], weights[live], profiles[live] - value[live], damping[live])
        tried = np.maximum(at[live] + step, least)
        tried_value, tried_slopes = model(across_px, tried)
        tried_cost = np.sum(weights[live] * (profiles[live] - tried_value) ** 2, axis=1)
        better = tried_cost < cost[live]
        is_settled = np.abs(tried_cost - cost[live]) <= ENOUGH * cost[live]
        moved = live[better]
        at[moved], cost[moved] = tried[better], tried_cost[better]
        value[moved], slopes[moved] = tried_value[better], tried_slopes[better]
        damping[live] *= np.where(better, 0.3, 8.0)
        live = live[~is_settled]
        if not live.size:
            break
    return _with_covariance(at, cost, slopes, weights)


def _step(slopes: Array, weights: Array, left_over: Array, damping: Array) -> Array:
    weighted = slopes * weights[:, None]
    normal = weighted @ slopes.transpose(0, 2, 1)
    target = weighted @ left_over[..., None]
    diagonal = np.arange(normal.shape[1])
    normal[:, diagonal, diagonal] *= 1 + damping[:, None]
    normal[:, diagonal, diagonal] += 1e-12
    return np.asarray(np.linalg.solve(normal, target)[..., 0])


def _with_covariance(at: Array, cost: Array, slopes: Array, weights: Array) -> Fit:
    count = np.sum(weights > 0, axis=1) * SAMPLE_PX
    scatter = cost / np.maximum(count / SAMPLE_PX - at.shape[1], 1.0)
    normal = (slopes * weights[:, None]) @ slopes.transpose(0, 2, 1)
    diagonal = np.arange(at.shape[1])
    normal[:, diagonal, diagonal] += 1e-12
    inverse = np.linalg.inv(normal)
    return Fit(at, inverse * (scatter / SAMPLE_PX)[:, None, None], slopes, np.sqrt(scatter))
