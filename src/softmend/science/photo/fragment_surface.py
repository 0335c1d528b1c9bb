"""Whether growth lines and colour run on from a loss's surroundings into a flake laid in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.light import Plane
from softmend.science.uncertain import Array

INSET_M, DEEP_M = 6e-4, 2.4e-3
"""The strip that is read on either side of the edge: from so far to so far [m]."""

ACROSS = 7
FEWEST = 12


@dataclass(frozen=True, slots=True)
class Continuity:
    """How the surface runs on across an edge.

    `pattern` is the correlation of light and dark along the edge (1: lines run on; 0: no
    relation); `difference` the mean difference of grey levels. None where nothing can be told.
    Each has its standard deviation beside it: places that lie close together count as one.
    """

    pattern: float | None
    difference: float | None
    places: int
    pattern_sd: float = 0.0
    difference_sd: float = 0.0


def continuity(
    flake: Plane,
    object_: Plane,
    flake_edge_px: ArrayLike,
    object_edge_px: ArrayLike,
    flake_px_per_m: float,
    object_px_per_m: float,
    matched: ArrayLike | None = None,
) -> Continuity:
    """Return how the surface runs on across the matched edge of a flake and its surroundings.

    Parameters
    ----------
    flake, object_ : numpy array, brightness of tray and object as coded, shape (h, w) [1]
    flake_edge_px : array-like, matched edge on the tray, flake to its left, shape (m, 2) [px]
    object_edge_px : array-like, the same places on the object, shape (m, 2) [px]
    flake_px_per_m, object_px_per_m : float, the scales of the two photographs [px/m], above 0
    matched : array-like of bool or None, which of the places count, shape (m,) [1]

    Returns
    -------
    Continuity [1]

    Raises
    ------
    InputError
        When the two edges do not belong together or a scale is not above 0.

    Source: own rule (rank correlation along the edge, light of the two photographs taken out);
    bartlett1946 (scatter of a correlation of two lines that each vary slowly).
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> stripes = np.tile(np.where(np.arange(200) % 20 < 10, 90, 160), (200, 1)).astype(np.float32)
    >>> edge = np.column_stack([np.linspace(150, 50, 80), np.full(80, 100.0)])
    >>> found = continuity(stripes, stripes, edge, edge, 10_000.0, 10_000.0)
    >>> found.pattern > 0.9, round(found.difference)
    (True, 0)
    """
    here = np.asarray(flake_edge_px, dtype=np.float64).reshape(-1, 2)
    there = np.asarray(object_edge_px, dtype=np.float64).reshape(-1, 2)
    if len(here) != len(there) or min(flake_px_per_m, object_px_per_m) <= 0:
        raise InputError(
            "The edges of flake and loss do not belong together",
            value=f"{len(here)} and {len(there)} points",
            allowed="as many points on both, scales above 0",
        )
    counts = np.ones(len(here), bool) if matched is None else np.asarray(matched, dtype=bool)
    places = int(counts.sum())
    if places < FEWEST:
        return Continuity(None, None, places)
    inner = _strip(flake, here, flake_px_per_m, 1.0)[counts]
    outer = _strip(object_, there, object_px_per_m, -1.0)[counts]
    apart = inner - outer
    difference = float(np.mean(apart))
    off = float(np.std(apart)) * math.sqrt(_alike(apart, apart) / len(apart))
    if min(np.std(inner), np.std(outer)) < 1.0:
        return Continuity(None, difference, places, 0.0, off)
    one, other = (np.argsort(np.argsort(values)).astype(float) for values in (inner, outer))
    pattern = float(np.corrcoef(one, other)[0, 1])
    by_chance = math.sqrt(min(_alike(one, other) / places, 1.0))
    return Continuity(pattern, difference, places, (1 - pattern**2) * by_chance, off)


def _alike(one: Array, other: Array) -> float:
    """Return over how many places two lines go on alike: the sum of their correlations."""
    longest = len(one) // 3
    parts = []
    for line in (one, other):
        off = line - line.mean()
        whole = np.correlate(off, off, mode="full")[len(line) - 1 :]
        parts.append(whole[1:longest] / max(float(whole[0]), 1e-12))
    return max(1.0, 1 + 2 * float(np.sum(parts[0] * parts[1])))


def _strip(grey: Plane, edge: Array, px_per_m: float, side: float) -> Array:
    """Return the mean brightness beside each point of an edge; +1 is to its left."""
    import cv2

    run = np.gradient(edge, axis=0)
    left = np.stack([-run[:, 1], run[:, 0]], axis=1)
    left /= np.maximum(np.hypot(*left.T), 1e-9)[:, None]
    reach = np.linspace(INSET_M, DEEP_M, ACROSS) * px_per_m * side
    at = (edge[:, None] + reach[None, :, None] * left[:, None] - 0.5).astype(np.float32)
    seen = cv2.remap(grey, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    return np.asarray(seen.mean(axis=1), dtype=np.float64)
