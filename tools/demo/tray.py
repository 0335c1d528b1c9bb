"""Draws the demo's tray of flakes and the close-up of the losses that some of them came from.

    python -m tools.demo.tray src/softmend/demo/fragments

Both are drawn from height fields with a fixed seed; nothing here is a real object.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import math
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

from benchmarks.drawn.breakage import broken_outline, worn
from tools.demo.camera import Array

SEED, PX_PER_MM, FINE = 1907, 24.0, 4
WEAR_MM, DEEP_MM, THICK_MM = 0.2, 0.9, 0.8
SURFACE_MM, TRAY_MM = (72.0, 48.0), (76.0, 56.0)
LIGHT = np.array([-0.45, -0.55, 0.70])
QUALITY = 86
LOSSES = {
    "A": (15.0, (15.0, 12.0)),
    "B": (11.0, (36.0, 10.5)),
    "C": (13.0, (57.0, 14.0)),
    "D": (17.0, (22.0, 32.0)),
    "E": (12.0, (49.0, 31.0)),
}
"""The longest side of each loss and where its middle lies on the surface, both in mm."""

LYING = {
    "1": ("A", (12.0, 12.0)),
    "2": ("", (34.0, 11.0)),
    "3": ("C", (57.0, 13.0)),
    "4": ("B", (13.0, 33.0)),
    "5": ("", (37.0, 32.0)),
    "6": ("D", (60.0, 34.0)),
}
"""Which loss each flake came from ("" for none of them) and where it lies on the tray, in mm."""


@dataclass(frozen=True)
class Flake:
    """One flake: where its outline was on the surface [mm], and how it was laid on the tray."""

    outline_mm: Array
    turn: float
    place_mm: tuple[float, float]
    surface: Array

    def laid(self) -> Array:
        """Return its outline on the tray [mm]."""
        turned = (self.outline_mm - self.middle) @ turning(self.turn)
        return np.asarray(turned + np.array(self.place_mm))

    @property
    def middle(self) -> Array:
        """Return the middle of its outline on the surface [mm]."""
        return np.asarray(self.outline_mm.mean(axis=0))


def turning(angle: float) -> Array:
    """Return the matrix that turns rows of points."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[cos, sin], [-sin, cos]])


def pixels(size_mm: tuple[float, float]) -> tuple[int, int]:
    """Return rows and columns of a picture."""
    return round(size_mm[1] * PX_PER_MM), round(size_mm[0] * PX_PER_MM)


def uneven(rng: np.random.Generator, shape: tuple[int, int], along: float, across: float) -> Array:
    """Return a field of mean 0 and deviation 1 whose spots are stretched along the rows [mm]."""
    white = rng.standard_normal(shape)
    soft = gaussian_filter(white, (across * PX_PER_MM, along * PX_PER_MM), mode="wrap")
    return np.asarray(soft / soft.std())


def bark(rng: np.random.Generator) -> tuple[Array, Array]:
    """Return colour (linear, 0 to 1) and height [mm] of the outer layer: furrows along the beam."""
    shape = pixels(SURFACE_MM)
    furrows = uneven(rng, shape, 9.0, 0.35)
    broad = uneven(rng, shape, 14.0, 2.2)
    grain = uneven(rng, shape, 0.3, 0.06)
    dirt = np.clip(furrows - 0.6, 0, 2)
    height = -0.05 * np.clip(furrows, -1, 2.5) + 0.004 * grain + 0.03 * broad
    tone = 0.42 + 0.035 * broad - 0.085 * dirt + 0.018 * grain
    colour = np.stack([tone, tone * 0.80, tone * 0.57], axis=-1)
    return np.clip(colour, 0.03, 0.95), height


def cover(outline_mm: Array, shape: tuple[int, int]) -> Array:
    """Return how much of each pixel an outline covers, 0 to 1."""
    mask = np.zeros((shape[0] * FINE, shape[1] * FINE), np.uint8)
    ring = np.round((outline_mm * PX_PER_MM * FINE - 0.5) * 16).astype(np.int32)
    cv2.fillPoly(mask, [ring], 255, shift=4)
    return np.asarray(cv2.resize(mask, shape[::-1], interpolation=cv2.INTER_AREA) / 255.0)


