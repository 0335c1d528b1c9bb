"""Return: place, light, coat or not, care, papers, package and closing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.hand_over import (
    care,
    closing,
    coat,
    custody,
    front,
    light,
    package,
    papers,
    place,
)

PAGES = (
    care,
    place,
    coat,
    light,
    custody,
    papers,
    package,
    closing,
    front,
)
