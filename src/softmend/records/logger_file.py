"""A logger's file as a house keeps it: the raw bytes by their hash, and the reading confirmed.

Nothing of the file is changed. What looked wrong in it is written down as flags; what is missing
stays missing. Rule 18: no yearly band from under thirteen months of hourly readings.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN

SHORTEST_BAND_DAYS = 365.25 + 30
"""A year, and fifteen days before and after it."""
COARSEST_BAND_HOURS = 1.0


class Beside(Enum):
    """Where in a place a logger hangs."""

    ROOM = "in the room"
    CASE = "in the case"


@dataclass(frozen=True)
class LoggerFile:
    """One logger of one file, read as a person confirmed, with what stood out and its coverage.

    `meanings` are pairs of a column's name and what it holds. `counted_from` is the start that a
    person stated for rows that count their time. Several files of one `logger` follow
    one another; several loggers may hang in one place.
    """

    place_id: str
    logger: str
    original_name: str
    original_sha256: str
    delimiter: str
    decimal: str
    day_order: str
    zone: str
    temperature_unit: str
    humidity_unit: str
    start_at: str
    end_at: str
    reading_count: int
    step_hours: float
    coverage_percent: float
    flags: tuple[str, ...] = ()
    name_in_file: str = ""
    meanings: tuple[tuple[str, str], ...] = ()
    beside: Beside = Beside.ROOM
    showcase_id: str = ""
    rh_offset_percent: float = 0.0
    temperature_offset_degc: float = 0.0
    calibrated_on: str = NOT_KNOWN
    calibrated_how: str = NOT_KNOWN
    sensor_percent: float = 3.0
    counted_from: str = ""


def checked_file(kept: LoggerFile) -> LoggerFile:
    """Return the record of a file if it names its logger and its offsets are possible."""
    if not 0 < len(kept.logger.strip()) <= 120:
        raise InputError(
            "A logger needs a name",
            value=kept.logger[:50],
            allowed="1 to 120 characters",
            remedy="Say which logger this is and where it hangs: “north wall”, “in the case”",
        )
    if not re.fullmatch(r"[0-9a-f]{64}", kept.original_sha256):
        raise InputError("A logger's file is named by its hash", value=kept.original_sha256[:70])
    limits = (
        ("The offset of humidity", kept.rh_offset_percent, -20.0, 20.0, "%RH"),
        ("The offset of temperature", kept.temperature_offset_degc, -10.0, 10.0, "K"),
        ("How far the sensor may be off", kept.sensor_percent, 0.0, 20.0, "%RH"),
    )
    for words, value, least, most, unit in limits:
        if not least <= value <= most:
            raise InputError(
                f"{words} is outside what is possible",
                value=f"{value:g} {unit}",
                allowed=f"{least:g} to {most:g} {unit}",
                remedy="Correct the number",
            )
    if kept.beside is Beside.CASE and not kept.showcase_id:
        raise InputError(
            "A logger in a case needs its case", remedy="Describe the case first, then choose it"
        )
    if (kept.rh_offset_percent or kept.temperature_offset_degc) and kept.calibrated_how in (
        "",
        NOT_KNOWN,
    ):
        raise InputError(
            "An offset needs its calibration",
            value=f"{kept.rh_offset_percent:+g} %RH, {kept.temperature_offset_degc:+g} K",
            remedy="Say what the logger was compared with: a salt, a reference instrument",
        )
    return kept


def check_band_record(days: float, step_hours: float) -> None:
    """Refuse a yearly band from a short or a coarse record (rule 18); there is no way round."""
    if days < SHORTEST_BAND_DAYS - step_hours / 24 - 1e-3:
        raise RuleError(
            f"A yearly band needs thirteen months; this record spans {days:.0f} days",
            rule=18,
            remedy="Go on logging; until then only “so far” can be said",
        )
    if step_hours > COARSEST_BAND_HOURS + 1e-3:
        raise RuleError(
            f"A yearly band needs hourly readings; this record has one in {step_hours:g} h",
            rule=18,
            remedy="Set the logger to an hour or less; until then only “so far” can be said",
        )