def lit(colour: Array, height: Array) -> Array:
    """Return a surface under a soft light from the upper left."""
    down, right = np.gradient(height * PX_PER_MM)
    facing = (-LIGHT[0] * right - LIGHT[1] * down + LIGHT[2]) / np.sqrt(1 + right**2 + down**2)
    return np.asarray(colour * (0.35 + 0.75 * np.clip(facing, 0, None))[..., None])


def lost(colour: Array, height: Array, outlines: list[Array], rng: np.random.Generator) -> Array:
    """Return the surface with its losses: porous bone lies open in them."""
    shape = height.shape
    pores = uneven(rng, shape, 0.22, 0.2)
    bone = np.stack([0.30 + 0.05 * pores, 0.215 + 0.04 * pores, 0.13 + 0.03 * pores], axis=-1)
    covers = [cover(outline, shape) for outline in outlines]
    open_ = np.clip(sum(covers), 0, 1)
    walls = gaussian_filter(open_, 0.10 * PX_PER_MM)
    deep = height * (1 - open_) - walls * DEEP_MM * 0.5 - open_ * 0.05 * pores
    seen = lit(colour * (1 - open_[..., None]) + bone * open_[..., None], deep)
    # Inside, near the wall, less of the room's light arrives.
    inner = np.clip(gaussian_filter(1 - open_, 0.5 * PX_PER_MM) * 1.6, 0, 1) * open_
    return np.asarray(seen * (1 - 0.55 * inner)[..., None])


def tray(flakes: dict[str, Flake], rng: np.random.Generator) -> Array:
    """Return the tray: flakes on dark foam."""
    shape = pixels(TRAY_MM)
    foam = 0.018 + 0.0022 * uneven(rng, shape, 0.25, 0.25)
    seen = np.stack([foam, foam * 1.02, foam * 1.08], axis=-1)
    down, across = np.indices(shape) + 0.5
    for flake in flakes.values():
        laid = flake.laid()
        covered = cover(laid, shape)
        back = np.stack([across, down], axis=-1) / PX_PER_MM - np.array(flake.place_mm)
        source = (back @ turning(flake.turn).T + flake.middle) * PX_PER_MM - 0.5
        at = source.astype(np.float32)
        face = cv2.remap(flake.surface.astype(np.float32), at[..., 0], at[..., 1],
                         cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)  # fmt: skip
        rim = np.clip((covered - gaussian_filter(covered, 0.10 * PX_PER_MM)) * 2, 0, 1)
        body = face[..., :3] * (1 - rim[..., None]) + np.array([0.52, 0.43, 0.30]) * rim[..., None]
        domed = face[..., 3] + THICK_MM * 0.3 * gaussian_filter(covered, 0.12 * PX_PER_MM)
        fallen = np.roll(gaussian_filter(covered, 0.5 * PX_PER_MM), (10, 8), (0, 1))
        seen *= (1 - 0.5 * fallen * (1 - covered))[..., None]
        seen = seen * (1 - covered[..., None]) + lit(body, domed) * covered[..., None]
    return seen


def with_bar(seen: Array, left_mm: float, top_mm: float, length_mm: float) -> dict[str, Any]:
    """Draw a bar of black and white centimetres into a picture; return its two upper corners."""
    shape = seen.shape[:2]
    for part in range(round(length_mm / 10)):
        left = left_mm + 10.0 * part
        box = np.array([[0, 0], [10, 0], [10, 2.6], [0, 2.6]]) + np.array([left, top_mm])
        over = cover(box, shape)[..., None]
        seen[:] = seen * (1 - over) + (0.75 if part % 2 == 0 else 0.12) * over
    ends = np.array([[left_mm, top_mm], [left_mm + length_mm, top_mm]]) * PX_PER_MM
    return {"length_mm": length_mm, "ends_px": np.round(ends, 3).tolist()}


def developed(linear: Array, rng: np.random.Generator) -> Array:
    """Return the 8-bit picture: lens blur, sRGB curve, fine grain."""
    soft = gaussian_filter(np.clip(linear * 1.25, 0, 1), (0.6, 0.6, 0))
    coded = np.where(
        soft <= 0.0031308, 12.92 * soft, 1.055 * np.maximum(soft, 1e-9) ** (1 / 2.4) - 0.055
    )
    grain = rng.normal(0, 1.2, coded.shape[:2])[..., None]
    return np.asarray(np.clip(coded * 255 + grain + 0.5, 0, 255).astype(np.uint8))


