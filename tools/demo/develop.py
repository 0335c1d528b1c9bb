"""From the linear picture to a JPEG as a camera writes it: exposure, grain, profile, EXIF."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import struct
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from tools.demo.camera import Array
from tools.demo.views import View

QUALITY = 89
CAMERA_NAME = "Softmend demo renderer"


def developed(linear: Array, exposure: float, seed: int) -> NDArray[np.uint8]:
    """Return the 8-bit sRGB picture: lens blur, a gentle noise filter, fine grain."""
    sharp = np.clip(linear * exposure, 0.0, 4.0).astype(np.float32)
    light = np.asarray(cv2.GaussianBlur(sharp, (0, 0), 0.5))
    shoulder = np.where(light < 0.8, light, 0.8 + 0.2 * np.tanh((light - 0.8) / 0.2))
    coded = np.where(
        shoulder <= 0.0031308, 12.92 * shoulder, 1.055 * np.abs(shoulder) ** (1 / 2.4) - 0.055
    )
    calm = _less_colour_noise((coded * 255).astype(np.float32))
    grain = np.random.default_rng(seed).normal(0, 0.7, calm.shape[:2])[..., None]
    return np.asarray(np.clip(calm + grain + 0.5, 0, 255), dtype=np.uint8)


def _less_colour_noise(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    # Wavelengths drawn at random leave colour noise; brightness keeps the detail of the surface.
    split = cv2.cvtColor(picture / 255, cv2.COLOR_RGB2YCrCb)
    bright = cv2.bilateralFilter(split[..., 0], 5, 0.035, 1.1)
    for channel in (1, 2):
        split[..., channel] = cv2.bilateralFilter(split[..., channel], 9, 0.05, 2.5)
    split[..., 0] = bright
    return np.asarray(cv2.cvtColor(split, cv2.COLOR_YCrCb2RGB) * 255, dtype=np.float32)


def exposure_for(linear: Array, view: View, share: float) -> float:
    """Return the factor that puts the card's paper where a photographer would put it."""
    camera = view.camera.scaled(share)
    spot = view.card.points(np.add(view.card.layout.text_at_mm, (-1.0, 1.0)))
    x, y = np.round(camera.project(spot)).astype(int)
    near = linear[max(y - 2, 0) : y + 3, max(x - 2, 0) : x + 3]
    paper = {"ultraviolet": 0.36, "raking": 0.44}.get(view.light, 0.74)
    return paper / max(float(np.median(near.max(axis=-1))), 1e-6)


def write(picture: NDArray[np.uint8], view: View, path: Path) -> None:
    """Write the JPEG with colour profile, invented camera and the scenario's time."""
    exif = Image.Exif()
    exif[0x010E] = f"{view.shows}. Invented object, rendered."
    exif[0x010F], exif[0x0110] = "Softmend", CAMERA_NAME
    exif[0x0112] = 1
    exif[0x0131] = "tools/demo/render.py"
    exif[0x0132] = view.taken_at
    exif.get_ifd(0x8769).update({0x9003: view.taken_at, 0x9004: view.taken_at, 0xA001: 1})
    profile = _undated(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    Image.fromarray(picture).save(
        path, "JPEG", quality=QUALITY, subsampling=0, exif=exif, icc_profile=profile
    )


def _undated(profile: bytes) -> bytes:
    # Bytes 24 to 35 of a profile's head are the second it was made, which would change the file.
    return profile[:24] + struct.pack(">6H", 2031, 1, 1, 0, 0, 0) + profile[36:]
