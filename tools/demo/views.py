"""The pictures of the demo: from where each is taken, in which light, in which state."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tools.demo.antler import CARRIER, GROOVES
from tools.demo.camera import Camera, Vector, unit
from tools.demo.props import LONG, SHORT, Card

ANTLER_CARD = "Antler beam, right"
WOOD_CARD = "Figurehead fragment"
FRONT_PLANE_MM = 29.0
"""The cards of the front views stand this far before the middle of the beam: at its front line."""
TOP_PLANE_MM = 46.0
FLOOR_MM = -140.0


@dataclass(frozen=True)
class Box:
    """A plain dark block that holds something, from corner to corner [mm]."""

    low: Vector
    high: Vector


@dataclass(frozen=True)
class View:
    """One picture; `azimuth_deg` of a raking light counts from the right, against the clock."""

    file: str
    thing: str
    shows: str
    view: str
    light: str
    state: str
    taken_at: str
    camera: Camera
    card: Card
    boxes: tuple[Box, ...]
    row_window: tuple[float, float] | None = None
    light_from: str | None = None


CRADLES = (
    Box((-247.0, FLOOR_MM, -26.0), (-203.0, -37.5, 26.0)),
    Box((203.0, FLOOR_MM, -26.0), (247.0, -32.5, 26.0)),
)
FRONT = Camera((0.0, -28.0, 1529.0), (0.0, -28.0, 0.0), (0.0, 1.0, 0.0), 6818.0, 3000, 1500)
MOVED = Camera((3.4, -30.2, 1536.0), (1.6, -28.9, 0.0), (0.004, 1.0, 0.0), 6818.0, 3000, 1500)
ABOVE = Camera((0.0, 1546.0, 25.0), (0.0, 0.0, 25.0), (0.0, 0.0, -1.0), 6818.0, 3000, 1500)
FRONT_CARD = Card(LONG, (0.0, FLOOR_MM + 40.0, FRONT_PLANE_MM), (1, 0, 0), (0, 1, 0), ANTLER_CARD)
ABOVE_CARD = Card(LONG, (0.0, TOP_PLANE_MM, 96.0), (1, 0, 0), (0, 0, -1), ANTLER_CARD)
BENCH = Box((-125.0, FLOOR_MM, 52.0), (125.0, TOP_PLANE_MM - 0.5, 140.0))
DETAIL_STANDOFF_MM = 4.0
"""The small card of the detail lies this far behind the middle of crack 1."""


def _detail() -> tuple[Camera, Card]:
    row = np.array(222.0)
    cross = GROOVES[3].centre(row)
    spot = CARRIER.points(row, cross, np.array(0.0))
    away = unit(np.array([0.0, np.sin(cross), np.cos(cross)]))
    up = unit(np.cross(away, [1.0, 0.0, 0.0]))
    target = spot - 20.0 * up
    place = target + 500.0 * away
    camera = Camera(_tuple(place), _tuple(target), _tuple(up), 6090.0, 2800, 1600)
    middle = spot - 62.0 * up - DETAIL_STANDOFF_MM * away
    return camera, Card(SHORT, _tuple(middle), (1, 0, 0), _tuple(up), ANTLER_CARD)


def _tuple(vector: np.ndarray) -> Vector:
    x, y, z = (float(part) for part in vector)
    return x, y, z


DETAIL, DETAIL_CARD = _detail()
AUTUMN, SPRING = "2025:10:14", "2026:03:16"
ANTLER_VIEWS = (
    View("antler-front-normal.jpg", "antler", "Front of the beam before the winter", "front",
         "normal", "before", f"{AUTUMN} 10:12:00", FRONT, FRONT_CARD, CRADLES),
    View("antler-front-raking.jpg", "antler", "Front in light that grazes it from above", "front",
         "raking", "before", f"{AUTUMN} 10:31:00", FRONT, FRONT_CARD, CRADLES,
         light_from="top of the picture, 14 degrees off its plane"),
    View("antler-front-ultraviolet.jpg", "antler", "Front under an ultraviolet-like light: glow "
         "of resin and varnish", "front", "ultraviolet", "before", f"{AUTUMN} 11:05:00", FRONT,
         FRONT_CARD, CRADLES),
    View("antler-above-normal.jpg", "antler", "The beam seen from above as it lies", "above",
         "normal", "before", f"{AUTUMN} 11:40:00", ABOVE, ABOVE_CARD, (*CRADLES, BENCH)),
    View("antler-detail-crack-1.jpg", "antler", "Crack 1, seen square to its middle", "detail",
         "normal", "before", f"{AUTUMN} 12:02:00", DETAIL, DETAIL_CARD, CRADLES,
         row_window=(100.0, 352.0)),
    View("antler-front-normal-after.jpg", "antler", "Front after a dry winter; the camera was "
         "taken down and put back", "front", "normal", "after", f"{SPRING} 09:48:00", MOVED,
         FRONT_CARD, CRADLES),
)  # fmt: skip
WOOD_CAMERA = Camera((20.0, 0.0, 1248.0), (20.0, 0.0, 0.0), (0.0, 1.0, 0.0), 7200.0, 2520, 2040)
WOOD_CARD_AT = Card(SHORT, (152.0, -140.0, 36.0), (1, 0, 0), (0, 1, 0), WOOD_CARD)
WOOD_BLOCK = Box((103.0, -159.0, 0.0), (201.0, -121.0, 35.5))
WOOD_VIEWS = (
    View("figurehead-front-normal.jpg", "figurehead", "Carved front of the fragment", "front",
         "normal", "before", f"{AUTUMN} 14:20:00", WOOD_CAMERA, WOOD_CARD_AT, (WOOD_BLOCK,)),
    View("figurehead-front-raking.jpg", "figurehead", "Carved front in grazing light", "front",
         "raking", "before", f"{AUTUMN} 14:33:00", WOOD_CAMERA, WOOD_CARD_AT, (WOOD_BLOCK,),
         light_from="upper left of the picture, 16 degrees off its plane"),
)  # fmt: skip
