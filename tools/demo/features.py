"""Cracks and areas on a surface, known exactly: a centre line with a mouth, or a closed outline.

A surface is a carrier: a point for each row coordinate (along the grain) and cross coordinate.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from scipy.interpolate import PchipInterpolator

from tools.demo.camera import Array

STEP = 1e-4


class Carrier(Protocol):
    """A surface without its fine relief."""

    def points(self, row: Array, cross: Array, height: Array) -> Array:
        """Return points [mm] for coordinates, raised by a height [mm]."""
        ...


def cross_run(carrier: Carrier, row: Array, cross: Array) -> Array:
    """Return how a point moves with the cross coordinate [mm per unit]."""
    level = np.zeros_like(row)
    ahead = carrier.points(row, cross + STEP, level)
    return np.asarray((ahead - carrier.points(row, cross - STEP, level)) / (2 * STEP))


@dataclass(frozen=True)
class Groove:
    """A crack that runs mainly along the rows; its mouth is closed outside `start` to `end`."""

    name: str
    term: str
    note: str
    knots: tuple[tuple[float, float], ...]
    start: float
    end: float
    widest_mm: dict[str, float]
    depth_mm: float
    wander: float = 0.0
    opens_at_start: bool = False
    seed: int = 0

    def centre(self, row: Array) -> Array:
        """Return the cross coordinate of the middle of the mouth, also beyond the tips."""
        rows, crosses = np.array(self.knots).T
        line = PchipInterpolator(rows, crosses)(np.clip(row, rows[0], rows[-1]))
        rng = np.random.default_rng(self.seed)
        lengths, turns, weights = rng.uniform(9, 60, 7), rng.uniform(0, 7, 7), rng.uniform(0, 1, 7)
        waves = weights * np.sqrt(lengths / 60) * np.sin(row[..., None] / lengths * 6.28 + turns)
        return np.asarray(line + self.wander * waves.sum(axis=-1) / 2)

    def opening(self, row: Array) -> Array:
        """Return the share of the widest mouth, 0 to 1."""
        share = (row - self.start) / (self.end - self.start)
        inside = np.clip(share, 0.0, 1.0)
        rise = np.ones_like(inside) if self.opens_at_start else np.sin(np.pi * inside) ** 0.7
        if self.opens_at_start:
            rise = np.cos(np.pi * inside / 2) ** 0.8
        rng = np.random.default_rng(self.seed + 1)
        lengths, turns = rng.uniform(14, 50, 4), rng.uniform(0, 7, 4)
        waves = np.sin(row[..., None] / lengths * 6.28 + turns).mean(axis=-1)
        return np.where((share > 0) & (share < 1), rise * (0.86 + 0.14 * waves), 0.0)

    def width_mm(self, row: Array, state: str) -> Array:
        """Return the width of the mouth square to its run."""
        return self.widest_mm[state] * self.opening(row)

    def depth_at(self, row: Array, state: str) -> Array:
        """Return the depth of the bottom [mm]; a closed crack has none."""
        is_open = self.widest_mm[state] > 0
        return self.depth_mm * is_open * np.minimum(1.0, 1.6 * self.opening(row))

    def half_cross(self, carrier: Carrier, row: Array, state: str) -> Array:
        """Return half the mouth in units of the cross coordinate."""
        level, centre = np.zeros_like(row), self.centre(row)
        ahead = carrier.points(row + STEP, self.centre(row + STEP), level)
        run = ahead - carrier.points(row - STEP, self.centre(row - STEP), level)
        run /= np.linalg.norm(run, axis=-1, keepdims=True)
        side = cross_run(carrier, row, centre)
        side -= np.sum(side * run, axis=-1, keepdims=True) * run
        return np.asarray(self.width_mm(row, state) / 2 / np.linalg.norm(side, axis=-1))


@dataclass(frozen=True)
class Blob:
    """A closed area round a middle: an ellipse of half axes `along_mm` and `across_mm`, uneven."""

    name: str
    term: str
    note: str
    row: float
    cross: float
    along_mm: float
    across_mm: float
    unevenness: float
    depth_mm: float
    seed: int = 0
    turn: float = 0.0
    metric: float = field(default=1.0)

    def reach_mm(self, angle: Array) -> Array:
        """Return the distance of the outline from the middle at an angle from the row's run."""
        rng = np.random.default_rng(self.seed)
        orders = np.arange(2, 11)
        phases, weights = rng.uniform(0, 7, 9), rng.uniform(0.3, 1, 9) / orders**0.9
        waves = (weights * np.cos(orders * angle[..., None] + phases)).sum(axis=-1)
        turned = angle - self.turn
        ellipse = 1 / np.hypot(np.cos(turned) / self.along_mm, np.sin(turned) / self.across_mm)
        return np.asarray(ellipse * (1 + self.unevenness * waves))

    def at(self, share: Array, angle: Array) -> tuple[Array, Array]:
        """Return row and cross at a share of the way from the middle to the outline."""
        reach = share * self.reach_mm(angle)
        return (
            self.row + reach * np.cos(angle),
            self.cross + reach * np.sin(angle) / self.metric,
        )

    def inside_mm(self, row: Array, cross: Array) -> Array:
        """Return roughly how far points lie within the outline; zero exactly on it."""
        along, across = row - self.row, (cross - self.cross) * self.metric
        return np.asarray(self.reach_mm(np.arctan2(across, along)) - np.hypot(along, across))

    def cover(self, row: Array, cross: Array, edge_mm: float) -> Array:
        """Return 1 inside and 0 outside with an edge of a given softness, half on the outline."""
        share = np.clip(self.inside_mm(row, cross) / edge_mm / 2 + 0.5, 0.0, 1.0)
        return np.asarray(share * share * (3 - 2 * share))


def length_mm(points_mm: Array) -> float:
    """Return the length of a polyline."""
    return float(np.linalg.norm(np.diff(points_mm, axis=0), axis=-1).sum())


def area_mm2(carrier: Carrier, blob: Blob) -> float:
    """Return the area of a blob on the carrier, by a fine net of triangles."""
    share, angle = np.meshgrid(np.linspace(0, 1, 81), np.linspace(0, 2 * np.pi, 721), indexing="ij")
    row, cross = blob.at(share, angle)
    net = carrier.points(row, cross, np.zeros_like(row))
    first = np.cross(net[1:, :-1] - net[:-1, :-1], net[:-1, 1:] - net[:-1, :-1])
    second = np.cross(net[:-1, 1:] - net[1:, 1:], net[1:, :-1] - net[1:, 1:])
    return float((np.linalg.norm(first, axis=-1) + np.linalg.norm(second, axis=-1)).sum() / 2)
