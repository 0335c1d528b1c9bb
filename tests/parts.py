"""The parts of the suite, in the order they run, and how long each took.

The browser comes last: while it is open, its driver keeps an event loop running in our thread.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
from pathlib import Path

TESTS = Path(__file__).parent
PARTS: dict[str, tuple[str, ...]] = {
    "science and checks": (
        "house", "science", "checks", "tables", "catalogue", "pictures", "examples", "demo",
    ),
    "storage and services": (
        "records", "storage", "services", "rules", "intake", "hostile", "exchange", "cli",
    ),
    "print": ("report",),
    "kills": ("kills",),
    "fuzzing": ("fuzz",),
    "browser": ("web", "browser"),
}  # fmt: skip
NOT_TESTS = {"data", "__pycache__"}


def part_of(path: Path) -> str:
    """Return the part that a test file belongs to; a file beside the folders is of the first."""
    first, *_ = PARTS
    folder = path.relative_to(TESTS).parts[0]
    return next((name for name, folders in PARTS.items() if folder in folders), first)


class Clock:
    """Adds up the seconds and the tests of each part."""

    def __init__(self) -> None:
        """Start at nothing."""
        self.seconds = dict.fromkeys(PARTS, 0.0)
        self.tests = dict.fromkeys(PARTS, 0)

    def add(self, path: Path, seconds: float, tests: int) -> None:
        """Count one step of one test."""
        part = part_of(path)
        self.seconds[part] += seconds
        self.tests[part] += tests

    def lines(self) -> list[str]:
        """Return one line a part, the set-up first if `run` did it."""
        set_up = os.environ.get("SOFTMEND_SET_UP_SECONDS")
        lines = [f"{'set-up':22}{float(set_up) / 60:7.2f} min"] if set_up else []
        return lines + [
            f"{part:22}{seconds / 60:7.2f} min {self.tests[part]:6d} tests"
            for part, seconds in self.seconds.items()
            if self.tests[part]
        ]
