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
from softmend.catalogue.exposure_limit import Limit, Period, hazards_of, limit_of
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
from softmend.errors import InputError
from softmend.tables.exposure_limits import DEFAULT_LIST

if TYPE_CHECKING:
    from softmend.science.propagation import Spread
    from softmend.science.uncertain import Array, Uncertain

HOUR, MINUTE, SHIFT, QUARTER = 3600.0, 60.0, 8 * 3600.0, 900.0
MG_PER_KG = 1e6
DRAWS, DENSITY_SD = 4000, 0.005
MODEL_CV = 0.751
"""Of the model itself: log-normal, 5 to 95 % a factor of three to either side."""
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
    draws = _draws(given, asked.seed)
    vapours: list[VapourOf] = []
    means: dict[str, list[Array]] = {"8 h": [], "15 min": []}
    for one in parts:
        shown, found = _vapour(given, one, draws)
        vapours.append(shown)
        for period, value in found.items():
            means[period].append(value)
    periods: tuple[Period, Period] = ("8 h", "15 min")
    limits = {period: [limit_of(one, period, given.limit_list) for one in parts]
              for period in periods}  # fmt: skip
    lines = tuple(index_line(period, means[period], limits[period]) for period in periods)
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


def _draws(given: AirInput, seed: int) -> dict[str, Array]:
    """Return draws of everything uncertain, in SI."""
    import numpy as np

    from softmend.science.uncertain import Uncertain

    rng = np.random.default_rng(seed)
    captured = given.captured_percent
    values: dict[str, Uncertain] = {
        "amount used": given.used_ml_per_h.uncertain().scaled(1e-6 / HOUR),
        "time of work": given.work_minutes.uncertain().scaled(MINUTE),
        "room": given.room_volume_m3.uncertain(),
        "air that leaves": _flow(given),
        "distance of the head": given.head_distance_mm.uncertain().scaled(1e-3),
        "speed of the air": given.air_speed_m_per_min.uncertain().scaled(1 / MINUTE),
        "density": Uncertain.normal(1.0, DENSITY_SD),
        "the model": Uncertain.log_normal(1.0, MODEL_CV),
    }
    if captured is not None:
        values["captured"] = captured.uncertain().scaled(0.01)
    found = {name: value.draw(DRAWS, rng) for name, value in values.items()}
    if given.air_changes_per_h is not None:
        found["air that leaves"] = found["air that leaves"] * found["room"]
    _refuse_slips(found)
    return found


def _flow(given: AirInput) -> Uncertain:
    changes, flow = given.air_changes_per_h, given.air_flow_m3_per_h
    if (changes is None) == (flow is None):
        raise InputError(
            "How the room is aired must be given once",
            value="both" if changes is not None else "neither",
            allowed="air_changes_per_h or air_flow_m3_per_h",
            remedy="A closed room still changes its air 0.2 to 0.5 times an hour",
        )
    chosen = changes if changes is not None else flow
    return (chosen or given.room_volume_m3).uncertain().scaled(1 / HOUR)


LIMITS = {
    "amount used": (0.0, 1e-2 / HOUR, "0 to 10 000 mL/h"),
    "time of work": (1.0, SHIFT, "above 0 to 480 minutes"),
    "room": (1.0, 1e6, "1 to 1 000 000 m3"),
    "air that leaves": (1e-6, 1e4, "above 0"),
    "distance of the head": (0.02, 3.0, "20 to 3000 mm"),
    "speed of the air": (1e-4, 10.0, "above 0 to 600 m/min"),
    "captured": (0.0, 0.98, "0 to 98 %: no local extraction takes all"),
}


def _refuse_slips(draws: dict[str, Array]) -> None:
    for name, (least, most, allowed) in LIMITS.items():
        if name in draws and not (draws[name].min() >= least and draws[name].max() <= most):
            raise InputError(
                f"The {name} may be out of range",
                value=f"{draws[name].min():.3g} to {draws[name].max():.3g} in SI",
                allowed=allowed,
            )


def _vapour(
    given: AirInput, one: Known, draws: dict[str, Array]
) -> tuple[VapourOf, dict[str, Array]]:
    import numpy as np

    from softmend.science.solvency.exposure import Zones, near_zone, two_zone, two_zone_mean

    escapes = 1 - draws.get("captured", np.zeros(DRAWS))
    mass = one.volume_share * wanted(one, "density") * draws["density"]
    source = draws["amount used"] * mass * escapes
    volume, between = near_zone(draws["distance of the head"], draws["speed of the air"])
    far = np.maximum(draws["room"] - volume, 0.5 * draws["room"])
    zones = Zones(volume, far, between, draws["air that leaves"])
    work, slip = draws["time of work"], draws["the model"]
    steady_near, steady_far = two_zone(np.full(DRAWS, 1e9), source, zones)
    near_end, _ = two_zone(work, source, zones)
    # Of the shift: whoever works, then stays near, then breathes clean air.
    ends = np.minimum(work + given.stays_minutes * MINUTE, SHIFT)
    whole = two_zone_mean(0.0, ends, work, source, zones)[0] * ends / SHIFT
    # The worst quarter of an hour ends when the work does.
    begins = np.maximum(work - QUARTER, 0.0)
    quarter = two_zone_mean(begins, begins + QUARTER, work, source, zones)[0]
    means = {"8 h": whole * slip, "15 min": quarter * slip}

    def shown(values: Array, factor: float, unit: str) -> Estimate:
        return estimate(_spread(values, draws), factor, unit)

    return VapourOf(
        solvent=one.name,
        source_mg_per_min=shown(source, MG_PER_KG * MINUTE, "mg/min"),
        near_steady_mg_per_m3=shown(steady_near * slip, MG_PER_KG, "mg/m³"),
        far_steady_mg_per_m3=shown(steady_far * slip, MG_PER_KG, "mg/m³"),
        near_at_end_mg_per_m3=shown(near_end * slip, MG_PER_KG, "mg/m³"),
        limits=tuple(
            _against(period, means[period], limit_of(one, period, given.limit_list), draws)
            for period in ("8 h", "15 min")
        ),
    ), means


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
    dates = sorted({one.date for one in limits if one.date})
    if dates:
        found.append(
            f"The limits are those of {', '.join(dates)}: a limit over two years old is stale; "
            "look up today's."
        )
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
