"""What is true of the antler's scans, summed over the description itself, never over the meshes.

A section square to the middle line is a closed outline in its own plane; the volume between two
sections grows by w - u a - v b for each place (u, v) of the section, where w is how far the middle
line runs and a, b how it bends. Everything here is sums of that.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tools.demo.antler import (
    BLOBS,
    CARRIER,
    DEEP,
    GROOVES,
    LOSS,
    TINE_BEND,
    TINE_MM,
    UPRIGHT,
    TineNet,
    relief_height,
    tine_net,
    tine_radius,
)
from tools.demo.body import (
    CHIP_RADIUS_MM,
    CHIP_ROW,
    CHIP_TURN_DEG,
    ROUGH,
    Net,
    chip_centre,
    end_points,
    fine_net,
    shaft_height,
    shaft_net,
)
from tools.demo.camera import Array
from tools.demo.features import area_mm2
from tools.demo.piece import face_points
from tools.demo.truth import crack_truth

Flags = NDArray[np.bool_]

STEP_MM = 0.3
RUN_MM = 1e-3


@dataclass(frozen=True)
class Bulk:
    """A volume [mm3] and its moment [mm4]; bulks add and subtract."""

    volume: float
    moment: Array

    def __add__(self, other: Bulk) -> Bulk:
        """Return both together."""
        return Bulk(self.volume + other.volume, self.moment + other.moment)

    def __sub__(self, other: Bulk) -> Bulk:
        """Return one without the other."""
        return Bulk(self.volume - other.volume, self.moment - other.moment)

    @property
    def centre(self) -> Array:
        """The centre of gravity [mm]."""
        return np.asarray(self.moment / self.volume)


def bends(row: Array) -> tuple[Array, Array, Array]:
    """Return how far the middle line runs for each mm of row, and its bends front and up."""
    _, front, upward = CARRIER.frame(row)
    ahead, behind = CARRIER.middle(row + RUN_MM), CARRIER.middle(row - RUN_MM)
    far = np.linalg.norm(ahead - behind, axis=-1) / (2 * RUN_MM)
    turn = (CARRIER.frame(row + RUN_MM)[0] - CARRIER.frame(row - RUN_MM)[0]) / (2 * RUN_MM)
    return far, np.sum(front * turn, axis=-1), np.sum(upward * turn, axis=-1)


def shaft_bulk(net: Net, state: str, *, with_loss: bool = True) -> Bulk:
    """Return the shaft between its two flat ends."""
    found = shaft_net(net, state)
    height = shaft_height(net, found, with_loss=with_loss)
    radius = CARRIER.radius(net.rows)[:, None]
    u = np.cos(found.cross) * (radius * DEEP + height)
    v = np.sin(found.cross) * (radius * UPRIGHT + height)
    u1, v1 = np.roll(u, -1, axis=1), np.roll(v, -1, axis=1)
    twice = u * v1 - v * u1
    area = twice.sum(axis=1) / 2
    by_u, by_v = (twice * (u + u1)).sum(axis=1) / 6, (twice * (v + v1)).sum(axis=1) / 6
    uu = (twice * (u * u + u * u1 + u1 * u1)).sum(axis=1) / 12
    vv = (twice * (v * v + v * v1 + v1 * v1)).sum(axis=1) / 12
    uv = (twice * (2 * u * v + u * v1 + u1 * v + 2 * u1 * v1)).sum(axis=1) / 24
    far, a, b = bends(net.rows)
    _, front, upward = CARRIER.frame(net.rows)
    size = far * area - a * by_u - b * by_v
    moment = CARRIER.middle(net.rows) * size[:, None]
    moment += front * (far * by_u - a * uu - b * uv)[:, None]
    moment += upward * (far * by_v - a * uv - b * vv)[:, None]
    return Bulk(
        float(np.trapezoid(size, net.rows)), np.trapezoid(moment, net.rows, axis=0)
    )  # fmt: skip


def dips(face: Array, inward: Array) -> Bulk:
    """Return what lies between an uneven broken face and the flat plane of its edge."""
    level = face[0, 0] @ inward
    corners = np.concatenate(
        [np.stack([face[:-1, :-1], face[1:, :-1], face[:-1, 1:]], axis=-2).reshape(-1, 3, 3),
         np.stack([face[:-1, 1:], face[1:, :-1], face[1:, 1:]], axis=-2).reshape(-1, 3, 3)]
    )  # fmt: skip
    edges = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    flat = np.abs(edges @ inward) / 2
    deep = corners @ inward - level
    size = flat * deep.mean(axis=1)
    half = (deep.mean(axis=1) / 2)[:, None] * inward
    return Bulk(float(size.sum()), size @ (corners.mean(axis=1) - half))


def is_in_shaft(points: Array) -> Flags:
    """Say of points whether they lie in the shaft, by its description."""
    row = points[:, 0] + 295.0
    for _ in range(6):
        run = CARRIER.frame(row)[0]
        row = row + np.sum((points - CARRIER.middle(row)) * run, axis=-1)
    _, front, upward = CARRIER.frame(row)
    away = points - CARRIER.middle(row)
    u, v = np.sum(away * front, axis=-1), np.sum(away * upward, axis=-1)
    radius, height = CARRIER.radius(row), np.zeros_like(row)
    for _ in range(4):
        turn = np.arctan2(v / (radius * UPRIGHT + height), u / (radius * DEEP + height))
        height = relief_height(row, turn)
    share = np.hypot(u / (radius * DEEP + height), v / (radius * UPRIGHT + height))
    return np.asarray((share < 1) & (row > 0) & (row < 590))


def tine_bulk() -> Bulk:
    """Return what of the tine stump stands out of the shaft."""
    net = tine_net(STEP_MM, 241)
    along = (net.along[:-1, 0] + net.along[1:, 0]) / 2
    step = net.along[1, 0] - net.along[0, 0]
    turn = (net.turn[0, :-1] + net.turn[0, 1:]) / 2
    radius = (net.radius[:-1, :-1] + net.radius[1:, :-1] + net.radius[:-1, 1:]
              + net.radius[1:, 1:]) / 4  # fmt: skip
    share = (np.arange(50) + 0.5) / 50
    far = 1 + 2 * TINE_BEND * along * net.out[0]
    size = radius**2 * far[:, None] * step * 2 * np.pi / 240
    way = np.cos(turn)[:, None] * net.front + np.sin(turn)[:, None] * net.side
    total = Bulk(0.0, np.zeros(3))
    for number, at in enumerate(along):
        middle = net.base + at * net.out + TINE_BEND * at**2 * np.array([1.0, 0, 0])
        places = middle + share[:, None, None] * radius[number][:, None] * way
        parts = (share[:, None] / 50 * size[number]).reshape(-1)
        places = places.reshape(-1, 3)
        if at < 40:
            parts = parts * ~is_in_shaft(places)
        total += Bulk(float(parts.sum()), parts @ places)
    tip = face_points(net.points[-1], -net.out, ROUGH, net.turn[-1] / (2 * np.pi) + 0.5, 120)[0]
    return total - dips(tip, -net.out)


def body_bulk(state: str) -> Bulk:
    """Return the whole antler, the chip still in place."""
    net = fine_net(STEP_MM)
    found = shaft_net(net, state)
    points = CARRIER.points(found.row, found.cross, shaft_height(net, found))
    whole = shaft_bulk(net, state)
    for end, way in ((0, 1.0), (-1, -1.0)):
        inward = CARRIER.frame(net.rows[end])[0] * way
        whole -= dips(end_points(net, found, points, end, 150), inward)
    return whole + tine_bulk()


def chip_bulk() -> Bulk:
    """Return what broke away over the winter: what of the ball lies in the shaft."""
    centre, radius = chip_centre(), CHIP_RADIUS_MM
    step = 0.15
    line = np.arange(-radius, radius, step) + step / 2
    total = Bulk(0.0, np.zeros(3))
    x = centre[0] + line
    for layer in x:
        grid = np.meshgrid([layer], centre[1] + line, centre[2] + line, indexing="ij")
        places = np.stack(grid, axis=-1).reshape(-1, 3)
        places = places[np.linalg.norm(places - centre, axis=1) < radius]
        places = places[is_in_shaft(places)]
        total += Bulk(step**3 * len(places), step**3 * places.sum(axis=0))
    return total


def void_truth() -> dict[str, Any]:
    """Return what the loss takes: to the surface as it was, to the smooth body, and level."""
    net = fine_net(STEP_MM)
    filled = shaft_bulk(net, "before", with_loss=False) - shaft_bulk(net, "before")
    share, angle = np.meshgrid(
        (np.arange(240) + 0.5) / 240, 2 * np.pi * (np.arange(720) + 0.5) / 720, indexing="ij"
    )
    row, cross = LOSS.at(share, angle)
    floor = CARRIER.points(row, cross, relief_height(row, cross))
    turn = np.linspace(0, 2 * np.pi, 721)[:-1]
    edge_row, edge_cross = LOSS.at(np.ones_like(turn), turn)
    rim = CARRIER.points(edge_row, edge_cross, relief_height(edge_row, edge_cross, BLOBS[:2]))
    run = np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1)
    middle = run @ (np.roll(rim, -1, axis=0) + rim) / 2 / run.sum()
    around = rim - middle
    normal = np.cross(around, np.roll(around, -1, axis=0)).sum(axis=0)
    normal /= np.linalg.norm(normal)
    normal *= np.sign(normal[2])
    heights = around @ normal
    notch = float(heights.min())
    du = np.gradient(floor, axis=0)
    dv = np.gradient(floor, axis=1)
    flat = np.abs(np.cross(du, dv) @ normal)
    deep = (floor - middle) @ normal
    return {
        "name": LOSS.name,
        "volume_mm3": round(filled.volume, 1),
        "level_fill_mm3": round(float((flat * np.clip(notch - deep, 0, None)).sum()), 1),
        "level_below_rim_mm": round(-notch, 2),
        "deepest_mm": round(float(-deep.min()), 2),
        "mouth_on_the_surface_mm2": round(area_mm2(CARRIER, LOSS), 1),
        "rim_mm": np.round(rim[::60], 2).tolist(),
        "inside_mm": np.round(floor[0, 0], 2).tolist(),
    }  # fmt: skip


def crack_truths() -> list[dict[str, Any]]:
    """Return each crack's length before and after, and places along its middle on the surface."""
    found = []
    for groove in GROOVES:
        rows = np.linspace(groove.start, groove.end, 25)
        centre = groove.centre(rows)
        states = crack_truth(Thing(), groove)["states"]
        found.append({
            "name": groove.name,
            "length_mm": {s: told["length_mm"] for s, told in states.items() if told["exists"]},
            "places_mm": np.round(
                CARRIER.points(rows, centre, relief_height(rows, centre)), 2).tolist(),
        })  # fmt: skip
    return found


