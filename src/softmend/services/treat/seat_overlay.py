"""The overlay of a flake on a loss, for the eye: the loss enlarged, the flake's pixels over it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from softmend.services.bench import Bench
from softmend.services.treat.seats import Loss, SeatsAsked

SHOWN_PX, MOST_ZOOM = 1000, 12.0
AROUND = 0.35
"""So much of the loss's size is shown of its surroundings on every side."""


@dataclass(frozen=True)
class Overlay:
    """Which part of the object's photograph is shown [px], and how much it is enlarged."""

    left: int
    top: int
    right: int
    low: int
    zoom: float

    @classmethod
    def of(cls, loss: Loss, candidate: dict[str, Any]) -> Overlay:
        """Return the part round a loss and the flake laid in it."""
        ring = [*loss.seen.geometry.parts[0], *candidate["overlay"]]
        xs, ys = zip(*ring, strict=True)
        around = AROUND * max(max(xs) - min(xs), max(ys) - min(ys))
        left, top = (max(int(min(one) - around), 0) for one in (xs, ys))
        right = min(int(max(xs) + around) + 1, loss.view.width_px)
        low = min(int(max(ys) + around) + 1, loss.view.height_px)
        zoom = min(SHOWN_PX / max(right - left, low - top), MOST_ZOOM)
        return cls(left, top, right, low, zoom)

    @property
    def width(self) -> int:
        """Return how wide the enlarged part is [px]."""
        return round((self.right - self.left) * self.zoom)

    @property
    def height(self) -> int:
        """Return how high the enlarged part is [px]."""
        return round((self.low - self.top) * self.zoom)

    def points(self, ring: Any) -> str:
        """Return an outline of the photograph as an SVG's points in the enlarged part."""
        places = (((x - self.left) * self.zoom, (y - self.top) * self.zoom) for x, y in ring)
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def overlay_pictures(
    bench: Bench, question: SeatsAsked, loss: Loss, candidate: dict[str, Any]
) -> dict[str, bytes]:
    """Return the loss as JPEG and the flake laid on it as PNG, both of one size."""
    files = bench.store.files
    overlay = tuple((float(x), float(y)) for x, y in candidate["overlay"])
    return _pictures(
        files.path(loss.view.canonical_sha256),
        files.path(question.tray.canonical_sha256),
        Overlay.of(loss, candidate),
        question.outline.outline_px,
        overlay,
    )


@lru_cache(maxsize=16)
def _pictures(
    object_path: Path, tray_path: Path, shown: Overlay, outline: Any, overlay: Any
) -> dict[str, bytes]:
    # Paths hold the hash of what lies there; the page asks for both pictures one after the other.
    from softmend.intake.canonical import canonical_profile, read_canonical
    from softmend.intake.overlay import cut_out_png, eight_bit_rgb, enlarged_jpeg
    from softmend.science.photo.fragment_laid import laid_flake

    part = read_canonical(object_path)[shown.top : shown.low, shown.left : shown.right]
    tray = eight_bit_rgb(read_canonical(tray_path))
    laid = laid_flake(
        tray,
        [list(at) for at in outline],
        [list(at) for at in overlay],
        (shown.left, shown.top, shown.right, shown.low),
        shown.zoom,
    )
    size = (shown.width, shown.height)
    return {
        "loss.jpg": enlarged_jpeg(part, canonical_profile(object_path), size),
        "flake.png": cut_out_png(laid, canonical_profile(tray_path)),
    }
