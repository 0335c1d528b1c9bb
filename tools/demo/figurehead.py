"""The invented figurehead fragment: carved limewood with a check, a loss and old overpaint."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.interpolate import PchipInterpolator

from tools.demo.camera import Array
from tools.demo.features import Blob, Groove
from tools.demo.grain import Grain, between, coloured, grain, soft_step
from tools.demo.lattice import Edges, Lattice, lattice
from tools.demo.piece import Piece

if TYPE_CHECKING:
    from tools.demo.views import View

LOW_MM, HIGH_MM = -150.0, 150.0
LEFT = ((-150, -62), (-120, -78), (-60, -88), (0, -96), (60, -92), (110, -80), (150, -40))
RIGHT = ((-150, 58), (-100, 74), (-40, 86), (20, 84), (80, 92), (120, 70), (150, 22))
SCROLL_MM = np.array([-14.0, 74.0])
SIZE_MM = (420.0, 320.0)


class BoardCarrier:
    """The carved surface: row = mm up along the grain, cross = mm to the right."""

    def points(self, row: Array, cross: Array, height: Array) -> Array:
        """Return points [mm] raised toward the viewer; both ends are broken unevenly."""
        waves = ((7.0, 19.0), (4.0, 7.3), (2.5, 2.9), (1.2, 1.1), (0.6, 0.43))
        step = sum(tall * np.sin(cross / long + 3 * tall) for tall, long in waves)
        up = row + step * soft_step(np.abs(row), 100.0, 150.0) * np.sign(row)
        return np.stack([cross, up, carved(up, cross) + height], axis=-1)


CARRIER = BoardCarrier()

LOSS = Blob("loss", "loss", "splintered away, pale wood open", -62.0, 46.0, 24.0, 9.0, 0.16, 3.5,
            seed=14, turn=0.15)  # fmt: skip
OVERPAINT = Blob("overpaint", "old_tone", "old green overpaint beyond its loss", 12.0, -44.0, 40.0,
                 23.0, 0.2, 0.0, seed=11, turn=-0.3)  # fmt: skip
CHECK = Groove("check", "check", "drying crack along the grain, open at the lower end",
               ((-150, 6), (-90, 9), (-20, 3), (60, 8), (150, 5)), -150.0, 22.0,
               {"before": 2.0}, 14.0, 0.9, opens_at_start=True, seed=31)  # fmt: skip


def carved(row: Array, cross: Array) -> Array:
    """Return the height of the carving over the back [mm]: folds of cloth below a scroll."""
    swell = 36 - 0.0014 * cross**2 - 0.00025 * row**2
    bend = cross + 30 * np.sin((row + 70) / 80) + 0.0022 * (row + 90) ** 2
    phase = bend / 34.0 * np.pi
    folds = 15.0 * np.abs(np.sin(phase / 2)) ** 0.8 + 3.0 * np.sin(phase * 0.63 + row / 50)
    away = np.hypot(cross - SCROLL_MM[0], row - SCROLL_MM[1])
    turn = np.arctan2(row - SCROLL_MM[1], cross - SCROLL_MM[0])
    curl = 13.0 * np.abs(np.sin((turn - 2 * np.pi * away / 29) / 2)) ** 0.7
    in_scroll = soft_step(66 - away, -2.0, 3.0)
    return np.asarray(swell + between(folds, curl + 8.0 - 0.05 * away, in_scroll))


@cache
def _patterns() -> dict[str, Grain]:
    return {
        "rings": grain(41, 90, 1.3, SIZE_MM, 0.25),
        "fibres": grain(42, 7, 0.3, SIZE_MM, 0.25),
        "cuts": grain(43, 6.0, 2.2, SIZE_MM, 0.5),
        "stains": grain(44, 26, 22, SIZE_MM, 0.5),
        "wear": grain(45, 3.0, 0.8, SIZE_MM, 0.25),
        "splinter": grain(46, 9.0, 0.6, SIZE_MM, 0.25),
        "edge": grain(47, 2.0, 2.0, SIZE_MM, 0.25),
    }


def _seen(row: Array, rest: Array) -> dict[str, Array]:
    return {name: field.at(row + 210, rest + 160) for name, field in _patterns().items()}


def _height(row: Array, rest: Array, seen: dict[str, Array]) -> Array:
    loss, paint = LOSS.cover(row, rest, 0.3), OVERPAINT.cover(row, rest, 0.3)
    cuts = 0.45 * np.abs(seen["cuts"]) * (1 - loss)
    fine = (0.06 * seen["fibres"] + 0.05 * seen["rings"]) * (1 - 0.8 * paint)
    dip = soft_step(LOSS.inside_mm(row, rest), 0.0, 2.2) * (LOSS.depth_mm - 0.7 * seen["splinter"])
    return np.asarray(cuts + fine - dip + 0.25 * paint)


def _hollow(row: Array, rest: Array) -> Array:
    # How far a point lies below its neighbours 5 mm around: paint and dust last there.
    around = [carved(row + 5 * np.cos(a), rest + 5 * np.sin(a)) for a in np.arange(0, 6.2, 1.05)]
    return np.asarray(np.clip((np.mean(around, axis=0) - carved(row, rest)) / 2.0, -0.4, 1.0))


def _front(net: Lattice) -> Piece:
    row, rest = net.row, net.rest
    seen = _seen(row, rest)
    points = CARRIER.points(row, net.cross, _height(row, rest, seen) - net.depth_mm)
    loss, paint = LOSS.cover(row, rest, 0.3), OVERPAINT.cover(row, rest, 0.3)
    hollow = _hollow(row, rest)
    tone = 0.5 + 0.13 * seen["rings"] + 0.10 * seen["fibres"] + 0.16 * seen["stains"]
    pale, aged = np.array([0.40, 0.26, 0.135]), np.array([0.10, 0.060, 0.032])
    wood = between(aged, pale, soft_step(tone - 0.55 * hollow + 0.15, -0.2, 1.2)[..., None])
    lasting = 0.30 * seen["wear"] + 1.1 * hollow + 0.75 * seen["stains"] + 0.12 * seen["fibres"]
    wood = coloured(wood, (0.44, 0.39, 0.30), soft_step(lasting, 1.05, 1.45) * 0.7)
    wood = coloured(wood, (0.075, 0.105, 0.115), soft_step(lasting, 1.45, 1.70) * 0.85)
    green = np.array([0.085, 0.135, 0.065]) * (1 + 0.10 * seen["stains"])[..., None]
    wood = between(wood, green, (0.94 * paint)[..., None])
    wood = coloured(wood, (0.62, 0.45, 0.26), loss * (0.9 - 0.12 * np.clip(seen["splinter"], 0, 2)))
    rough = 0.62 - 0.22 * paint + 0.2 * loss
    dark = (1 - 0.85 * net.depth_share)[..., None]
    return Piece(points, wood * dark, 0.4 * wood * dark, rough)


def _side(front: Piece, edge: tuple[Any, ...], seed: int) -> Piece:
    # A broken side goes from the edge of the front down to the back, splintered along the grain.
    top = front.points_mm[edge]
    share = np.linspace(0, 1, 80)[:, None]
    points = np.repeat(top[None], len(share), axis=0).copy()
    points[..., 2] = top[:, 2] * (1 - share)
    splinter = grain(seed, 1.2, 2.2, (120.0, 420.0), 0.25).at(
        points[..., 2] + 20, np.broadcast_to(np.arange(len(top)) * 0.25, points.shape[:2])
    )
    out = top[:, :2] / np.linalg.norm(top[:, :2], axis=-1, keepdims=True)
    points[..., :2] += (np.clip(share * 8, 0, 1) * (1.2 * splinter - 0.8))[..., None] * out
    tone = np.clip(0.75 + 0.12 * splinter, 0.3, 1.2)[..., None]
    colour = np.array([0.34, 0.22, 0.115]) * tone
    return Piece(points, colour, 0.4 * colour, np.full(colour.shape[:2], 0.8))


class Figurehead:
    """The fragment as the demo's pictures and truth see it."""

    name = "figurehead"
    title = "Fragment of a ship's figurehead, limewood with remains of paint (invented)"
    carrier = CARRIER
    grooves = (CHECK,)
    blobs = (LOSS, OVERPAINT)
    rows = (LOW_MM, HIGH_MM)

    def relief_mm(self, row: Array, cross: Array) -> Array:
        """Return how far the surface lies above the carrier, cracks left out [mm]."""
        return _height(row, cross, _seen(row, cross))

    def pieces(self, rows: Array, spacing_mm: float, state: str) -> list[Piece]:
        """Return the carved front and its four broken sides."""
        uneven = _patterns()["edge"]
        steps = [
            1.6 * uneven.at(rows / 5 + 210, np.full_like(rows, at))
            + 0.25 * _patterns()["edge"].at(rows + 210, np.full_like(rows, at))
            for at in (30.0, 200.0)
        ]
        low = PchipInterpolator(*np.array(LEFT).T)(rows) + steps[0]
        high = PchipInterpolator(*np.array(RIGHT).T)(rows) + steps[1]
        counts = tuple(int(95 / spacing_mm) for _ in range(2))
        net = lattice(CARRIER, self.grooves, rows, Edges(low, high), counts, state)
        front = _front(net)
        edges = (np.s_[:, 0], np.s_[:, -1], np.s_[0, :], np.s_[-1, :])
        return [front, *(_side(front, edge, 60 + n) for n, edge in enumerate(edges))]

    def cylinder(self, view: View) -> list[dict[str, Any]]:
        """Return nothing: no part of the fragment is a shaft."""
        return []
