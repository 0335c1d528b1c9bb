"""The air and what adds up in it: from mL an hour, or from concentrations that are known."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import Asked, Computation, Model, Sourced, Words, worked
from softmend.catalogue.exposure_air import CAUTIONS, AirAnswer, AirInput, air
from softmend.catalogue.exposure_limit import Limit, Period, age_words, hazards_of, limit_of
from softmend.catalogue.exposure_sum import FireLine, IndexLine, fire_line, index_line
from softmend.catalogue.solvency_agent import Known, Part, SolvencyAnswer, known, marks
from softmend.errors import InputError
from softmend.tables.exposure_limits import DEFAULT_LIST

MG_PER_KG = 1e6


class Breathed(Part):
    """One vapour and its concentration over the period, in mg/m³ or in ppm."""

    air_mg_per_m3: Sourced | None = None
    air_ppm: Sourced | None = None


class MixtureInput(Model):
    """Vapours that are breathed together, all over the same period, against one list of limits.

    The shortest: `{"vapours": [{"solvent": "acetone", "air_mg_per_m3": 300}, {"solvent": "toluene",
    "air_ppm": 10}], "period": "8 h"}`. A vapour without a known limit makes the index incomplete.
    """

    vapours: Annotated[list[Breathed], Field(min_length=1, max_length=20)]
    period: Period = "8 h"
    limit_list: Words = DEFAULT_LIST


class HeldAgainst(Model):
    """One vapour against its limit; without a limit the share is not known."""

    solvent: str
    air_mg_per_m3: float
    limit: str
    limit_mg_per_m3: float | None
    share_of_limit_percent: float | None


class MixtureAnswer(SolvencyAnswer):
    """The mixture index with the count of parts that have a limit, and the fire line."""

    text: str = ""
    index: IndexLine | None = None
    held: tuple[HeldAgainst, ...] = ()
    fire: FireLine | None = None


def mixture(given: MixtureInput, asked: Asked) -> MixtureAnswer:
    """Return the index of vapours that are breathed together; a missing limit is never zero."""
    from softmend.science.solvency.breathing import drawn

    liquids = [known(one) for one in given.vapours]
    limits = [limit_of(one, given.period, given.limit_list) for one in liquids]
    amounts = [_amount(one, i, given.limit_list, liquids) for i, one in enumerate(given.vapours)]
    draws = [
        drawn(value.uncertain(), factor, asked.seed + at)
        for at, (value, factor) in enumerate(amounts)
    ]
    line = index_line(given.period, draws, limits)
    means = [float(one.mean()) for one in draws]
    working = [
        *(worked(f"air: {one.name}", value, "mg/m³" if factor == 1 / MG_PER_KG else "ppm")
          for one, (value, factor) in zip(liquids, amounts, strict=True)),
        *(one.working() for one in limits),
    ]  # fmt: skip
    return MixtureAnswer(
        text=f"{line.text} An estimate; control further even under 100 %.",
        index=line,
        held=tuple(_held(one.name, mean, limit)
                   for one, mean, limit in zip(liquids, means, limits, strict=True)),
        fire=fire_line(liquids, means),
        warnings=tuple([words for one in liquids for words in hazards_of(one)]
                       + _stale(limits, line)),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )  # fmt: skip


def _amount(one: Breathed, at: int, of_list: str, liquids: list[Known]) -> tuple[Sourced, float]:
    """Return what was given and the factor that makes it kg/m3."""
    from softmend.science.solvency.mixed_air import (
        MOLAR_VOLUME_UK,
        MOLAR_VOLUME_US,
        mass_concentration,
    )

    if (one.air_mg_per_m3 is None) == (one.air_ppm is None):
        raise InputError(
            f"The air of {one.solvent} must be given once",
            value="both" if one.air_ppm is not None else "neither",
            allowed="air_mg_per_m3 or air_ppm",
        )
    if one.air_mg_per_m3 is not None:
        return one.air_mg_per_m3, 1 / MG_PER_KG
    mass = liquids[at].molar_mass
    if mass is None or one.air_ppm is None:
        raise InputError(
            f"The molar mass of {one.solvent} is not known, so ppm cannot be weighed",
            allowed="molar_mass_g_per_mol among its own values, or air_mg_per_m3",
        )
    volume = MOLAR_VOLUME_US if of_list.startswith("US") else MOLAR_VOLUME_UK
    return one.air_ppm, mass_concentration(1.0, mass, volume)


def _held(name: str, mean: float, limit: Limit) -> HeldAgainst:
    mass = limit.mass
    return HeldAgainst(
        solvent=name,
        air_mg_per_m3=float(f"{mean * MG_PER_KG:.3g}"),
        limit=limit.named,
        limit_mg_per_m3=None if mass is None else round(mass * MG_PER_KG, 3),
        share_of_limit_percent=None if mass is None else float(f"{100 * mean / mass:.3g}"),
    )


def _stale(limits: list[Limit], line: IndexLine) -> list[str]:
    found = age_words(limits)
    if not line.is_complete:
        found.append("Some parts have no limit: the index is not complete.")
    return found


COMPUTATIONS = {
    "exposure.air": Computation(
        name="exposure.air",
        title="The air over the work, near and far, against a named limit",
        input_model=AirInput,
        output_model=AirAnswer,
        function=air,
        formula="near: V_N dC_N/dt = G + b (C_F - C_N); far: V_F dC_F/dt = b (C_N - C_F) - Q C_F; "
        "b = half the surface of a half-sphere to the head times the air's speed; times a factor "
        "of three to either side; index = sum of concentration over limit",
        sources=("nicas1996", "osha-1910-1000", "hse-eh40", "softmend-solvents-air", "jcgm101"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_exposure.py",
    ),
    "exposure.mixture": Computation(
        name="exposure.mixture",
        title="Vapours breathed together: the mixture index, and how many have a limit",
        input_model=MixtureInput,
        output_model=MixtureAnswer,
        function=mixture,
        formula="index = sum of concentration over limit, all over one period; above 1 is over; "
        "a part without a limit makes it incomplete, with a careful figure beside it",
        sources=("osha-1910-1000", "hse-eh40", "softmend-solvents-air"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_exposure.py",
    ),
}
