"""Where to hold a beam: every pair or triple of places at once, least stress within limits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.bed import Footing
from softmend.science.solid.bending import SPREAD
from softmend.science.solid.holding import Plumb
from softmend.science.solid.mesh import Faces, Flags
from softmend.science.uncertain import Array

ROUND = 12
"""Points of the outline at which each section's stress is taken."""


@dataclass(frozen=True)
class Saddle:
    """The pads to be placed: length [m], and half the angle they reach round the object [rad]."""

    length: float
    half_angle: float


@dataclass(frozen=True, eq=False)
class Layouts:
    """Every layout of some pads: where [m], reactions [N], stress and pressure [Pa], tipping [1].

    Layouts in which a pad would have to pull are left out.
    """

    at: Array
    forces: Array
    stress: Array
    pressure: Array
    margin: Array

    def best(self, pressure: float, margin: float) -> int | None:
        """Return the layout of least stress within a pressure [Pa] and a margin, or None."""
        good = np.flatnonzero((self.pressure <= pressure) & (self.margin >= margin))
        return int(good[self.stress[good].argmin()]) if len(good) else None

    def gentlest(self, margin: float) -> int | None:
        """Return the layout of least pressure with a margin, or None."""
        good = np.flatnonzero(self.margin >= margin)
        return int(good[self.pressure[good].argmin()]) if len(good) else None

    def trade_off(self, margin: float, steps: int = 8) -> list[int]:
        """Return the best layouts for rising pressures: each allows more and bends less."""
        steady = np.flatnonzero(self.margin >= margin)
        if not len(steady):
            return []
        order = steady[np.argsort(self.pressure[steady])]
        falling = np.minimum.accumulate(self.stress[order])
        front = order[self.stress[order] <= falling]
        front = front[np.concatenate([[True], np.diff(self.stress[front]) < 0])]
        if len(front) <= steps:
            return [int(one) for one in front]
        wanted = np.geomspace(self.pressure[front[0]], self.pressure[front[-1]], steps)
        found = [int(front[self.pressure[front] <= one * (1 + 1e-9)][-1]) for one in wanted]
        return sorted(set(found), key=lambda one: self.pressure[one])