def write(picture: Array, shows: str, path: Path) -> dict[str, Any]:
    """Write a JPEG that says it is invented; return its name and size for the truth."""
    exif = Image.Exif()
    exif[0x010E] = f"{shows}. Invented object, drawn."
    exif[0x0131] = "tools/demo/tray.py"
    Image.fromarray(picture).save(path, "JPEG", quality=QUALITY, subsampling=0, exif=exif)
    rows, columns = picture.shape[:2]
    return {
        "file": path.name,
        "shows": shows,
        "width_px": columns,
        "height_px": rows,
        "px_per_mm": PX_PER_MM,
    }


def whole(outline: Array) -> Array:
    """Return an outline that crosses itself nowhere: its largest part."""
    from shapely import Polygon

    shape: Any = Polygon(outline).buffer(0)
    parts = shape.geoms if shape.geom_type != "Polygon" else (shape,)
    return np.asarray(max(parts, key=lambda part: part.area).exterior.coords)[:-1]


def half_of(outline: Array) -> Array:
    """Return the part of an outline on one side of an uneven break through its middle."""
    from shapely import LineString, Polygon, ops

    rng = np.random.default_rng(SEED + 3)
    x = np.linspace(-0.03, 0.03, 60)
    cut = np.column_stack([x, 4e-4 * np.cumsum(rng.standard_normal(60))])
    cut[:, 1] -= np.interp(0.0, x, cut[:, 1])
    pieces = ops.split(Polygon(outline).buffer(0), LineString(cut @ turning(0.9))).geoms
    return np.asarray(max(pieces, key=lambda piece: piece.area).exterior.coords)[:-1]


def main() -> int:
    """Draw both pictures and their truth into the folder that is named."""
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(SEED)
    colour, height = bark(rng)
    other = np.dstack(bark(np.random.default_rng(SEED + 1)))
    own = np.dstack([colour, height])
    broken = {name: whole(broken_outline(size, rng)) for name, (size, _) in LOSSES.items()}
    losses = {name: outline * 1e3 + np.array(LOSSES[name][1]) for name, outline in broken.items()}
    flakes = {}
    for name, (seat, place) in LYING.items():
        piece = broken[seat] if seat else broken_outline(float(rng.uniform(9, 14)), rng)
        outline = worn(half_of(piece) if seat == "D" else piece, WEAR_MM, rng) * 1e3
        outline = outline + np.array(LOSSES[seat][1] if seat else (36.0, 24.0))
        turn = float(rng.uniform(0, 2 * math.pi))
        flakes[name] = Flake(outline, turn, place, own if seat else other)
    surface = lost(colour, height, list(losses.values()), rng)
    surface_bar = with_bar(surface, 11.0, 43.6, 50.0)
    laid = tray(flakes, rng)
    tray_bar = with_bar(laid, 13.0, 50.6, 50.0)
    truth = {
        "invented": "Everything here is invented and drawn by tools/demo/tray.py.",
        "surface": write(
            developed(surface, rng), "the beam beside the burr, close", folder / "losses.jpg"
        )
        | {"scale_bar": surface_bar, "losses": {name: _px(ring) for name, ring in losses.items()}},
        "tray": write(
            developed(laid, rng), "tray of loose flakes from under the beam", folder / "tray.jpg"
        )
        | {
            "scale_bar": tray_bar,
            "flakes": {name: _px(flake.laid()) for name, flake in flakes.items()},
            "seat_of": {name: seat for name, (seat, _) in LYING.items()},
            "turned_rad": {name: round(flake.turn, 4) for name, flake in flakes.items()},
        },
    }
    (folder / "truth.json").write_text(json.dumps(truth) + "\n", "utf-8")
    return 0


def _px(ring_mm: Array) -> list[list[float]]:
    return list(np.round(ring_mm * PX_PER_MM, 1).tolist())


if __name__ == "__main__":
    raise SystemExit(main())
