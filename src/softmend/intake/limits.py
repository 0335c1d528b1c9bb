"""What one foreign picture may cost: pixels, bytes, seconds and memory, in one place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import LimitError

# A clock on the wall runs on while neighbours use the processor; the processor's clock does not.
WALL_SECONDS_PER_CPU_SECOND = 4.0


def refuse_longer(size: int, most: int, remedy: str) -> None:
    """Raise LimitError when a file is longer than may be read [bytes]."""
    if size > most:
        raise LimitError(
            "the file is larger than Softmend reads",
            value=f"{size / 1e6:.0f} MB",
            allowed=f"up to {most / 1e6:.0f} MB",
            remedy=remedy,
        )


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of one import; a house may tighten them, tests do."""

    pixels: int = 250_000_000
    side_px: int = 30_000
    file_bytes: int = 1_600_000_000
    memory_bytes: int = 3_000_000_000
    cpu_s: float = 4.0
    cpu_s_per_megapixel: float = 0.5
    jpeg_scans: int = 100

    def cpu_seconds(self, pixels: int) -> float:
        """Return the processor time allowed: little for a refusal, more with every megapixel."""
        return self.cpu_s + self.cpu_s_per_megapixel * pixels / 1e6

    def wall_seconds(self, pixels: int) -> float:
        """Return the time by the clock on the wall after which the child is stopped."""
        return WALL_SECONDS_PER_CPU_SECOND * self.cpu_seconds(pixels)

    def check_size(self, width: int, height: int) -> None:
        """Raise LimitError when a picture of this size is not opened."""
        if width * height > self.pixels or max(width, height) > self.side_px:
            raise LimitError(
                "the picture is larger than Softmend opens",
                value=f"{width} x {height} px",
                allowed=f"up to {self.pixels // 1_000_000} megapixels, {self.side_px} px a side",
                remedy="export a smaller copy, or bring it in as several parts",
            )

    def check_memory(self, needed: int) -> None:
        """Raise LimitError, before any of it is taken, when a picture needs too much memory."""
        if needed > self.memory_bytes:
            raise LimitError(
                "the picture needs more memory than an import may use",
                value=f"about {needed / 1e9:.1f} GB",
                allowed=f"up to {self.memory_bytes / 1e9:.1f} GB",
                remedy="export it without transparency, smaller, or as several parts",
            )

    def check_file_bytes(self, size: int) -> None:
        """Raise LimitError when a file is too long to be read."""
        refuse_longer(size, self.file_bytes, "export a smaller copy, or attach it as a paper")


STANDARD = Limits()
