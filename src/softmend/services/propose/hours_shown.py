"""Hours and weeks as they are shown: in the digits they deserve, with the picture of the weeks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.pictures.weeks import weeks_of, weeks_size, weeks_svg
from softmend.report.proposal_report import EstimateShown
from softmend.science.digits import band_text, rounded
from softmend.services.propose.hours import estimates_in
from softmend.services.store import Reader

_MINUTES_AN_HOUR = 60.0
STANDS_STILL = {"drying": "drying", "consent": "waiting for consent", "other": "other waits"}


def hours_words(band: Mapping[str, Any]) -> str:
    """Return a band of bench hours, its digits from its width: "0.40 (0.20 to 0.90) h"."""
    return band_text(band["low"], band["typical"], band["high"], "h")


def spent_words(hours: float) -> str:
    """Return logged bench time: minutes below an hour, then hours and tenths; "" for none."""
    if hours <= 0:
        return ""
    minutes = hours * _MINUTES_AN_HOUR
    return f"{minutes:.0f} min" if minutes < _MINUTES_AN_HOUR else f"{hours:.1f} h"


def spread_words(outputs: Mapping[str, Any]) -> str:
    """Return the mean of a plan and both its standard deviations, in one sentence."""
    together = outputs["sd_together_hours"]
    mean = rounded(outputs["mean_hours"], together)
    apart = rounded(outputs["sd_apart_hours"], outputs["sd_apart_hours"])
    return (
        f"mean {mean.value} h; standard deviation {apart.value} h if the tasks were independent, "
        f"{mean.uncertainty or '0'} h if they move together: mostly they do"
    )


def still_words(days: Mapping[str, Any]) -> str:
    """Return for how long the bench stands still, in working days."""
    low, high = round(days["low_days"]), round(days["high_days"])
    if high < 1:
        return "less than a working day"
    if low < high:
        return f"{low} to {high} working days"
    return "1 working day" if high == 1 else f"{high} working days"


def _wanted(wanted_on: str, said: str) -> str:
    return f"{wanted_on}: {said}" if wanted_on and said else said


def estimate_shown(reader: Reader, dossier_id: str) -> EstimateShown | None:
    """Return the newest estimate as it is printed, or None while nobody has made one."""
    kept = next(iter(estimates_in(reader, dossier_id)), None)
    if kept is None:
        return None
    estimate = kept.estimate
    weeks, hours = estimate.weeks_run.outputs, estimate.hours_run.outputs
    drawn = weeks_of(estimate.weeks_run.inputs, weeks)
    return EstimateShown(
        number=estimate.number,
        estimate_class=estimate.estimate_class.value,
        estimated_on=estimate.estimated_on,
        basis=estimate.basis,
        weeks=weeks["text"],
        ends=f"about {weeks['middle_on']}, from {weeks['early_on']} to {weeks['late_on']}",
        wanted=_wanted(estimate.weeks_run.inputs.get("wanted_on", ""), weeks["wanted_text"]),
        hours=hours_words(hours["total_hours"]),
        spread=spread_words(hours),
        tasks=tuple(
            (one["name"], hours_words(one["hours"]), one["rests_on"]) for one in hours["tasks"]
        ),
        standing_still=tuple(
            (STANDS_STILL[one["because"]], still_words(one["working_days"]))
            for one in weeks["standing_still"]
        ),
        drivers=tuple(weeks["drivers"]),
        warnings=tuple(weeks["warnings"]),
        stale_because=kept.stale_because,
        drawing=weeks_svg(drawn),
        drawing_size=weeks_size(drawn),
    )
