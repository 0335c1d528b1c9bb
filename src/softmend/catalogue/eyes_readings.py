"""A crack measured at two humidities, as the mechanics of the opening takes it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from softmend.catalogue.computation import Asked, Estimate, Model, Sourced, estimate
from softmend.catalogue.eyes import measured_mm
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.photo.change import Opening


class Readings(Model):
    """One station at two humidities, as `moisture.opening` takes it."""

    first_width_mm: Sourced
    second_width_mm: Sourced
    first_percent: Sourced
    second_percent: Sourced


def opening_readings(
    air: tuple[Sourced | None, Sourced | None],
    scale: Any,
    asked: Asked,
    found: tuple[Opening, ...],
) -> Readings | None:
    """Return the widest stretch at both humidities, so that their difference is its opening."""
    from softmend.science.photo.change import LEAST_SWING_PERCENT

    if scale is None or air[0] is None or air[1] is None:
        return None
    if abs(air[0].uncertain().typical - air[1].uncertain().typical) < LEAST_SWING_PERCENT:
        return None
    one = max(found, key=lambda stretch: stretch.earlier_px)
    each = math.hypot(one.random_sd_px, one.systematic_px) / math.sqrt(2)
    wide = [
        measured_mm(scale, asked, one.at_px, one.way, value, {})
        for value in (one.earlier_px, one.earlier_px + one.opening_px)
    ]
    if wide[0] is None or wide[1] is None:
        return None
    mm_per_px = wide[0].mean / one.earlier_px
    first, second = (
        Sourced(
            value={"value": one_width.mean, "expanded": 2 * each * mm_per_px},
            kind="measured",
            origin="photo.change",
        )
        for one_width in (wide[0], wide[1])
    )
    return Readings(
        first_width_mm=first, second_width_mm=second, first_percent=air[0], second_percent=air[1]
    )


def per_percent(readings: Readings | None, asked: Asked) -> Estimate | None:
    """Return the opening for each percent of drying, or None where the air hardly differs."""
    from softmend.science.moisture.opening import opening_of_two
    from softmend.science.propagation import propagate

    if readings is None:
        return None
    try:
        found = opening_of_two(
            (readings.first_width_mm.uncertain(), readings.second_width_mm.uncertain()),
            (readings.first_percent.uncertain(), readings.second_percent.uncertain()),
            seed=asked.seed,
        )
    except InputError:
        return None
    return estimate(propagate(lambda opens: opens, {"opens": found.per_percent}), 1.0, "mm/%RH")
