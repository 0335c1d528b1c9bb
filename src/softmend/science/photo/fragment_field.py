"""A loss as a field: how far each place lies from its edge, and which way the edge is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.science.uncertain import Array

GRID_M = 1e-4
MARGIN_M = 3e-3


@dataclass(frozen=True, slots=True, eq=False)
class EdgeField:
    """Distance to a loss's edge on a grid [m], positive inside, and its slope [1]."""

    distance: Array
    slope: NDArray[np.complex128]
    low: complex

    @classmethod
    def of(cls, loss: Array) -> EdgeField:
        """Return the field of a loss."""
        import cv2

        low = loss.min(axis=0) - MARGIN_M
        size = np.ceil((loss.max(axis=0) + MARGIN_M - low) / GRID_M).astype(int)
        mask = np.zeros((int(size[1]), int(size[0])), dtype=np.uint8)
        place = np.round(((loss - low) / GRID_M - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(mask, [place], 1, shift=4)
        inside = cv2.distanceTransform(mask, cv2.DIST_L2, 5)
        outside = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 5)
        # A cell's middle lies half a cell from the edge that it touches.
        signed = (np.maximum(inside - 0.5, 0) - np.maximum(outside - 0.5, 0)) * GRID_M
        soft = cv2.GaussianBlur(signed, (0, 0), 2.0)
        down, right = np.gradient(soft, GRID_M)
        field = np.asarray(signed, dtype=np.float64)
        return cls(field, np.asarray(right + 1j * down), complex(low[0], low[1]))

    def at(self, points: NDArray[np.complex128]) -> tuple[Array, NDArray[np.complex128]]:
        """Return distance and slope at points; beyond the grid the distance is its margin's."""
        place = (points - self.low) / GRID_M
        column, row = np.floor(place.real).astype(int), np.floor(place.imag).astype(int)
        rows, columns = self.distance.shape
        within = (column >= 0) & (row >= 0) & (column < columns) & (row < rows)
        numbers = (np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1))
        return np.where(within, self.distance[numbers], -MARGIN_M), self.slope[numbers]


def local_px(ring_px: Array, ring_m: Array, points_m: Array) -> Array:
    """Return places near a loss in px, by the plane that carries its outline from metres to px.

    Parameters
    ----------
    ring_px, ring_m : numpy array, outline of the loss in both, shape (m, 2) [px and m]
    points_m : numpy array, places, shape (n, 2) [m]

    Returns
    -------
    numpy array, shape (n, 2) [px]

    Source: own (affine fit by least squares).
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> ring = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100]])
    >>> np.round(local_px(ring, ring / 10_000, np.array([[0.005, 0.001]])), 6).tolist()
    [[50.0, 10.0]]
    """
    middle = ring_m.mean(axis=0)
    size = float(np.ptp(ring_m, axis=0).max())
    terms = np.column_stack([np.ones(len(ring_m)), (ring_m - middle) / size])
    found = np.linalg.lstsq(terms, ring_px, rcond=None)[0]
    wanted = np.column_stack([np.ones(len(points_m)), (points_m - middle) / size])
    return np.asarray(wanted @ found)
