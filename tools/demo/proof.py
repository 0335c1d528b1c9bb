"""Proof that truth.json and the pictures agree: markers read back, bright dots found again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image

from tools.demo.camera import Array, Camera
from tools.demo.scene import renderer
from tools.demo.views import View

DOT_MM, WINDOW_PX = 0.6, 10


def marker_error_px(view: View, path: Path) -> float:
    """Return the worst distance of a marker corner read from the finished JPEG to the truth."""
    grey = np.asarray(Image.open(path).convert("L"))
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, numbers, _ = cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(grey)
    found: Any = dict(zip(np.ravel(numbers).tolist(), corners, strict=True))
    read = np.reshape(found[view.card.layout.marker_number], (4, 2)) + 0.5
    true = view.camera.project(view.card.marker_corners_mm)
    return round(float(np.linalg.norm(read - true, axis=1).max()), 3)


def dots_error_px(view: View, samples: int = 64) -> float:
    """Return the worst distance of small lamps, found in a rendering of them alone, to theirs."""
    mi, camera = renderer(), view.camera
    right, up, forward = camera.axes
    x, y, z = np.meshgrid([-0.42, -0.1, 0.23, 0.45], [-0.4, 0.05, 0.42], [-40.0, 0.0, 30.0])
    spans = camera.scaled(1.0)
    distance = float(np.linalg.norm(np.subtract(camera.position_mm, camera.target_mm)))
    wide = distance * camera.width_px / camera.focal_px
    tall = distance * camera.height_px / camera.focal_px
    dots = (
        np.array(camera.target_mm)
        + np.ravel(x * 0.9 + 0.004 * z)[:, None] * wide * right
        + np.ravel(y * 0.9 + 0.002 * z)[:, None] * tall * up
        + np.ravel(z)[:, None] * forward
    )
    dots = dots[camera.is_inside(camera.project(dots) + WINDOW_PX)]
    return round(max(_dot_error(mi, spans, dot, samples) for dot in dots[::3]), 3)


def _dot_error(mi: Any, camera: Camera, dot: Array, samples: int) -> float:
    true = camera.project(dot)
    corner = np.floor(true).astype(int) - WINDOW_PX
    film = {"type": "hdrfilm", "width": camera.width_px, "height": camera.height_px,
            "crop_offset_x": int(corner[0]), "crop_offset_y": int(corner[1]),
            "crop_width": 2 * WINDOW_PX, "crop_height": 2 * WINDOW_PX,
            "pixel_format": "rgb", "rfilter": {"type": "box"}}  # fmt: skip
    look = mi.ScalarTransform4f().look_at(
        origin=list(camera.position_mm), target=list(camera.target_mm), up=list(camera.up)
    )
    scene = mi.load_dict({
        "type": "scene",
        "integrator": {"type": "direct"},
        "dot": {"type": "sphere", "center": dot.tolist(), "radius": DOT_MM,
                "emitter": {"type": "area", "radiance": {"type": "d65"}}},
        "sensor": {"type": "perspective", "fov": camera.field_deg, "fov_axis": "x",
                   "near_clip": 10.0, "far_clip": 10000.0, "to_world": look, "film": film},
    })  # fmt: skip
    picture = np.array(mi.render(scene, spp=samples, seed=1)).sum(axis=-1)
    y, x = np.mgrid[: 2 * WINDOW_PX, : 2 * WINDOW_PX] + 0.5
    weight = picture / picture.sum()
    centre = corner + np.array([(x * weight).sum(), (y * weight).sum()])
    return float(np.linalg.norm(centre - true))
