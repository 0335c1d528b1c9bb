"""What is assumed of a case until somebody measures it, each with its range, unit and mark."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import NotFoundError
from softmend.tables import table


@dataclass(frozen=True)
class Assumed:
    """One assumption: low, typical and high in `unit`, with its kind and where it is from."""

    low: float
    typical: float
    high: float
    unit: str
    kind: str
    source: str

    @property
    def points(self) -> tuple[float, float, float]:
        """Return low, typical and high."""
        return self.low, self.typical, self.high


def case_assumed(name: str) -> Assumed:
    """Return one assumption of the table `case_assumed`.

    Parameters
    ----------
    name : str, a property of the table [1], such as "air exchange"

    Returns
    -------
    Assumed, its three points in the unit that the row names

    Raises
    ------
    NotFoundError
        When the table has no such property.

    Source: softmend-climate, sections 1.7, 3 and 8.
    Checked against: tests/tables/test_case_assumed.py.

    Example
    -------
    >>> case_assumed("air exchange").points
    (0.3, 1.0, 3.0)
    """
    for row in table("case_assumed").rows:
        if row["property"] == name:
            low, typical, high = (float(row[one] or 0.0) for one in ("low", "typical", "high"))
            where = f"{row['source']}, {row['where']}"
            return Assumed(low, typical, high, str(row["unit"]), str(row["kind"]), where)
    raise NotFoundError("Nothing of that name is assumed of a case", value=name)
