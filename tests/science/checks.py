"""Check values from tests/checks/<source key>.csv."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "checks"


@dataclass(frozen=True)
class Check:
    """One expected number, how near it must be met, and how it is known."""

    name: str
    value: float
    tolerance: float

    def accept(self, found: float) -> None:
        """Fail when the number found is further off than the tolerance."""
        assert abs(found - self.value) <= self.tolerance, (
            f"{self.name}: {found} is not {self.value} ± {self.tolerance}"
        )


def expected(source: str) -> dict[str, Check]:
    """Return the check values of a source by name."""
    with (FOLDER / f"{source}.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["name"]: Check(row["name"], float(row["expected"]), float(row["tolerance"]))
            for row in csv.DictReader(file)
        }
