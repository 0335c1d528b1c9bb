"""The parts of the suite, in the order they run, and how long each took.

The browser comes last: while it is open, its driver keeps an event loop running in our thread.
`run test` shares the files out to two workers, which take them in this order.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pytest

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
    """Adds up the seconds and the tests of each part; a plugin, since workers report to it."""

    def __init__(self) -> None:
        """Start at nothing."""
        self.seconds = dict.fromkeys(PARTS, 0.0)
        self.tests = dict.fromkeys(PARTS, 0)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Count one step of one test, wherever it ran."""
        part = part_of(TESTS.parent / report.nodeid.split("::")[0])
        self.seconds[part] += report.duration
        self.tests[part] += report.when == "call"

    def pytest_terminal_summary(
        self, terminalreporter: pytest.TerminalReporter, config: pytest.Config
    ) -> None:
        """Print the minutes of each part."""
        workers = config.getoption("numprocesses", None) or 1
        at_once = f", {workers} workers at once" if workers > 1 else ""
        terminalreporter.section(f"minutes per part{at_once}")
        for line in self.lines(workers):
            terminalreporter.write_line(line)

    def lines(self, workers: int) -> list[str]:
        """Return one line a part: its share of the run; the set-up first if `run` did it."""
        set_up = os.environ.get("SOFTMEND_SET_UP_SECONDS")
        lines = [f"{'set-up':22}{float(set_up) / 60:7.2f} min"] if set_up else []
        return lines + [
            f"{part:22}{seconds / workers / 60:7.2f} min {self.tests[part]:6d} tests"
            for part, seconds in self.seconds.items()
            if self.tests[part]
        ]
