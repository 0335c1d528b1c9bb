"""Values as people tell them, held against what is possible, field by field."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping

from softmend.errors import InputError
from softmend.records.crack_model import Told

Limits = Mapping[str, tuple[str, str, float, float]]
"""Field to its words, unit, least and most."""


def check_told(record: object, limits: Limits) -> None:
    """Refuse a record in which a told value is impossible or out of order."""
    for name, (words, unit, least, most) in limits.items():
        told: Told | None = getattr(record, name)
        if told is None:
            continue
        points = (told.low, told.typical, told.high)
        shown = f"{told.low:g}, {told.typical:g}, {told.high:g} {unit}".strip()
        if not all(math.isfinite(point) and least <= point <= most for point in points):
            raise InputError(
                f"{words} is outside what is possible",
                value=shown,
                allowed=f"{least:g} to {most:g} {unit}".strip(),
                remedy="Correct the number",
            )
        if not told.low < told.typical < told.high:
            raise InputError(
                f"{words} needs three points that rise: low, typical, high",
                value=shown,
                allowed="low below typical, typical below high",
                remedy="Nobody knows it exactly: say how far off you may be",
            )
