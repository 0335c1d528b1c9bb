"""The invented antler beam: a bent, tapering shaft with burr, tine stump, old fill and cracks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.interpolate import PchipInterpolator

from tools.demo.camera import Array, unit
from tools.demo.features import Blob, Groove
from tools.demo.grain import Grain, between, coloured, grain, soft_step
from tools.demo.lattice import Edges, Lattice, lattice
from tools.demo.piece import Piece, broken_face

if TYPE_CHECKING:
    from tools.demo.views import View

LENGTH_MM = 590.0
RADII = np.array(
    [(0, 25), (12, 26), (21, 39), (28, 43), (36, 41), (50, 35), (90, 32.5), (300, 29.5),
     (480, 28.5), (590, 30)]
)  # fmt: skip
UPRIGHT, DEEP = 1.02, 0.98
"""Half axes of the section as shares of the radius."""
TINE_ROW, TINE_TURN_DEG, TINE_MM = 152.0, 96.0, 52.0
TINE_BEND = 0.0026
ROUND_MM = 200.0
"""One turn round the beam in the patterns' own measure, near enough to the true one."""

RESIN = np.array([0.46, 0.29, 0.10])
VARNISH_GLOW = np.array([0.115, 0.150, 0.170])


def deg(*knots: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Return knots of row and angle with the angle in radians."""
    return tuple((row, float(np.radians(turn))) for row, turn in knots)


class AntlerCarrier:
    """The beam without relief: row = mm along it from the burr, cross = angle up from the front."""

    def middle(self, row: Array) -> Array:
        """Return points of the middle line [mm]."""
        share = (row - LENGTH_MM / 2) / (LENGTH_MM / 2)
        return np.stack([row - LENGTH_MM / 2, 16 - 24 * share**2, -9 * share**2], axis=-1)

    def radius(self, row: Array) -> Array:
        """Return the radius of the section [mm]."""
        return np.asarray(PchipInterpolator(*RADII.T)(np.clip(row, 0, LENGTH_MM)))

    def frame(self, row: Array) -> tuple[Array, Array, Array]:
        """Return the directions along, to the front and upward, square to each other."""
        run = self.middle(row + 0.01) - self.middle(row - 0.01)
        run /= np.linalg.norm(run, axis=-1, keepdims=True)
        front = np.array([0.0, 0.0, 1.0]) - run[..., 2:] * run
        front /= np.linalg.norm(front, axis=-1, keepdims=True)
        return run, front, np.cross(front, run)

    def points(self, row: Array, cross: Array, height: Array) -> Array:
        """Return points [mm], raised square to the middle line."""
        _, front, upward = self.frame(row)
        radius = self.radius(row)
        out_front = np.cos(cross) * (radius * DEEP + height)
        out_up = np.sin(cross) * (radius * UPRIGHT + height)
        around = front * out_front[..., None] + upward * out_up[..., None]
        return np.asarray(self.middle(row) + around)


CARRIER = AntlerCarrier()


def _blob(blob: Blob) -> Blob:
    return replace(blob, metric=float(CARRIER.radius(np.array(blob.row))))


FILL = _blob(Blob("fill", "old_fill", "hard resin of an old repair, yellowed", 265.0,
                  np.radians(-14.0), 54.0, 9.0, 0.10, 0.0, seed=5))  # fmt: skip
LIFTING = _blob(Blob("lifting", "lifting", "varnish that stands free and is whitish", 462.0,
                     np.radians(37.0), 34.0, 10.0, 0.20, 0.0, seed=8))  # fmt: skip
LOSS = _blob(Blob("loss", "loss", "old loss of the outer layer, porous bone open", 98.0,
                  np.radians(-9.0), 15.0, 9.0, 0.17, 2.6, seed=3))  # fmt: skip
BLOBS = (FILL, LIFTING, LOSS)


def _upper_edge_of_the_fill() -> tuple[tuple[float, float], ...]:
    row, cross = FILL.at(np.array(1.0), np.radians(np.linspace(165, 15, 151)))
    on_the_edge = tuple(zip(row.tolist(), cross.tolist(), strict=True))
    return (*on_the_edge, *deg((400, -12), (LENGTH_MM, -12)))


GROOVES = (
    Groove("crack 2", "crack", "fine crack below the middle", deg((330, -40), (390, -32),
           (450, -27), (520, -24)), 384, 478, {"before": 0.55, "after": 0.55}, 4.0, 0.02, seed=21),
    Groove("shrinkage gap", "shrinkage_gap", "the fill drew back from the bone along its upper "
           "edge", _upper_edge_of_the_fill(), 228, 300, {"before": 0.40, "after": 0.40}, 2.0,
           seed=22),
    Groove("crack 4", "crack", "new after the dry winter", deg((300, 10), (395, 9), (430, 4),
           (480, 1)), 398, 468, {"before": 0.0, "after": 0.45}, 3.0, 0.018, seed=23),
    Groove("crack 1", "crack", "long drying crack on the front", deg((90, 23), (150, 27),
           (220, 19), (300, 25), (370, 31)), 118, 348, {"before": 1.20, "after": 1.75}, 9.0,
           0.02, seed=24),
    Groove("crack 3", "crack", "drying crack on the upper side", deg((190, 63), (250, 70),
           (330, 66), (400, 72)), 206, 352, {"before": 0.80, "after": 0.80}, 6.0, 0.02, seed=25),
)  # fmt: skip


class Antler:
    """The beam as the demo's pictures and truth see it."""

    name = "antler"
    title = "Antler beam of a giant deer, right, sub-fossil (invented)"
    carrier = CARRIER
    grooves = GROOVES
    blobs = BLOBS
    rows = (0.0, LENGTH_MM)

    def relief_mm(self, row: Array, cross: Array) -> Array:
        """Return how far the surface lies above the carrier, cracks left out [mm]."""
        return _height(row, cross, _seen(row, cross))

    def pieces(self, rows: Array, spacing_mm: float, state: str) -> list[Piece]:
        """Return the beam, its two broken ends and its tine stump."""
        turn = np.full_like(rows, np.pi)
        middles = [float(groove.centre(rows).mean()) for groove in GROOVES]
        gaps = np.diff([-np.pi, *middles, np.pi]) * 30 / spacing_mm
        counts = tuple(int(gap) + 8 for gap in gaps)
        net = lattice(CARRIER, GROOVES, rows, Edges(-turn, turn), counts, state)
        beam = _beam(net)
        rough = grain(77, 0.8, 0.8, (120, 120), 0.25)
        ends = []
        for end, inward in ((0, 1.0), (-1, -1.0)):
            edge = Piece(*(part[end] for part in vars(beam).values()))
            run = CARRIER.frame(rows[end])[0] * inward
            ends.append(broken_face(edge.points_mm, run, rough, edge))
        return [beam, *ends, *_tine(rough)]

    def cylinder(self, view: View) -> list[dict[str, Any]]:
        """Return the shaft's true axis, outline and diameters where the picture shows it."""
        row = np.linspace(70, 570, 11)
        axis, run = CARRIER.middle(row), CARRIER.frame(row)[0]
        lens, camera = np.array(view.camera.position_mm), view.camera
        turn = np.linspace(-np.pi, np.pi, 3601)
        found = []
        for number, at in enumerate(row):
            ring = CARRIER.points(np.full_like(turn, at), turn, np.zeros_like(turn))
            way = camera.project(axis[number] + run[number] * np.array([[-1.0], [1.0]]))
            side = unit(np.array([-(way[1] - way[0])[1], (way[1] - way[0])[0]]))
            seen = camera.project(ring)
            across = (seen - camera.project(axis[number])) @ side
            edges = seen[[int(across.argmin()), int(across.argmax())]]
            wide = unit(np.cross(lens - axis[number], run[number]))
            away = (ring - axis[number]) @ wide
            if not camera.is_inside(edges).all():
                continue
            found.append({
                "along_mm": round(float(at), 2),
                "axis_px": np.round(camera.project(axis[number]), 2).tolist(),
                "outline_px": np.round(edges, 2).tolist(),
                "diameter_across_mm": round(float(away.max() - away.min()), 3),
                "camera_to_axis_mm": round(float(np.linalg.norm(np.cross(
                    lens - axis[number], run[number]))), 2),
                "camera_to_surface_mm": round(float(np.linalg.norm(lens - ring, axis=1).min()), 2),
            })  # fmt: skip
        return found


@cache
def _patterns() -> dict[str, Grain]:
    size = (640.0, ROUND_MM)
    return {
        "streaks": grain(1, 13, 0.8, size, 0.25),
        "vessels": grain(10, 46, 4.2, size, 0.25),
        "waves": grain(2, 38, 4.0, size, 0.5),
        "pearls": grain(3, 1.5, 1.1, size, 0.25),
        "pits": grain(4, 1.2, 0.3, size, 0.25),
        "knobs": grain(5, 3.0, 3.4, size, 0.5),
        "stains": grain(6, 34, 9.0, size, 0.5),
        "flecks": grain(7, 4.5, 1.6, size, 0.25),
        "flakes": grain(9, 1.5, 1.5, size, 0.25),
    }


def _seen(row: Array, rest: Array) -> dict[str, Array]:
    around = (rest / (2 * np.pi) + 0.5) * ROUND_MM
    return {name: field.at(row, around) for name, field in _patterns().items()}


def relief_height(row: Array, rest: Array, blobs: tuple[Blob, ...] = BLOBS) -> Array:
    """Return how far the surface lies above the carrier, cracks left out, with some areas [mm]."""
    return _height(row, rest, _seen(row, rest), blobs)


def _height(
    row: Array, rest: Array, seen: dict[str, Array], blobs: tuple[Blob, ...] = BLOBS
) -> Array:
    fill, lifting, loss = (
        blob.cover(row, rest, 0.25) if blob in blobs else np.zeros_like(row) for blob in BLOBS
    )
    height = _relief(row, seen) * (1 - 0.92 * fill) * (1 - 0.8 * loss) + 0.30 * fill
    height += lifting * (0.22 + 0.30 * np.clip(seen["flakes"], -0.5, 1.5))
    dip = soft_step(LOSS.inside_mm(row, rest), 0.0, 1.6) if LOSS in blobs else 0.0
    return np.asarray(height - dip * LOSS.depth_mm + loss * 0.22 * _pitted(seen))


def _pitted(seen: dict[str, Array]) -> Array:
    return np.clip(seen["pits"] + 0.4 * seen["flecks"], -2, 2)


def _beam(net: Lattice) -> Piece:
    row, rest = net.row, net.rest
    seen = _seen(row, rest)
    points = CARRIER.points(row, net.cross, _height(row, rest, seen) - net.depth_mm)
    fill, lifting, loss = (blob.cover(row, rest, 0.25) for blob in BLOBS)
    cracked = (np.abs(seen["flakes"]) < 0.16) * 1.0
    paler = loss * (0.85 - 0.3 * np.clip(_pitted(seen), 0, 1.5))
    colour = coloured(_bone(seen, _relief(row, seen)), (0.52, 0.37, 0.22), paler)
    bubbles = np.clip(seen["flakes"] - 1.9, 0, 1)
    resin = np.clip(1 + 0.14 * seen["stains"] + 0.05 * seen["flecks"] - 0.5 * bubbles, 0.5, 1.3)
    colour = between(colour, resin[..., None] * RESIN, fill[..., None])
    rim = np.exp(-((FILL.inside_mm(row, rest) / 0.45) ** 2))
    colour = coloured(colour, (0.06, 0.04, 0.02), 0.45 * rim)
    colour = coloured(colour, (0.55, 0.49, 0.38), lifting * (0.62 - 0.45 * cracked))
    glow = np.clip(1 + 0.12 * seen["stains"] + 0.10 * seen["streaks"], 0.4, 1.7)
    glow = glow[..., None] * VARNISH_GLOW
    glow = coloured(glow, (0.16, 0.21, 0.42), loss * 0.9)
    glow = coloured(glow, (0.62, 0.66, 0.22), fill * 0.95)
    glow = coloured(glow, (0.10, 0.14, 0.34), lifting * (0.8 - 0.5 * cracked))
    rough = 0.46 + 0.05 * seen["flecks"] - 0.18 * fill + 0.34 * loss + 0.30 * lifting
    dark = (1 - 0.82 * net.depth_share)[..., None]
    return Piece(points, colour * dark, glow * dark, np.clip(rough + net.depth_share, 0.2, 0.9))


def _relief(row: Array, seen: dict[str, Array]) -> Array:
    near_burr = np.exp(-np.clip(row - 30, 0, None) / 70)
    pearls = np.clip(seen["pearls"] - 0.7, 0, None) * 0.55 * near_burr
    knobs = np.exp(-(((row - 29) / 8) ** 2)) * np.clip(seen["knobs"] + 0.2, -0.6, None) * 1.9
    fine = 0.055 * seen["streaks"] + 0.30 * seen["waves"] + 0.025 * np.clip(seen["pits"], -2, 1)
    grains = 0.10 * np.clip(seen["pearls"], -0.5, 2) * (0.3 + 0.7 * near_burr)
    return np.asarray(fine + pearls + knobs + grains - 0.55 * _vessels(seen))


def _vessels(seen: dict[str, Array]) -> Array:
    # Furrows of the blood vessels in the velvet run where this slow field passes through zero.
    return np.asarray(np.exp(-((seen["vessels"] / 0.13) ** 2)))


def _bone(seen: dict[str, Array], relief: Array) -> Array:
    share = 0.5 + 0.22 * seen["stains"] + 0.07 * seen["streaks"] + 0.10 * seen["flecks"]
    share += 0.45 * np.clip(relief, -0.8, 0.8) - 0.25 * _vessels(seen)
    pale, dark = np.array([0.40, 0.275, 0.165]), np.array([0.115, 0.066, 0.034])
    bone = between(dark, pale, soft_step(share, -0.3, 1.3)[..., None])
    dirt = np.clip(-seen["pits"] - 1.1, 0, 1) * 0.6
    return coloured(bone, (0.045, 0.028, 0.016), dirt)


@dataclass(frozen=True)
class TineNet:
    """The tine stump's net: mm along it, turn, relief, points [mm], and its own directions."""

    along: Array
    turn: Array
    radius: Array
    relief: Array
    points: Array
    base: Array
    out: Array
    front: Array
    side: Array


def tine_radius(along: Array, turn: Array) -> tuple[Array, Array]:
    """Return the stump's radius and the relief in it [mm]."""
    seen = _seen(along + 300, turn)
    relief = 0.16 * seen["streaks"] + 0.2 * seen["waves"] + 0.25 * np.clip(seen["pearls"], 0, 2)
    radius = 14.0 - 0.05 * along + 8.0 * np.exp(-np.clip(along + 9, 0, None) / 9.0) + relief
    return radius, relief


def tine_net(step_mm: float, columns: int) -> TineNet:
    """Return the stump from inside the beam to its broken end."""
    end = TINE_MM - 0.25
    rows = np.linspace(-18, end, round((end + 18) / step_mm) + 1)
    along, turn = np.meshgrid(rows, np.linspace(-np.pi, np.pi, columns), indexing="ij")
    row, lean = np.array(TINE_ROW), np.radians(TINE_TURN_DEG)
    base = CARRIER.points(row, lean, np.array(0.0))
    out = base - CARRIER.middle(row)
    out = out / np.linalg.norm(out) + np.array([0.28, 0.0, 0.10])
    out /= np.linalg.norm(out)
    side = np.cross(out, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side)
    front = np.cross(side, out)
    radius, relief = tine_radius(along, turn)
    bend = (TINE_BEND * along**2)[..., None] * np.array([1.0, 0, 0])
    points = base + along[..., None] * out + bend
    points = points + radius[..., None] * (
        np.cos(turn)[..., None] * front + np.sin(turn)[..., None] * side
    )
    return TineNet(along, turn, radius, relief, points, base, out, front, side)


def _tine(rough: Grain) -> list[Piece]:
    net = tine_net(0.25, 300)
    colour = _bone(_seen(net.along + 300, net.turn), net.relief)
    glow = np.broadcast_to(VARNISH_GLOW, net.points.shape)
    stump = Piece(net.points, colour, glow, np.full(net.turn.shape, 0.46))
    edge = Piece(*(part[-1] for part in vars(stump).values()))
    return [stump, broken_face(edge.points_mm, -net.out, rough, edge)]
