"""Materials put on and taken off: signed amounts, what became of removed matter, and totals."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.mixing import refuse_bare_percentage


class Direction(Enum):
    """Which way matter went."""

    PUT_ON = "put on"
    TAKEN_OFF = "taken off"


class Stays(Enum):
    """Whether what was put on is meant to remain on the object."""

    ALL = "stays"
    PART = "stays in part"
    NONE = "does not stay"
    NOT_KNOWN = "not known"


class Fate(Enum):
    """What became of matter that was taken off."""

    KEPT = "kept"
    DISCARDED = "discarded"
    SAMPLED = "sampled"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Moved:
    """One material put on or taken off; an amount of None was not measured.

    `expanded_percent` is the half-width of the amount's 95 % interval; None is "not known".
    `batch_id` is empty for a material that no batch of this dossier holds. `fate` and
    `kept_where` tell what became of removed matter.
    """

    material: str
    direction: Direction = Direction.PUT_ON
    batch_id: str = ""
    mass_g: float | None = None
    volume_ml: float | None = None
    expanded_percent: float | None = None
    stays: Stays = Stays.NOT_KNOWN
    fate: Fate = Fate.NOT_KNOWN
    kept_where: str = NOT_KNOWN

    @property
    def is_measured(self) -> bool:
        """Say whether its mass or volume is known."""
        return self.mass_g is not None or self.volume_ml is not None


@dataclass(frozen=True)
class Sum:
    """A signed sum of amounts in one unit, and the half-width of its 95 % interval if known."""

    value: float
    expanded: float | None

    @classmethod
    def of(cls, amounts: Iterable[tuple[float, float | None]]) -> Sum | None:
        """Return the sum of signed amounts and their relative half-widths, or None of none."""
        listed = list(amounts)
        if not listed:
            return None
        known = [abs(value) * percent / 100 for value, percent in listed if percent is not None]
        expanded = math.hypot(*known) if len(known) == len(listed) else None
        return cls(math.fsum(value for value, _ in listed), expanded)


@dataclass(frozen=True)
class MaterialTotal:
    """Everything moved of one material and batch: the sums, and how often none was measured.

    `remains` says whether any of it is meant to be on the object still.
    """

    material: str
    batch_id: str
    put_on_g: Sum | None
    put_on_ml: Sum | None
    taken_off_g: Sum | None
    taken_off_ml: Sum | None
    times: int
    unmeasured: int
    remains: str


def checked_moved(moved: Moved) -> Moved:
    """Return a movement of matter if it names its material and its amounts are possible."""
    if not moved.material.strip():
        raise InputError(
            "What was put on or taken off needs a name", remedy="Say which material, or “not known”"
        )
    refuse_bare_percentage(moved.material)
    for name, amount in (("mass", moved.mass_g), ("volume", moved.volume_ml)):
        if amount is not None and not (math.isfinite(amount) and 0 < amount <= 1e6):
            raise InputError(
                f"The {name} of {moved.material} is not possible",
                value=amount,
                allowed="more than 0; the direction says put on or taken off",
            )
    percent = moved.expanded_percent
    if percent is not None and not 0 <= percent <= 100:
        raise InputError("An uncertainty is a share", value=percent, allowed="0 to 100 %")
    if moved.fate in (Fate.KEPT, Fate.SAMPLED) and moved.kept_where in ("", NOT_KNOWN):
        raise InputError(
            f"“{moved.material}: {moved.fate.value}” needs its place",
            remedy="Say where it lies now: bag, box, drawer, laboratory",
        )
    return moved


def material_totals(movements: Sequence[Moved]) -> tuple[MaterialTotal, ...]:
    """Return the totals by material and batch, in the order in which each was first moved."""
    keys = dict.fromkeys((one.material.casefold(), one.batch_id) for one in movements)
    return tuple(
        _total([one for one in movements if (one.material.casefold(), one.batch_id) == key])
        for key in keys
    )


def _total(same: Sequence[Moved]) -> MaterialTotal:
    def sum_of(direction: Direction, name: str) -> Sum | None:
        return Sum.of(
            (getattr(one, name), one.expanded_percent)
            for one in same
            if one.direction is direction and getattr(one, name) is not None
        )

    return MaterialTotal(
        material=same[0].material,
        batch_id=same[0].batch_id,
        put_on_g=sum_of(Direction.PUT_ON, "mass_g"),
        put_on_ml=sum_of(Direction.PUT_ON, "volume_ml"),
        taken_off_g=sum_of(Direction.TAKEN_OFF, "mass_g"),
        taken_off_ml=sum_of(Direction.TAKEN_OFF, "volume_ml"),
        times=len(same),
        unmeasured=sum(not one.is_measured for one in same),
        remains=_remains(same),
    )


def _remains(same: Sequence[Moved]) -> str:
    put_on = [one.stays for one in same if one.direction is Direction.PUT_ON]
    if not put_on:
        return "was on the object before"
    if all(stays is Stays.NONE for stays in put_on):
        return "not meant to remain"
    if Stays.ALL in put_on or Stays.PART in put_on:
        is_back = any(one.direction is Direction.TAKEN_OFF for one in same)
        return "remains, less what was taken off" if is_back else "remains on the object"
    return NOT_KNOWN
