"""Propose: what is to be done, with what, under which limits, and the owner's consent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.propose import (
    air,
    colour,
    consent,
    fills,
    front,
    limits,
    materials,
    print,
    removing,
    removing_off,
    removing_shelf,
    secure,
    sight,
    spot,
    spot_prints,
    steps,
    tint,
    tint_recipe,
)

PAGES = (
    front,
    steps,
    materials,
    fills,
    spot,
    spot_prints,
    removing,
    removing_off,
    removing_shelf,
    air,
    limits,
    consent,
    secure,
    print,
    tint,
    tint_recipe,
    sight,
    colour,
)
