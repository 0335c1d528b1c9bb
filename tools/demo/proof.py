"""Proof that truth.json and the pictures agree: markers read back, bright dots found again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from scipy.ndimage import map_coordinates

from tools.demo.camera import Array, Camera
from tools.demo.scene import renderer
from tools.demo.views import View

DOT_MM, WINDOW_PX = 0.6, 10


def marker_errors_px(view: View, path: Path) -> dict[str, float]:
    """Return how far the marker in the finished JPEG lies off, and how much it shrank.

    Blur happens in linear light and the picture is coded afterwards, so that every dark area loses
    a fraction of a pixel at its edges, in a rendering as in a photograph; its middle stays.
    """
    grey = np.asarray(Image.open(path).convert("L"), dtype=np.float64)
    corners = view.camera.project(view.card.marker_corners_mm)
    top, right, bottom, left = (
        _inward_px(grey, corners[side], corners[(side + 1) % 4]) for side in range(4)
    )
    off = float(np.hypot(left - right, top - bottom) / 2)
    shorter = (top + right + bottom + left) / 2
    return {
        "marker_middle_off_px": round(off, 3),
        "marker_side_shorter_px": round(shorter, 3),
    }


def _inward_px(grey: Array, start: Array, end: Array) -> float:
    """Return how far inside the true side the picture passes half way from paper to ink."""
    run = end - start
    inward = np.array([-run[1], run[0]]) / np.linalg.norm(run)
    share, offset = np.linspace(0.15, 0.85, 120), np.arange(-6, 6.01, 0.1)
    at = start + share[:, None, None] * run + offset[:, None] * inward - 0.5
    profile = map_coordinates(grey, [at[..., 1], at[..., 0]], order=1).mean(axis=0)
    half = (profile[:20].mean() + profile[-20:].mean()) / 2
    return float(np.interp(-half, -profile, offset))


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
