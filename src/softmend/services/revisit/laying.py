"""The pictures for the eye: the earlier as it is, the later laid on it; both of one size."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

EARLIER, LAID = "earlier.jpg", "laid.jpg"
LONGEST_SIDE_PX = 4000
"""The pictures that are laid on one another for the eye are no larger."""


def write_pictures(
    folder: Path, earlier: Path, later: Path, pixels: tuple[Any, Any], whole: dict[str, Any]
) -> None:
    """Write the earlier picture and, where one plane fits, the later one laid on it.

    Where no plane fits, the later one is written as it is: to be seen beside, not over.
    """
    from softmend.intake.canonical import canonical_profile
    from softmend.intake.derivative import jpeg_for_the_eye
    from softmend.science.photo.laid import laid_picture

    before, after = pixels
    if whole["is_one_plane"]:
        after = laid_picture(after, whole["to_earlier"], (before.shape[1], before.shape[0]))
    for name, picture, source in ((EARLIER, before, earlier), (LAID, after, later)):
        seen = jpeg_for_the_eye(picture, canonical_profile(source), LONGEST_SIDE_PX)
        (folder / name).write_bytes(seen)
