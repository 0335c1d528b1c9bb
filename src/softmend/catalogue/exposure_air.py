"""The air that a person breathes over the work: near and far, against a named limit, as a band."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Asked,
    Estimate,
    Model,
    Sourced,
    Words,
    WorkingValue,
    estimate,
    worked,
)
from softmend.catalogue.exposure_limit import Limit, Period, age_words, hazards_of, limit_of
from softmend.catalogue.exposure_sum import FireLine, IndexLine, fire_line, index_line
from softmend.catalogue.solvency_agent import (
    AgentInput,
    Known,
    SolvencyAnswer,
    known_parts,
    marks,
    wanted,
    worked_liquids,
)
from softmend.tables.exposure_limits import DEFAULT_LIST

if TYPE_CHECKING:
    from softmend.science.propagation import Spread
    from softmend.science.solvency.breathing import Vapour, Work
    from softmend.science.uncertain import Array

HOUR, MINUTE = 3600.0, 60.0
MG_PER_KG = 1e6
CAUTIONS = (
    "An estimate of inhaled vapour only, to a factor of three to either side; it never says safe "
    "and never replaces extraction. Control further even under 100 %.",
    "A COSHH assessment and the supplier's safety data sheet come first.",
    "Limits are as remembered and dated; look up today's in your own country.",
    "A limit that is not known is not zero, and not “safe”.",
    "Gloves from the maker's breakthrough chart for this solvent: nitrile is poor for ketones, "
    "esters, dichloromethane and NMP.",
    "No ignition, static, hot air, heated tools or hot lamps. Swabs into a closed metal bin.",
    "Never acetone with chloroform and a base. Ethers are dated: they form peroxides.",
    "Old specimens may hold arsenic, mercury or organic pesticides: ask whether residues were "
    "tested for before the first swab; swabs and dust then count as hazardous waste.",
    "Two solvents in one working period add up: give them together.",
)
QUESTIONS = (
    "Were pesticide residues tested for? Points, method, limit?",
    "Which lamps, hot air or heated tools are near?",
    "Which gloves, and their breakthrough time for this solvent?",
    "Where do swabs and waste go?",
)


class AirInput(AgentInput):
    """What is used up in a room: mL in an hour, minutes, the room, and how near the head is.

    The shortest: `{"parts": ["acetone"], "used_ml_per_h": 5, "work_minutes": 60,
    "room_volume_m3": 50, "air_changes_per_h": 3}`. Give `air_changes_per_h` or, with an extractor
    that takes air from the room, `air_flow_m3_per_h`. `captured_percent` is what local extraction
    takes at the work.
    """

    used_ml_per_h: Sourced
    work_minutes: Sourced
    room_volume_m3: Sourced
    air_changes_per_h: Sourced | None = None
    air_flow_m3_per_h: Sourced | None = None
    head_distance_mm: Sourced = Sourced(
        value={"low": 200, "typical": 300, "high": 450}, kind="estimated", origin="a usual reach"
    )
    air_speed_m_per_min: Sourced = Sourced(
        value={"low": 1.5, "typical": 3.6, "high": 9.0}, kind="estimated", origin="quiet indoor air"
    )
    captured_percent: Sourced | None = None
    stays_minutes: Annotated[float, Field(ge=0, le=480)] = 0.0
    limit_list: Words = DEFAULT_LIST
    pesticide_residues: Literal["not tested", "none found", "found"] = "not tested"


class AgainstLimit(Model):
    """A concentration near the head against one limit; the share is not known without one."""

    period: Period
    mean_mg_per_m3: Estimate
    limit: str
    limit_mg_per_m3: float | None
    share_of_limit_percent: Estimate | None
    wording: str


class VapourOf(Model):
    """The vapour of one liquid: near the head and in the room, and against its limits."""

    solvent: str
    source_mg_per_min: Estimate
    near_steady_mg_per_m3: Estimate
    far_steady_mg_per_m3: Estimate
    near_at_end_mg_per_m3: Estimate
    limits: tuple[AgainstLimit, ...]


class AirAnswer(SolvencyAnswer):
    """Near and far air, the mixture as a whole, fire, and what no number outweighs."""

    text: str = ""
    model: str = "two zones: the air about the work, and the rest of the room"
    vapours: tuple[VapourOf, ...] = ()
    mixture: tuple[IndexLine, ...] = ()
    fire: FireLine | None = None
    questions: tuple[str, ...] = QUESTIONS


def air(given: AirInput, asked: Asked) -> AirAnswer:
    """Return the vapour near the head and in the room against the limits of one named list."""
    parts = known_parts(given.parts)
    from softmend.science.solvency.breathing import vapour, work_draws

    work = _work(given)
    draws = work_draws(work, asked.seed)
    found = [vapour(draws, one.volume_share * wanted(one, "density"), work.stays) for one in parts]
    vapours = [_shown(given, one, each, draws) for one, each in zip(parts, found, strict=True)]
    periods: tuple[Period, Period] = ("8 h", "15 min")
    limits = {
        period: [limit_of(one, period, given.limit_list) for one in parts] for period in periods
    }
    lines = (
        index_line("8 h", [one.shift_mean for one in found], limits["8 h"]),
        index_line("15 min", [one.quarter_mean for one in found], limits["15 min"]),
    )
    room = [one.far_steady_mg_per_m3.high / MG_PER_KG for one in vapours]
    working = _working(given, parts, [one for period in periods for one in limits[period]])
    return AirAnswer(
        text=_text(vapours, lines),
        vapours=tuple(vapours),
        mixture=lines,
        fire=fire_line(parts, room),
        warnings=tuple(_warnings(given, parts, limits["8 h"], lines)),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )


def _work(given: AirInput) -> Work:
    from softmend.science.solvency.breathing import Work

    changes, flow = given.air_changes_per_h, given.air_flow_m3_per_h
    captured = given.captured_percent
    return Work(
        amount=given.used_ml_per_h.uncertain().scaled(1e-6 / HOUR),
        lasts=given.work_minutes.uncertain().scaled(MINUTE),
        room=given.room_volume_m3.uncertain(),
        reach=given.head_distance_mm.uncertain().scaled(1e-3),
        air_speed=given.air_speed_m_per_min.uncertain().scaled(1 / MINUTE),
        changes=None if changes is None else changes.uncertain().scaled(1 / HOUR),
        flow=None if flow is None else flow.uncertain().scaled(1 / HOUR),
        captured=None if captured is None else captured.uncertain().scaled(0.01),
        stays=given.stays_minutes * MINUTE,
    )


def _shown(given: AirInput, one: Known, found: Vapour, draws: dict[str, Array]) -> VapourOf:
    def shown(values: Array, factor: float, unit: str) -> Estimate:
        return estimate(_spread(values, draws), factor, unit)

    means: tuple[tuple[Period, Array], ...] = (
        ("8 h", found.shift_mean),
        ("15 min", found.quarter_mean),
    )
    return VapourOf(
        solvent=one.name,
        source_mg_per_min=shown(found.source, MG_PER_KG * MINUTE, "mg/min"),
        near_steady_mg_per_m3=shown(found.near_steady, MG_PER_KG, "mg/m³"),
        far_steady_mg_per_m3=shown(found.far_steady, MG_PER_KG, "mg/m³"),
        near_at_end_mg_per_m3=shown(found.near_at_end, MG_PER_KG, "mg/m³"),
        limits=tuple(
            _against(period, mean, limit_of(one, period, given.limit_list), draws)
            for period, mean in means
        ),
    )


def _spread(values: Array, draws: dict[str, Array]) -> Spread:
    from softmend.science.propagation import spread

    return spread(values, draws)


def _against(period: Period, mean: Array, limit: Limit, draws: dict[str, Array]) -> AgainstLimit:
    from softmend.science.wording import strength

    shown = estimate(_spread(mean, draws), MG_PER_KG, "mg/m³")
    if limit.mass is None:
        return AgainstLimit(
            period=period, mean_mg_per_m3=shown, limit=limit.named, limit_mg_per_m3=None,
            share_of_limit_percent=None,
            wording="no limit is known: not known is not zero and not safe",
        )  # fmt: skip
    over = float((mean > limit.mass).mean())
    return AgainstLimit(
        period=period,
        mean_mg_per_m3=shown,
        limit=limit.named,
        limit_mg_per_m3=round(limit.mass * MG_PER_KG, 3),
        share_of_limit_percent=estimate(_spread(mean / limit.mass, draws), 100, "%"),
        wording=f"over this limit: {strength(over)}",
    )


def _text(vapours: Sequence[VapourOf], lines: Sequence[IndexLine]) -> str:
    first = vapours[0]
    ends = first.near_at_end_mg_per_m3.text
    return (
        f"Near the head at the end: {ends} of {first.solvent}"
        f"{' and the others' if len(vapours) > 1 else ''}. "
        + " ".join(one.text for one in lines)
        + " An estimate, to a factor of three; control further even under 100 %."
    )


def _warnings(
    given: AirInput, parts: Sequence[Known], limits: Sequence[Limit], lines: Sequence[IndexLine]
) -> list[str]:
    found = [words for one in parts for words in hazards_of(one)]
    found += age_words(limits)
    if any(not one.is_complete for one in lines):
        found.append("Some parts have no limit: the index is not complete.")
    if given.pesticide_residues != "none found":
        found.append(f"Pesticide residues: {given.pesticide_residues}. Ask before the first swab.")
    if any(one.id == "dmso" for one in parts):
        found.append("DMSO carries dissolved residues through skin and gloves.")
    work = given.work_minutes.uncertain().mean
    changes = given.air_changes_per_h
    if changes is not None and changes.uncertain().mean * work / 60 < 2:
        found.append("The room has not come to its level by then: longer work breathes more.")
    return found


def _working(
    given: AirInput, parts: Sequence[Known], limits: Sequence[Limit]
) -> list[WorkingValue]:
    fields = (
        ("used", given.used_ml_per_h, "mL/h"), ("time of work", given.work_minutes, "min"),
        ("room", given.room_volume_m3, "m³"),
        ("air changes", given.air_changes_per_h, "per hour"),
        ("air that leaves", given.air_flow_m3_per_h, "m³/h"),
        ("head over the work", given.head_distance_mm, "mm"),
        ("speed of the air", given.air_speed_m_per_min, "m/min"),
        ("captured at the work", given.captured_percent, "%"),
    )  # fmt: skip
    lines = [worked(name, value, unit) for name, value, unit in fields if value is not None]
    lines.append(
        WorkingValue(name="the model itself", text="a factor of three to either side",
                     kind="estimated", origin="two-zone means against measured ones")
    )  # fmt: skip
    names = ["density", "molar_mass", "flammable_limit", "flash"]
    return [*lines, *worked_liquids(parts, names), *(one.working() for one in limits)]