@dataclass(frozen=True, eq=False)
class Candidates:
    """Places along a beam where a pad may stand, and what a pad of 1 N there does.

    `feet` are the supports there on the real lower surface; without them the object is as round
    under each as its section's area says.
    """

    beam: Beam
    at: Array
    saddle: Saddle
    weight: float
    down: Array
    centre: Array
    spread: float
    feet: tuple[Footing, ...] = ()

    @cached_property
    def plan(self) -> Array:
        """The candidates from above, from the centre of gravity (n, 2) [m]."""
        return self._plumb.seen_from_above(self.beam.place(self.at))

    @cached_property
    def _plumb(self) -> Plumb:
        return Plumb(self.down, self.centre, self.spread)

    @cached_property
    def _beyond(self) -> Array:
        """Moments about every section of 1 N upward at every candidate (n, sections, 3)."""
        share = (np.arange(SPREAD) + 0.5) / SPREAD - 0.5
        at = self.at[:, None] + share * self.saddle.length
        places = self.beam.place(at.reshape(-1)).reshape(*at.shape, 3)
        up = np.broadcast_to(-self.down / SPREAD, places.shape)
        arms, beyond = np.cross(places, up), at[:, None, :] > self.beam.at[None, :, None]
        total = np.einsum("csk,kj->csj", beyond.astype(float), up[0])
        turning = np.einsum("csk,ckj->csj", beyond.astype(float), arms)
        return np.asarray(turning - np.cross(self.beam.points[None], total))

    @cached_property
    def _own(self) -> Array:
        """Moments about every section of the beam's own weight beyond it (sections, 3)."""
        at = self.beam.at
        beyond = (at[None] > at[:, None]) + 0.5 * np.eye(len(at))
        force = self.weight * self.beam.shares[:, None] * self.down
        total = beyond @ force
        return np.asarray(
            beyond @ np.cross(self.beam.points, force) - np.cross(self.beam.points, total)
        )

    @cached_property
    def _factors(self) -> tuple[Array, Array]:
        """Return stress at outline points, and shear, for a moment of 1 N m about each axis."""
        normal, shear = [], []
        for section in self.beam.sections:
            net = section.net
            step = max(len(section.outer) // ROUND, 1)
            x, y = (section.outer[::step, 0][:ROUND] - net.centre).T
            x, y = np.resize(x, ROUND), np.resize(y, ROUND)
            det = net.xx * net.yy - net.xy**2
            about_x = (y * net.xx - x * net.xy) / det
            about_y = (-x * net.yy + y * net.xy) / det
            normal.append(about_x[:, None] * section.frame[0] + about_y[:, None] * section.frame[1])
            reach = float(np.hypot(x, y).max())
            shear.append(section.frame[2] * reach / section.torsion)
        return np.array(normal), np.array(shear)

    def layouts(self, pads: int) -> Layouts:
        """Return every layout of two or three pads, solved at once.

        Three pads that stand in a line share by their springs, the saddles holding the sides.
        """
        if not 2 <= pads <= 3 or len(self.at) < pads:
            raise InputError(
                "So many pads cannot be placed",
                value=f"{pads} pads on {len(self.at)} places",
                allowed="2 or 3 pads, and at least as many places",
                remedy="free more of the object, or place the pads yourself",
            )
        sets = np.array(list(itertools.combinations(range(len(self.at)), pads)))
        apart = (np.diff(self.at[sets], axis=1) >= self.saddle.length).all(axis=1)
        sets = sets[apart]
        shares = self._shares(sets)
        pushing = (shares >= 1e-3).all(axis=1)
        sets, shares = sets[pushing], shares[pushing]
        forces = self.weight * shares
        return Layouts(
            self.at[sets], forces, self._stress(sets, forces),
            self._peaks(sets, forces).max(axis=1), self._margin(sets),
        )  # fmt: skip

    def _peaks(self, sets: Faces, forces: Array) -> Array:
        """Return the peak pressure under every pad of every layout [Pa]."""
        if not self.feet:
            radius = np.interp(self.at, self.beam.at, self.beam.radii)[sets]
            sine, cosine = np.sin(self.saddle.half_angle), np.cos(self.saddle.half_angle)
            width = radius * self.saddle.length * (self.saddle.half_angle + sine * cosine)
            return np.asarray(forces / width)
        # Each foot's peak is a curve over its force: read off at 48 forces, all layouts at once.
        levels = self.weight * np.geomspace(5e-4, 1.0, 48)
        table = np.array([foot.peak(levels) for foot in self.feet])
        n = np.clip(np.searchsorted(levels, forces) - 1, 0, len(levels) - 2)
        share = (forces - levels[n]) / (levels[n + 1] - levels[n])
        return np.asarray(table[sets, n] * (1 - share) + table[sets, n + 1] * share)

    @cached_property
    def _touch(self) -> tuple[Array, Array]:
        """Return how far each place is touched to both sides (n, 2) and how low it is [m]."""
        radius = np.interp(self.at, self.beam.at, self.beam.radii)
        if not self.feet:
            half = radius * np.sin(self.saddle.half_angle)
            low = (self.beam.place(self.at) - self.centre) @ self.down + radius
            return np.stack([half, -half], axis=1), low
        touched = [foot.touched(self.weight / 3)[0] for foot in self.feet]
        plans = [
            self._plumb.seen_from_above(one) - p for one, p in zip(touched, self.plan, strict=True)
        ]
        offsets = [plan @ side for plan, side in zip(plans, self._sides, strict=True)]
        low = np.array([(foot.low - self.centre) @ self.down for foot in self.feet])
        return np.array([[one.max(), one.min()] for one in offsets]), low

    @cached_property
    def _sides(self) -> Array:
        """The level direction across the object at every place, from above (n, 2) [1]."""
        ways = [
            np.interp(self.at, self.beam.at, self.beam.along @ axis) for axis in self._plumb.level
        ]
        way = np.stack(ways, 1)
        way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-12)
        return np.stack([-way[:, 1], way[:, 0]], axis=1)

    def _shares(self, sets: Faces) -> Array:
        """Return each pad's share on equal springs; a saddle resists rolling a little."""
        terms = np.concatenate([np.ones((*sets.shape, 1)), self.plan[sets]], axis=-1)
        size = float(np.abs(self.plan).max())
        terms[..., 1:] /= size
        matrix = terms.transpose(0, 2, 1) @ terms
        roll = float(np.median(self.beam.radii) * np.sin(self.saddle.half_angle)) / size
        matrix[:, 1, 1] += 1e-3 * roll**2
        matrix[:, 2, 2] += 1e-3 * roll**2
        sunk = np.linalg.solve(matrix, np.array([1.0, 0.0, 0.0])[:, None])
        shares = (terms @ sunk)[..., 0]
        shares /= shares.sum(axis=1, keepdims=True)
        in_line, along = self._along_a_line(sets)
        return np.where(in_line[:, None], along, shares)

    def _along_a_line(self, sets: Faces) -> tuple[Flags, Array]:
        """Say which layouts stand in a line as far as their supports reach, and their shares."""
        plan = self.plan[sets]
        middle = plan.mean(axis=1, keepdims=True)
        x, y = np.moveaxis(plan - middle, -1, 0)
        turn = 0.5 * np.arctan2(2 * (x * y).sum(axis=1), (x**2 - y**2).sum(axis=1))
        way = np.stack([np.cos(turn), np.sin(turn)], axis=1)[:, None]
        across = way[..., ::-1] * np.array([-1.0, 1.0])
        aside = np.abs(((plan - middle) * across).sum(axis=2)).max(axis=1)
        aside = np.maximum(aside, np.abs((middle * across).sum(axis=2))[:, 0])
        sides = self._touch[0]
        reach = np.minimum(sides[:, 0], -sides[:, 1])[sets].min(axis=1)
        at = ((plan - middle) * way).sum(axis=2)
        plumb = -(middle * way).sum(axis=2)
        # A single spring under each: what is carried grows evenly along the line.
        shares = 1 / at.shape[1] + at * plumb / (at**2).sum(axis=1, keepdims=True)
        return aside <= reach, shares

    def _stress(self, sets: Faces, forces: Array) -> Array:
        """Return the largest principal stress of each layout [Pa]."""
        normal, shear = self._factors
        unit_normal = np.einsum("csj,spj->csp", self._beyond, normal)
        unit_shear = np.einsum("csj,sj->cs", self._beyond, shear)
        own_normal = np.einsum("sj,spj->sp", self._own, normal)
        own_shear = np.einsum("sj,sj->s", self._own, shear)
        sections, points = own_normal.shape
        found = np.empty(len(sets))
        flat = unit_normal.reshape(len(self.at), -1).astype(np.float32)
        for start in range(0, len(sets), 4096):
            part = slice(start, start + 4096)
            spread = np.zeros((len(sets[part]), len(self.at)), dtype=np.float32)
            np.put_along_axis(spread, sets[part], forces[part].astype(np.float32), axis=1)
            bent = spread @ flat + own_normal.reshape(-1).astype(np.float32)
            pull = bent.reshape(-1, sections, points).max(axis=2)
            twist = spread @ unit_shear.astype(np.float32) + own_shear.astype(np.float32)
            found[part] = (pull / 2 + np.sqrt(pull**2 / 4 + twist**2)).max(axis=1)
        return found

    def _margin(self, sets: Faces) -> Array:
        """Return the least push over the weight, at the height of the centre of gravity."""
        along = self.plan[sets]
        reaches, low = self._touch
        side = self._sides[sets]
        corners = np.concatenate(
            [along + side * reaches[sets][..., :1], along + side * reaches[sets][..., 1:]], axis=1
        )
        angle = 2 * np.pi * np.arange(36) / 36
        ways = np.stack([np.cos(angle), np.sin(angle)])
        # How far the supports reach in a direction bounds how far the plumb line may move there.
        reach = (corners @ ways).max(axis=1).min(axis=1) - self.spread
        foot = low[sets].max(axis=1)
        return np.asarray(np.maximum(reach, 0.0) / np.maximum(foot, 1e-6))
