"""What prints say of an object's place, from what was kept; nothing is computed anew for paper."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from softmend.pictures.year_strip import HEIGHT, WIDTH, StripDay, year_strip_svg, year_strip_words
from softmend.records.dossier import NOT_KNOWN
from softmend.records.payload import from_plain
from softmend.records.place import PlaceRun
from softmend.report.climate_shown import ClimateShown, CoatWay
from softmend.report.content import Quantity, Working
from softmend.services.examine.quantities import Outcome
from softmend.services.hand_over.coat import ABOUT as COAT
from softmend.services.hand_over.light import ABOUT as LIGHT
from softmend.services.hand_over.place import ABOUT as CLIMATE
from softmend.services.hand_over.place import strip_edges
from softmend.services.places.keep import kept_place_run
from softmend.services.store import Reader
from softmend.services.workings import working

CHECKS = (
    "photograph and gauge the cracks on day 1, 7 and 30 after it was placed, at 3 and 6 months, "
    "then every year; more often in its first heating season",
    "read the loggers, in the case and in the room, every month at first; one reading in 10 to 30 "
    "min, compared with a reference once a year and the offset noted",
)
GEL_USUAL = (
    "weigh it or read its humidity every month at first; condition it again when half the allowed "
    "drift is used; low-dust trays with a large face; no cobalt indicator near the object"
)
OF_THE_CASE = {"case", "air exchange", "capacity of the buffer", "drift of the buffer",
               "case warmer than room"}  # fmt: skip
FEWEST = ("joins are new", "A plan, not a promise", "opens cracks", "air exchange is guessed",
          "diffusivity of this object", "sensor may be off")  # fmt: skip


def coat_shown(reader: Reader, dossier_id: str) -> ClimateShown | None:
    """Return what a decision on coating was taken on, and nothing of the place; or None."""
    kept = kept_place_run(reader, dossier_id, COAT)
    if kept is None:
        return None
    _entry, run, stale = kept
    told: dict[str, Any] = {
        name: tuple(one) if isinstance(one, list) else one for name, one in _coat(run).items()
    }
    return ClimateShown(**told, coat_stale=(_stale(stale),) if stale else ())


def coat_working(reader: Reader, dossier_id: str) -> Working | None:
    """Return how a decision on coating was reckoned, without what is the registrar's; or None."""
    kept = kept_place_run(reader, dossier_id, COAT)
    if kept is None:
        return None
    _entry, run, stale = kept
    whole = working(run.computation, _NAMES[COAT], run.outputs, stale)
    results = [
        Quantity(f"{one['plan']}, the surface over a {share['over']}", f"{_swing(share)} %RH",
                 kind="derived")
        for one in run.outputs["plans"]
        for share in one["shares"]
    ]  # fmt: skip
    return replace(
        whole,
        values=tuple(one for one in whole.values if one.name not in OF_THE_CASE),
        results=tuple(results),
        cautions=(*whole.cautions, "The case's own values stand in the registrar's print."),
    )


def climate_shown(reader: Reader, dossier_id: str) -> ClimateShown | None:
    """Return what was kept of an object's place, of its light and of a coating, or None."""
    kept = {about: kept_place_run(reader, dossier_id, about) for about in (CLIMATE, LIGHT, COAT)}
    if not any(kept.values()):
        return None
    found: dict[str, Any] = {"works": [], "stale": []}
    for about, one in kept.items():
        if one is None:
            continue
        _entry, run, stale = one
        if stale:
            found["stale"].append(f"{about.capitalize()}: {stale}.")
        found |= _TELLS[about](run)
        answer = run.outputs["answer"] if about == CLIMATE else run.outputs
        found["works"].append(working(run.computation, _NAMES[about], answer, stale))
    whole: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in found.items()
    }
    return ClimateShown(**whole)


def _stale(stale: str) -> str:
    return f"What the coating was weighed on is {stale}."


def _climate(run: PlaceRun) -> dict[str, Any]:
    said = run.outputs
    low, high = said["limits"]
    days = [from_plain(StripDay, one) for one in said["days"]]
    basis = said["limits_basis"]
    record = f"the room's record, {said['record']}"
    return {
        "sentences": said["sentences"],
        "band": said["band"].replace("-", "\u2212", 1) if said["band"][:1] == "-" else said["band"],
        "basis": record if basis == NOT_KNOWN else f"{record}; hours counted by: {basis}",
        "wrong_mean": said["wrong_mean"],
        "strip": year_strip_svg(days, strip_edges(low, high, said["sensor_percent"])),
        "strip_words": year_strip_words(days),
        "strip_size": (WIDTH, HEIGHT),
        "checks": list(CHECKS),
        "triggers": list(_triggers(said)),
        "gel": list(_gel(said["gel"])),
        "cautions": list(_cautions(said["warnings"])),
    }


def _cautions(warnings: Sequence[str]) -> Iterator[str]:
    """Yield the first warning of each kind that a care sheet cannot do without."""
    for words in FEWEST:
        found = next((line for line in warnings if words in line), "")
        if found:
            yield found


def _triggers(said: Mapping[str, Any]) -> Iterator[str]:
    low, high = said["limits"]
    for_so_long = said["half_change_days"].replace(" (", ", from ").replace(")", "")
    yield (
        f"humidity below {low:g} or above {high:g} %RH, each ± {said['sensor_percent']:g} by the "
        f"sensor, for longer than one half-change of the object ({for_so_long} days)"
    )
    yield "after any move, shock, flood, loss of power, or a crack that looks wider than before"
    if high < 75:
        yield "humidity above 75 %RH for weeks: look for mould"


def _gel(gel: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if not gel:
        return
    routine = gel["routine"]
    yield "Gel", GEL_USUAL if routine == NOT_KNOWN else routine
    if gel["checked_every_days"] is not None:
        yield "Gel is looked at", f"every {gel['checked_every_days']:g} days"
    if gel["conditioned_on"] != NOT_KNOWN:
        at = gel["start_percent"]
        to = "" if at is None else f" to {at:g} %RH"
        yield "Gel was conditioned", f"{gel['conditioned_on']}{to}"


def _light(run: PlaceRun) -> dict[str, Any]:
    said: Outcome = run.outputs
    rules = [one["words"] for one in said["rules"]]
    return {
        "light": [
            f"{said['dose']}; the most sensitive part decides: {said['decides']}",
            *rules,
            "record the dose after every loan",
        ]
    }


def _coat(run: PlaceRun) -> dict[str, Any]:
    said: Outcome = run.outputs
    return {
        "coat_decision": said["decision"],
        "coat_over": [one["over"] for one in said["plans"][0]["shares"]],
        "coat_ways": [
            CoatWay(one["plan"], tuple(_swing(share) for share in one["shares"]))
            for one in said["plans"]
        ],
        "coat_added": list(said["added_in_case"][-1:]),
        "coat_basis": [
            f"Of a room that swings ± {run.inputs['swing_percent']:g} %RH"
            + (f", {said['swing_from']}" if "swing_from" in said else "")
            + f"; the film: {run.inputs['film_name']}, all round; a real one is thin, cracked and "
            "one-sided. In brackets: slow to fast objects in tight to leaky cases.",
            *said.get("assumed", ()),
        ],
    }


def _swing(share: Mapping[str, Any]) -> str:
    found = share["surface_swing_percent"]
    low, high = found["low"], found["high"]
    return f"± {found['typical']:.1f} ({low:.1f} to {high:.1f})"


_TELLS = {CLIMATE: _climate, LIGHT: _light, COAT: _coat}
_NAMES = {CLIMATE: "where it stands", LIGHT: "a year of display", COAT: "coat or not"}