class Thing:
    """The carrier alone, as the truth of cracks asks for it."""

    carrier = CARRIER
    grooves = GROOVES
    blobs = BLOBS

    def relief_mm(self, row: Array, cross: Array) -> Array:
        """Return the relief [mm]."""
        return relief_height(row, cross)


def diameters() -> list[dict[str, Any]]:
    """Return the least and greatest breadth of the smooth body's section at stations."""
    turn, found = np.linspace(-np.pi, np.pi, 1441), []
    for row in (60.0, 200.0, 300.0, 400.0, 500.0, 570.0):
        radius = float(CARRIER.radius(np.array(row)))
        u, v = np.cos(turn) * radius * DEEP, np.sin(turn) * radius * UPRIGHT
        ways = np.linspace(0, np.pi, 181)
        wide = [np.ptp(u * np.cos(way) + v * np.sin(way)) for way in ways]
        found.append({
            "along_mm": row,
            "middle_mm": np.round(CARRIER.middle(np.array(row)), 3).tolist(),
            "least_mm": round(float(min(wide)), 3),
            "greatest_mm": round(float(max(wide)), 3),
        })  # fmt: skip
    return found


def area_mm2_at(step_mm: float) -> float:
    """Return the area of the whole on a net of a given step, cracks as deep as they are seen."""
    net, tine = fine_net(step_mm), tine_net(step_mm, int(2 * np.pi * 16 / step_mm))
    found = shaft_net(net, "before")
    points = CARRIER.points(found.row, found.cross, shaft_height(net, found))
    rings = int(30 / step_mm)
    tip = face_points(
        tine.points[-1], -tine.out, ROUGH, tine.turn[-1] / (2 * np.pi) + 0.5, rings // 2
    )[0]
    middles, areas = _cells(points)
    total = float(areas @ ~_is_in_tine(middles, tine))
    middles, areas = _cells(tine.points)
    total += float(areas @ ~is_in_shaft(middles))
    faces = [end_points(net, found, points, end, rings) for end in (0, -1)]
    return total + sum(float(_cells(face)[1].sum()) for face in (*faces, tip))


