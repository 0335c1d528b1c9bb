"""The air over the work, and what is asked before the first swab: gloves, fire, waste, residues."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.spot_test import Share


@dataclass(frozen=True)
class AirQuestion:
    """What is used up in which air: numbers as typed; None was not known.

    Two solvents in one working period add up: they stand here together, as shares of what is used.
    `gloves`, `ignition` and `waste` are answered before the first swab; "not known" is no answer
    to them. Whether pesticide residues were tested for is a hazard of the object.
    """

    shares: tuple[Share, ...] = ()
    used_ml_per_h: float | None = None
    work_minutes: float | None = None
    stays_minutes: float = 0.0
    room_volume_m3: float | None = None
    air_changes_per_h: float | None = None
    air_flow_m3_per_h: float | None = None
    captured_percent: float | None = None
    head_distance_mm: float | None = None
    limit_list: str = "UK EH40"
    extraction: str = NOT_KNOWN
    gloves: str = NOT_KNOWN
    breakthrough: str = NOT_KNOWN
    ignition: str = NOT_KNOWN
    waste: str = NOT_KNOWN
    eyes: str = NOT_KNOWN
    sheet_read: str = NOT_KNOWN


ASKED = (
    ("gloves", "Which gloves, by the maker's chart for this solvent?"),
    ("ignition", "Which lamps, hot air, heated tools or sparks are near?"),
    ("waste", "Where do swabs and waste go?"),
)


def checked_air(air: AirQuestion) -> AirQuestion:
    """Return the question if air leaves the room one way only and shares make the whole."""
    if air.air_changes_per_h is not None and air.air_flow_m3_per_h is not None:
        raise InputError(
            "The air of the room is given twice",
            value=f"{air.air_changes_per_h:g} changes per hour and {air.air_flow_m3_per_h:g} m³/h",
            allowed="air changes, or the air that leaves, not both",
        )
    total = sum(one.volume_percent for one in air.shares)
    if air.shares and abs(total - 100) > 0.5:
        raise InputError(
            "The shares of what is used do not make the whole",
            value=f"{total:g} %",
            allowed="100 %",
        )
    return air


def unasked_before_swab(air: AirQuestion | None, residues_asked: bool) -> tuple[str, ...]:
    """Return the questions that nobody answered yet before the first swab."""
    found = [words for name, words in ASKED if air is None or getattr(air, name) == NOT_KNOWN]
    if not residues_asked:
        found.append("Were pesticide residues tested for? “Not tested” is an answer")
    return tuple(found)


def check_asked_before_swab(air: AirQuestion | None, residues_asked: bool) -> None:
    """Refuse the first swab while gloves, fire, waste or residues were not asked about."""
    owed = unasked_before_swab(air, residues_asked)
    if owed:
        raise RuleError(
            f"Before the first swab: {' '.join(owed)}",
            remedy="Answer under The air; what is not tested is recorded as not tested",
        )


def numbers_missing(air: AirQuestion) -> tuple[str, ...]:
    """Return what is still needed before the air can be reckoned."""
    wanted = (
        (bool(air.shares), "which solvent"),
        (air.used_ml_per_h is not None, "mL used in an hour"),
        (air.work_minutes is not None, "minutes of work"),
        (air.room_volume_m3 is not None, "the size of the room"),
        (
            air.air_changes_per_h is not None or air.air_flow_m3_per_h is not None,
            "air changes per hour, or the air that leaves the room",
        ),
    )
    return tuple(words for known, words in wanted if not known)
