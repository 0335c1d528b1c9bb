"""A camera without distortion: where a point of the scene falls in the picture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Vector = tuple[float, float, float]


def unit(vector: Array) -> Array:
    """Return the vector at length one."""
    return np.asarray(vector / np.linalg.norm(vector))


@dataclass(frozen=True)
class Camera:
    """A pinhole at `position_mm` aimed at `target_mm`; the optical axis meets the middle."""

    position_mm: Vector
    target_mm: Vector
    up: Vector
    focal_px: float
    width_px: int
    height_px: int

    @property
    def axes(self) -> Array:
        """The directions right, up and forward of the picture, as rows."""
        forward = unit(np.subtract(self.target_mm, self.position_mm))
        right = unit(np.cross(forward, self.up))
        return np.stack([right, np.cross(right, forward), forward])

    def seen_from(self, points_mm: Array) -> Array:
        """Return points as right, up and forward of the camera [mm]."""
        return np.asarray((points_mm - np.array(self.position_mm)) @ self.axes.T)

    def project(self, points_mm: Array) -> Array:
        """Return where points fall [px], from the picture's top left corner."""
        right, up, forward = np.moveaxis(self.seen_from(points_mm), -1, 0)
        x = self.width_px / 2 + self.focal_px * right / forward
        y = self.height_px / 2 - self.focal_px * up / forward
        return np.stack([x, y], axis=-1)

    def is_inside(self, points_px: Array) -> NDArray[np.bool_]:
        """Say of each point whether it lies in the picture."""
        size = np.array([self.width_px, self.height_px])
        return np.asarray(np.all((points_px >= 0) & (points_px <= size), axis=-1))

    @property
    def field_deg(self) -> float:
        """The angle of view across the picture."""
        return float(np.degrees(2 * np.arctan(self.width_px / 2 / self.focal_px)))

    def scaled(self, share: float) -> Camera:
        """Return the same view in fewer pixels, for a draft."""
        return Camera(
            self.position_mm,
            self.target_mm,
            self.up,
            self.focal_px * share,
            round(self.width_px * share),
            round(self.height_px * share),
        )

    def described(self) -> dict[str, Any]:
        """Return the camera as truth.json tells it."""
        return {
            "position_mm": list(self.position_mm),
            "right_up_forward": self.axes.round(9).tolist(),
            "focal_px": self.focal_px,
            "principal_point_px": [self.width_px / 2, self.height_px / 2],
        }