def _cells(net: Array) -> tuple[Array, Array]:
    """Return the middle and the area of every cell of a net."""
    a, b = net[1:, :-1] - net[:-1, :-1], net[:-1, 1:] - net[:-1, :-1]
    c, d = net[:-1, 1:] - net[1:, 1:], net[1:, :-1] - net[1:, 1:]
    both = np.linalg.norm(np.cross(a, b), axis=-1) + np.linalg.norm(np.cross(c, d), axis=-1)
    middles = (net[1:, :-1] + net[:-1, 1:] + net[:-1, :-1] + net[1:, 1:]) / 4
    return middles.reshape(-1, 3), both.reshape(-1) / 2


def _is_in_tine(points: Array, tine: TineNet) -> Flags:
    """Say of points whether they lie in the stump."""
    away = points - tine.base
    high, lean = away @ tine.out, TINE_BEND * tine.out[0]
    along = high
    for _ in range(6):
        along = high - lean * along**2
    away = away - (TINE_BEND * along**2)[:, None] * np.array([1.0, 0, 0])
    u, v = away @ tine.front, away @ tine.side
    radius = tine_radius(along, np.arctan2(v, u))[0]
    return np.asarray((np.hypot(u, v) < radius) & (along > -18) & (along < TINE_MM))


def chip_truth() -> dict[str, Any]:
    """Return the chip: its volume, its middle on the surface, how deep it reaches."""
    row, turn = np.array(CHIP_ROW), np.array(np.radians(CHIP_TURN_DEG))
    return {
        "volume_mm3": round(chip_bulk().volume, 1),
        "middle_mm": np.round(CARRIER.points(row, turn, np.array(0.0)), 2).tolist(),
        "radius_of_the_ball_mm": CHIP_RADIUS_MM,
    }
