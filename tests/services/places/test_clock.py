"""Moments in sentences, told by the clock on a place's wall."""
# SPDX-License-Identifier: Apache-2.0

import pytest

from softmend.records.dossier import NOT_KNOWN
from softmend.services.places.clock import by_clock


@pytest.mark.parametrize(
    ("text", "zone", "told"),
    [
        # Central Europe is one hour ahead in November and two in July.
        ("at 2024-11-06T23:00Z, kept", "Europe/Oslo", "at 2024-11-07 00:00 Europe/Oslo, kept"),
        ("2024-07-06 23:00 UTC", "Europe/Oslo", "2024-07-07 01:00 Europe/Oslo"),
        (
            "used, 2024-11-06T23:00Z to 2024-11-07T08:30Z: 9 %",
            "Europe/Oslo",
            "used, 2024-11-07 00:00 to 2024-11-07 09:30 Europe/Oslo: 9 %",
        ),
        ("2024-11-06T23:00Z", NOT_KNOWN, "2024-11-06 23:00 UTC"),
        ("hour 12 to hour 20 of 2024-11-06", "Europe/Oslo", "hour 12 to hour 20 of 2024-11-06"),
    ],
)
def test_moments_are_told_by_the_clock_of_the_place(text: str, zone: str, told: str) -> None:
    assert by_clock(text, zone) == told
    assert by_clock(told, zone) == told
