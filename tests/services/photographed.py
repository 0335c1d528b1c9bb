"""A printed sheet photographed by a camera of known place: tilted, blurred, noisy, as a JPEG."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io

import cv2
import numpy as np
import pypdfium2
from PIL import Image, ImageDraw

PRINT_PX_PER_MM = 12.0
PAGE_MM = (210.0, 297.0)


def drawn_sheet(pdf: bytes) -> Image.Image:
    """Return the sheet as it comes out of a printer, 12 px a millimetre."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    drawn = page.render(scale=PRINT_PX_PER_MM * 25.4 / 72)
    picture = drawn.to_pil().convert("RGB")
    drawn.close()
    page.close()
    document.close()
    return picture


def write_on(sheet: Image.Image, points_mm, colour=(190, 20, 40), width_mm=0.8) -> None:
    """Draw a pen stroke through places on the sheet."""
    points = [(x * PRINT_PX_PER_MM, y * PRINT_PX_PER_MM) for x, y in points_mm]
    ImageDraw.Draw(sheet).line(points, fill=colour, width=round(width_mm * PRINT_PX_PER_MM))


def camera(tilt_deg=14.0, turn_deg=6.0, across_px=2000.0) -> np.ndarray:
    """Return the matrix from millimetres of the sheet to pixels of a tilted camera's picture."""
    tilt, turn = np.radians(tilt_deg), np.radians(turn_deg)
    about_x = np.array(
        [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
    )
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0],
                        [0, 0, 1]])  # fmt: skip
    place = about_x @ about_z
    distance = 600.0
    focal = across_px / PAGE_MM[0] * distance * 0.8
    lens = np.array([[focal, 0, across_px / 2], [0, focal, across_px * 0.7], [0, 0, 1]])
    centred = np.array([[1, 0, -PAGE_MM[0] / 2], [0, 1, -PAGE_MM[1] / 2], [0, 0, 1.0]])
    plane = np.column_stack([place[:, 0], place[:, 1], [0, 0, distance]])
    return lens @ plane @ centred


def seen(matrix: np.ndarray, points_mm) -> np.ndarray:
    """Return where places of the sheet lie in the picture, counted from its corner [px]."""
    listed = np.asarray(points_mm, dtype=float).reshape(-1, 2)
    carried = np.column_stack([listed, np.ones(len(listed))]) @ matrix.T
    return carried[:, :2] / carried[:, 2:]


def photograph(sheet: Image.Image, matrix: np.ndarray, across_px=2000, *, blur_px=1.2, noise=4.0,
               seed=5) -> np.ndarray:  # fmt: skip
    """Return the picture: on a dark table, with a fall of light, blurred, noisy; RGB, 8 bit."""
    down_px = round(across_px * 1.4)
    to_mm = np.diag([1 / PRINT_PX_PER_MM, 1 / PRINT_PX_PER_MM, 1.0])
    half_in = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    half_out = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1.0]])
    warp = half_out @ matrix @ to_mm @ half_in
    # Drawn twice as fine and averaged, as a sensor does.
    fine = np.diag([2.0, 2.0, 1.0])
    warp = half_out @ fine @ np.linalg.inv(half_out) @ warp
    large = cv2.warpPerspective(
        np.asarray(sheet), warp, (2 * across_px, 2 * down_px), flags=cv2.INTER_AREA,
        borderValue=(60, 50, 40),
    )  # fmt: skip
    picture = cv2.resize(large, (across_px, down_px), interpolation=cv2.INTER_AREA).astype(float)
    light = np.linspace(1.0, 0.75, across_px)[None, :, None] * np.array([1.0, 0.97, 0.9])
    blurred = cv2.GaussianBlur(picture * light, (0, 0), blur_px)
    noisy = blurred + np.random.default_rng(seed).normal(0, noise, blurred.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def jpeg(picture: np.ndarray) -> bytes:
    """Return a picture as the JPEG of a camera."""
    kept = io.BytesIO()
    Image.fromarray(picture).save(kept, "JPEG", quality=90)
    return kept.getvalue()
