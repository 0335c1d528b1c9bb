"""What one foreign scan may cost: faces, bytes, seconds and memory, in one place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import LimitError
from softmend.intake.limits import WALL_SECONDS_PER_CPU_SECOND, refuse_longer

EXPORT = "export it with fewer faces from the scanner's program, as PLY, STL, OBJ or GLB"


@dataclass(frozen=True, slots=True)
class ScanLimits:
    """The limits of one scan; a house may tighten them, tests do."""

    faces: int = 5_000_000
    many_faces: int = 2_000_000
    points: int = 15_000_000
    file_bytes: int = 500_000_000
    memory_bytes: int = 1_400_000_000
    bytes_a_face: int = 900
    cpu_s: float = 4.0
    cpu_s_a_million_faces: float = 20.0
    nodes: int = 1000
    corners_a_face: int = 64

    def memory(self, faces: int) -> int:
        """Return the memory that reading so many faces may take [bytes]."""
        return self.memory_bytes + self.bytes_a_face * max(faces - 200_000, 0)

    def cpu_seconds(self, faces: int) -> float:
        """Return the processor time allowed: little for a refusal, more with every face."""
        return self.cpu_s + self.cpu_s_a_million_faces * faces / 1e6

    def wall_seconds(self, faces: int) -> float:
        """Return the time by the clock on the wall after which the child is stopped."""
        return WALL_SECONDS_PER_CPU_SECOND * self.cpu_seconds(faces)

    def check_counts(self, points: int, faces: int) -> None:
        """Raise LimitError when a scan of this size is not opened."""
        if faces > self.faces or points > self.points:
            raise LimitError(
                "the scan is larger than Softmend opens",
                value=f"{points} points, {faces} faces",
                allowed=f"up to {self.faces // 1_000_000} million faces",
                remedy=EXPORT,
            )

    def check_file_bytes(self, size: int) -> None:
        """Raise LimitError when a file is too long to be read."""
        refuse_longer(size, self.file_bytes, EXPORT)


STANDARD_SCAN = ScanLimits()
