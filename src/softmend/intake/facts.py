"""What is known of a picture after it was brought in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class CameraFacts:
    """The few facts of the camera's own record that a dossier keeps."""

    taken_at: str | None = None
    maker: str | None = None
    model: str | None = None
    has_location: bool = False
    says_srgb: bool = False


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """Size, depth, colour and origin of one canonical picture, and what was done to make it."""

    width: int
    height: int
    bits: int
    channels: int
    kind: str
    profile_name: str | None
    was_turned: bool
    camera: CameraFacts
    notes: tuple[str, ...]

    def as_plain(self) -> dict[str, Any]:
        """Return the facts as plain JSON values."""
        return asdict(self)

    @classmethod
    def of_plain(cls, plain: dict[str, Any]) -> PictureFacts:
        """Return the facts that `as_plain` wrote."""
        return cls(
            **{
                **plain,
                "camera": CameraFacts(**plain["camera"]),
                "notes": tuple(plain["notes"]),
            }
        )
