"""A hard picture of the common chart, drawn here: its truth is the published values of the chart.

Two measured kinds of trouble at once would be a bad day at the bench: light from one side, a lens
that blurs, noise, glare on one patch, a hand-held camera, eight bits and JPEG.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from tests.science.tint.library import colour

ROWS, COLUMNS, PATCH, GAP = 4, 6, 100, 14
SIZE = (900, 640)
CORNERS = np.array([[150.0, 120.0], [742.0, 152.0], [716.0, 540.0], [128.0, 498.0]])
BONE = {"pale bone": (82.0, 2.0, 16.0), "tan antler": (62.0, 7.0, 26.0)}
# A camera's own primaries: what it calls red holds some green, and so on.
_CAMERA = np.array([[0.90, 0.12, -0.02], [0.05, 0.88, 0.07], [0.01, 0.16, 0.83]])


@dataclass(frozen=True)
class Trouble:
    """What goes wrong: light falling across [share], blur [px], noise [share], glare, JPEG."""

    falls: float = 0.05
    blur_px: float = 1.0
    noise: float = 0.01
    glare: float = 0.0
    quality: int = 92


def corners_of(points: object) -> np.ndarray:
    """Return points as the picture library takes them."""
    return np.array(points, dtype=np.float32)


def chart_lab() -> np.ndarray:
    """Return the published colours of the chart, row by row, for D50 and 2 degrees."""
    chart = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    return np.asarray(colour.XYZ_to_Lab(xyz, chart.illuminant))


def linear_of(lab: np.ndarray) -> np.ndarray:
    """Return the camera's linear numbers for colours in D50."""
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    xyz = colour.Lab_to_XYZ(lab, white)
    rgb = colour.XYZ_to_RGB(
        xyz, "sRGB", illuminant=white, chromatic_adaptation_transform="Bradford"
    )
    return np.asarray(0.92 * np.clip(rgb, 0, None) @ _CAMERA.T)


def shade(falls: float) -> np.ndarray:
    """Return the light over the frame: brightest at the upper left, so much less at the other."""
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    across = (x / SIZE[0] + 0.5 * y / SIZE[1]) / 1.5
    return np.asarray(1 - falls * across - 0.3 * falls * across**2)[..., None]


def picture(trouble: Trouble, seed: int = 1) -> np.ndarray:
    """Return the picture: eight bits, sRGB, through JPEG."""
    flat = np.empty((ROWS * (PATCH + GAP) + GAP, COLUMNS * (PATCH + GAP) + GAP, 3))
    flat[:] = linear_of(np.array([20.0, 0.0, 0.0]))
    for place, light in enumerate(linear_of(chart_lab())):
        row, column = divmod(place, COLUMNS)
        top, left = GAP + row * (PATCH + GAP), GAP + column * (PATCH + GAP)
        flat[top : top + PATCH, left : left + PATCH] = light
    frame = np.empty((SIZE[1], SIZE[0], 3))
    frame[:] = linear_of(np.array(BONE["pale bone"]))
    frame[:, : SIZE[0] // 2] = linear_of(np.array(BONE["tan antler"]))
    outer = corners_of([[0, 0], [flat.shape[1], 0], [flat.shape[1], flat.shape[0]],
                        [0, flat.shape[0]]])  # fmt: skip
    turn = cv2.getPerspectiveTransform(outer, corners_of(frame_corners()))
    inside = cv2.warpPerspective(np.ones(flat.shape[:2]), turn, SIZE)[..., None] > 0.5
    frame = np.where(inside, cv2.warpPerspective(flat, turn, SIZE), frame)
    if trouble.glare:
        # A lamp mirrored in one corner of a glossy patch: row 2, place 3.
        y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
        spot = np.exp(-(((x - 385) / 28) ** 2 + ((y - 290) / 28) ** 2))
        frame = frame + trouble.glare * spot[..., None]
    return _taken(frame * shade(trouble.falls), trouble, seed)


def grey_card(trouble: Trouble, seed: int = 2) -> np.ndarray:
    """Return the picture of an even grey card in the same light."""
    frame = np.broadcast_to(linear_of(np.array([66.0, 0.0, 0.0])), (SIZE[1], SIZE[0], 3))
    return _taken(frame * shade(trouble.falls), trouble, seed)


def frame_corners() -> np.ndarray:
    """Return the corners of the chart's dark frame, a gap beyond its patches."""
    inner = corners_of([[GAP, GAP], [COLUMNS * (PATCH + GAP), GAP],
                        [COLUMNS * (PATCH + GAP), ROWS * (PATCH + GAP)],
                        [GAP, ROWS * (PATCH + GAP)]])  # fmt: skip
    turn = cv2.getPerspectiveTransform(inner, corners_of(CORNERS))
    width, height = COLUMNS * (PATCH + GAP) + GAP, ROWS * (PATCH + GAP) + GAP
    outer = corners_of([[[0, 0], [width, 0], [width, height], [0, height]]])
    return np.asarray(cv2.perspectiveTransform(outer, turn)[0], dtype=float)


def _taken(light: np.ndarray, trouble: Trouble, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    blurred = cv2.GaussianBlur(light, (0, 0), trouble.blur_px) if trouble.blur_px else light
    noisy = blurred + trouble.noise * np.sqrt(np.maximum(blurred, 0)) * rng.normal(
        size=blurred.shape
    )
    coded = colour.cctf_encoding(np.clip(noisy, 0, 1), "sRGB")
    bytes_of = io.BytesIO()
    Image.fromarray(np.uint8(np.round(255 * coded))).save(bytes_of, "JPEG", quality=trouble.quality)
    return np.asarray(Image.open(bytes_of))
