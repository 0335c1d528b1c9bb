"""What is compared at a revisit: two photographs of two dates, and the air at both."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN


@dataclass(frozen=True)
class ComparisonOfViews:
    """Two views that are to be laid on one another, and the air that the object had settled to.

    `repeat_view_id` is a second photograph of the earlier day, the camera taken down between; it
    is "" when there is none. Humidity and temperature are None where they are not known.
    """

    earlier_view_id: str
    later_view_id: str
    repeat_view_id: str = ""
    earlier_percent: float | None = None
    later_percent: float | None = None
    air_expanded_percent: float = 3.0
    earlier_degc: float | None = None
    later_degc: float | None = None
    air_from: str = NOT_KNOWN


def checked_comparison(comparison: ComparisonOfViews) -> ComparisonOfViews:
    """Return a comparison if it names different views and possible air."""
    views = [comparison.earlier_view_id, comparison.later_view_id, comparison.repeat_view_id]
    named = [one for one in views if one]
    if len(set(named)) != len(named):
        raise InputError(
            "A view cannot be compared with itself",
            allowed="two views of two dates, and a third for the floor",
            remedy="Choose another view",
        )
    for percent in (comparison.earlier_percent, comparison.later_percent):
        if percent is not None and not 0 <= percent <= 100:
            raise InputError("The humidity is not possible", value=percent, allowed="0 to 100 %RH")
    if not 0 < comparison.air_expanded_percent <= 50:
        raise InputError(
            "The ± of the humidity is not possible",
            value=comparison.air_expanded_percent,
            allowed="above 0 to 50 %RH",
        )
    for degrees in (comparison.earlier_degc, comparison.later_degc):
        if degrees is not None and not -40 <= degrees <= 80:
            raise InputError(
                "The temperature is not possible", value=degrees, allowed="-40 to 80 °C"
            )
    return comparison
