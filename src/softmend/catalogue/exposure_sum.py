"""Vapours that add up, and the fire line: shared by the air over the work and by a mixture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from softmend.catalogue.computation import Model
from softmend.catalogue.exposure_limit import STAND_IN_PPM, Limit, Period

if TYPE_CHECKING:
    from softmend.catalogue.solvency_agent import Known
    from softmend.science.uncertain import Band

FLAMMABLE_DEGC = 23.0
HYDROCARBONS = ("hydrocarbon", "hydrocarbon mix", "aromatic", "terpene")
ALCOHOLS = ("alcohol", "methanol")


class IndexBand(Model):
    """A mixture index: its 5, 50 and 95 % points; above 1 is over."""

    low: float
    typical: float
    high: float
    text: str


class IndexLine(Model):
    """The mixture index of one period, over the parts that have a limit and over all.

    `known` is missing when no part has a limit. `careful` reckons parts without one with a careful
    figure.
    """

    period: Period
    known: IndexBand | None
    careful: IndexBand
    with_limit: int
    parts: int
    is_complete: bool
    text: str


class FireLine(Model):
    """What burns: the flash point to reckon with, the room's share of the limit, saturated air."""

    flash_degc: float | None
    text: str
    is_highly_flammable: bool | None
    room_share_of_limit_percent: float | None
    quarter_of_limit_ml: float | None
    with_limit: int
    parts: int


def index_line(period: Period, means: Sequence[Any], limits: Sequence[Limit]) -> IndexLine:
    """Return the index of a mixture for one period; means are numbers or draws [kg/m3]."""
    from softmend.science.solvency.breathing import index_draws
    from softmend.science.uncertain import Band

    masses = [one.mass for one in limits]
    draws, all_draws = index_draws(means, masses, [one.stand_in for one in limits])
    known = None if draws is None else _band(Band.of(draws))
    careful = _band(Band.of(all_draws))
    have = [mass for mass in masses if mass is not None]
    lack = len(masses) - len(have)
    counted = f"{len(have)} of {len(limits)} components have a limit for {period}"
    if known is None:
        text = (
            f"{period}: not known, {counted}; with a careful {STAND_IN_PPM:g} ppm: {careful.text}."
        )
    elif lack:
        text = (
            f"{period}: {known.text} of the limit, incomplete, {counted}; with a careful "
            f"{STAND_IN_PPM:g} ppm for the rest: {careful.text}."
        )
    else:
        text = f"{period}: {known.text} of the limit ({counted})."
    return IndexLine(
        period=period, known=known, careful=careful, with_limit=len(have), parts=len(limits),
        is_complete=not lack, text=text,
    )  # fmt: skip


def fire_line(parts: Sequence[Known], room: Sequence[float]) -> FireLine:
    """Return what burns; `room` is the vapour of each part in the room [kg/m3]."""
    from softmend.science.solvency.mixed_air import ALARM_SHARE, blend_flash, flammable_share

    groups = [one.group for one in parts]
    flash = blend_flash(
        [one.flash for one in parts],
        has_alcohol=any(group in ALCOHOLS for group in groups),
        has_hydrocarbon=any(group in HYDROCARBONS for group in groups),
    )
    told = [
        (one, amount, one.flammable_limit, one.molar_mass)
        for one, amount in zip(parts, room, strict=True)
        if one.flammable_limit is not None and one.molar_mass is not None
    ]
    share = quarter = None
    if told:
        masses = [mass for *_, mass in told if mass is not None]
        bounds = [bound for _, _, bound, _ in told if bound is not None]
        share = flammable_share([amount for _, amount, _, _ in told], masses, bounds)
        a_ml = [one.volume_share * (one.density or 0.0) * 1e-6 for one, *_ in told]
        whole = flammable_share(a_ml, masses, bounds)
        quarter = ALARM_SHARE / whole if whole > 0 else None
    unknown = any(one.flash is None and not one.is_known_not_to_flash for one in parts)
    return FireLine(
        flash_degc=flash,
        text=_fire_text(flash, share, quarter, len(parts) > 1, unknown=unknown),
        is_highly_flammable=None if flash is None and unknown else bool(
            flash is not None and flash < FLAMMABLE_DEGC
        ),
        room_share_of_limit_percent=None if share is None else float(f"{100 * share:.2g}"),
        quarter_of_limit_ml=None if quarter is None else float(f"{quarter:.2g}"),
        with_limit=len(told),
        parts=len(parts),
    )  # fmt: skip


def _fire_text(
    flash: float | None, share: float | None, quarter: float | None, blend: bool, *, unknown: bool
) -> str:
    words = []
    if flash is None:
        words.append("Flash point not known: take it as flammable." if unknown
                     else "No flash point by test; its vapour may still burn.")  # fmt: skip
    else:
        sign = "HIGHLY FLAMMABLE. " if flash < FLAMMABLE_DEGC else ""
        rule = ", or lower: a blend can flash below every part" if blend else ""
        degrees = f"{flash:g}".replace("-", "−")
        words.append(f"{sign}Reckon with a flash point of {degrees} °C{rule}.")
    if quarter is not None:
        words.append(
            f"About {float(f'{quarter:.2g}'):g} mL evaporated in 1 m³ reaches a quarter of the "
            "lower flammable limit; a bag or a hood holds less."
        )
    if share is not None and share > 0.25:
        words.append("THE ROOM MAY REACH A QUARTER OF THE LOWER FLAMMABLE LIMIT: do not do this.")
    return " ".join(words)


def _band(band: Band) -> IndexBand:
    from softmend.science.digits import band_text

    low, typical, high = band.low, band.typical, band.high
    least, middle, most = (float(f"{100 * one:.2g}") for one in (low, typical, high))
    text = f"{middle:g} %" if low == high else band_text(least, middle, most, "%")
    return IndexBand(low=low, typical=typical, high=high, text=text)
