"""Where a blend lies, what it may do to a coating, and what is left of it as it dries."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import Asked, Estimate, Model, Number, estimate
from softmend.catalogue.solvency_agent import (
    GUIDE,
    NOT_PROVEN,
    AgentInput,
    Known,
    SolvencyAnswer,
    known_parts,
    label,
    liquid,
    marks,
    placed,
    wanted,
    worked_liquids,
)
from softmend.catalogue.solvency_coating import Coating
from softmend.catalogue.solvency_gate import ObjectFacts, gate

DRAWS = 2000
GONE_PERCENT = (0.0, 25.0, 50.0, 90.0)
LOOK = "mix 1 mL and look"
CAUTIONS = (
    GUIDE,
    "Hansen and Teas know the tendency of a clean, new, uncrosslinked polymer: no rate, no "
    "adhesion, no aged film, and nothing of the object.",
    "RED 0.9 to 1.3 is a grey band.",
    "The two scales of Teas lie 2 to 10 points apart: never plot one in a region of the other.",
    NOT_PROVEN,
)


class PositionInput(AgentInput):
    """A solvent or blend, and if you like a coating and the object it lies on.

    The shortest input: `{"parts": ["acetone"]}`; a blend: `{"parts": {"acetone": 30, "ws-low":
    70}}`.
    """

    coating: Coating | None = None
    object: Annotated[ObjectFacts, Field(default_factory=ObjectFacts)]


class TeasPoint(Model):
    """Fractional parameters on one scale, which is named."""

    scale: str
    dispersion_percent: float
    polar_percent: float
    hydrogen_percent: float


class PairMixing(Model):
    """Whether two parts mix, how it is known, and the chi of a regular solution as a warning."""

    one: str
    other: str
    state: str
    note: str
    kind: str
    chi: float


class PositionAnswer(SolvencyAnswer):
    """Where a blend lies, on each scale by name; how near it is to a coating; whether it mixes."""

    agent: str = ""
    dispersion_sqrt_mpa: float = 0.0
    polar_sqrt_mpa: float = 0.0
    hydrogen_sqrt_mpa: float = 0.0
    molar_volume_cm3_per_mol: float = 0.0
    teas: tuple[TeasPoint, ...] = ()
    relative_distance: Estimate | None = None
    pairs: tuple[PairMixing, ...] = ()
    forbidden: tuple[str, ...] = ()
    text: str = ""


def blend_position(given: PositionInput, asked: Asked) -> PositionAnswer:
    """Return where a solvent or blend lies, and how near it is to a coating."""
    parts = known_parts(given.parts)
    met = liquid(parts)
    stands = gate(given, parts, given.object)
    found = None if given.coating is None else red(parts, given.coating, asked.seed)
    working = worked_liquids(parts, ["position", "molar_volume"])
    working += [] if given.coating is None else [given.coating.worked()]
    pairs = mixing_pairs(parts)
    d, p, h = met.position
    return PositionAnswer(
        agent=label(parts),
        dispersion_sqrt_mpa=round(d, 2),
        polar_sqrt_mpa=round(p, 2),
        hydrogen_sqrt_mpa=round(h, 2),
        molar_volume_cm3_per_mol=round(met.molar_volume * 1e6, 1),
        teas=_teas(parts, met.position),
        relative_distance=found,
        pairs=pairs,
        forbidden=stands.forbidden,
        text=_text(found, given),
        warnings=(*_doubts(parts), *mixing_warnings(pairs), *stands.warned),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )


class DriftInput(AgentInput):
    """A blend, and if you like a coating: what is left as it dries, at shares that are gone."""

    coating: Coating | None = None
    gone_percent: Annotated[
        list[Annotated[Number, Field(ge=0, le=99)]],
        Field(min_length=1, max_length=20, default_factory=lambda: list(GONE_PERCENT)),
    ]
    object: Annotated[ObjectFacts, Field(default_factory=ObjectFacts)]


class Left(Model):
    """What is left of one part, as a share of the volume that is left."""

    solvent: str
    volume_percent: float


class DriftStage(Model):
    """One stage of drying: what is left, and how near it is to the coating."""

    gone_percent: float
    left: tuple[Left, ...]
    relative_distance: Estimate | None = None
    wording: str = ""


class DriftAnswer(SolvencyAnswer):
    """A blend as it dries, from stage to stage."""

    agent: str = ""
    stages: tuple[DriftStage, ...] = ()
    ends_as: str = ""
    forbidden: tuple[str, ...] = ()
    text: str = ""


def drift(given: DriftInput, asked: Asked) -> DriftAnswer:
    """Return what is left of a blend at each share that has evaporated."""
    from softmend.science.solvency.drift import left_after

    parts = known_parts(given.parts)
    shares = [one.volume_share for one in parts]
    sizes = [wanted(one, "molar_volume") for one in parts]
    pressures = [wanted(one, "vapour_pressure") for one in parts]
    stages = []
    for gone in given.gone_percent:
        rest = left_after(shares, sizes, pressures, gone / 100).tolist()
        found = None if given.coating is None else red(parts, given.coating, asked.seed, rest)
        stages.append(_stage(gone, parts, rest, found))
    last = max(stages, key=lambda one: one.gone_percent)
    ends = max(last.left, key=lambda one: one.volume_percent)
    names = ["position", "molar_volume", "vapour_pressure"]
    working = worked_liquids(parts, names if given.coating else names[1:])
    working += [] if given.coating is None else [given.coating.worked()]
    stands = gate(given, parts, given.object)
    return DriftAnswer(
        agent=label(parts),
        stages=tuple(stages),
        ends_as=f"{ends.solvent} {ends.volume_percent:.0f} %",
        forbidden=stands.forbidden,
        text=_drift_text(stages),
        warnings=(*_doubts(parts), *mixing_warnings(mixing_pairs(parts)), *stands.warned,
                  *_slow(parts)),
        working=tuple(working),
        cautions=(*CAUTIONS, "Ideal evaporation (Raoult): real blends may part or hold together."),
        marks=marks(working),
    )  # fmt: skip


def red(
    parts: Sequence[Known], coating: Coating, seed: int, shares: Sequence[float] | None = None
) -> Estimate:
    """Return the relative distance of a blend to a coating, with the spread of its sphere."""
    from softmend.science.propagation import spread
    from softmend.science.solvency.coating import drawn
    from softmend.science.solvency.hansen import blend_position as mixed
    from softmend.science.solvency.hansen import relative_distance

    whole = [one.volume_share for one in parts] if shares is None else list(shares)
    at = mixed([placed(one) for one in parts], whole)
    some = drawn([coating.sphere()], DRAWS, seed)
    found = relative_distance(at, some.centre, some.radius)
    return estimate(spread(found, {"radius of the sphere": some.radius.astype(float)},
                           "centre of the sphere"), 1.0, "")  # fmt: skip


def mixing_pairs(parts: Sequence[Known]) -> tuple[PairMixing, ...]:
    """Return of every pair of parts whether it mixes, typed first and chi as a warning only."""
    from softmend.science.solvency.hansen import regular_chi
    from softmend.tables.solvency import mixing

    found = []
    for one, other in combinations(parts, 2):
        typed = mixing(one.id or one.name, other.id or other.name)
        volume = (wanted(one, "molar_volume") * wanted(other, "molar_volume")) ** 0.5
        chi = regular_chi(placed(one), placed(other), volume)
        found.append(
            PairMixing(one=one.name, other=other.name, state=typed.state, note=typed.note,
                       kind=typed.kind, chi=round(chi, 1))
        )  # fmt: skip
    return tuple(found)


def mixing_warnings(pairs: Sequence[PairMixing]) -> list[str]:
    """Return what to look at before a blend is used; every blend is looked at."""
    found = []
    for pair in pairs:
        if pair.state != "mixes":
            note = f": {pair.note}" if pair.note else ""
            found.append(f"{pair.one} with {pair.other}: {pair.state}{note} ({pair.kind}); {LOOK}.")
        elif pair.chi > 2:
            found.append(
                f"{pair.one} with {pair.other}: listed as mixing ({pair.kind}), though a regular "
                f"solution of chi {pair.chi:g} would part; {LOOK}."
            )
    return found or ([f"Before use: {LOOK}."] if pairs else [])


def _doubts(parts: Sequence[Known]) -> list[str]:
    from softmend.science.solvency.hansen import distance

    found = []
    for one in parts:
        far = max((float(distance(placed(one), o)) for o in one.other_positions), default=0.0)
        if far > 1:
            found.append(f"The sources of {one.name} disagree by {far:.1f} MPa^½: less sure.")
    return found


def _slow(parts: Sequence[Known]) -> list[str]:
    slow = [one.name for one in parts if (one.vapour_pressure or 0) < 100]
    words = f"{', '.join(slow)} hardly leaves: it must be cleared as a step of its own."
    return [words] if slow else []


def _teas(parts: Sequence[Known], position: Sequence[float]) -> tuple[TeasPoint, ...]:
    from softmend.science.solvency.hansen import Teas, TeasScale, blend_teas, teas_of_hansen

    points = [teas_of_hansen(position)]
    printed = [one.teas for one in parts]
    if all(printed):
        shares = [one.volume_share for one in parts]
        each = [Teas(TeasScale.PUBLISHED, *one) for one in printed if one is not None]
        points.append(blend_teas(each, shares))
    return tuple(
        TeasPoint(scale=one.scale.value, dispersion_percent=round(one.dispersion, 1),
                  polar_percent=round(one.polar, 1), hydrogen_percent=round(one.hydrogen, 1))
        for one in points
    )  # fmt: skip


def reads(relative: float) -> str:
    """Return what a relative distance says, as far as it says anything."""
    return "outside" if relative > 1.3 else "inside" if relative < 0.9 else "in the grey band"


def _text(found: Estimate | None, given: PositionInput) -> str:
    if found is None or given.coating is None:
        return GUIDE
    return f"RED {found.text} to {given.coating.name}: {reads(found.typical)}. {GUIDE}"


def _stage(
    gone: float, parts: Sequence[Known], rest: Sequence[float], found: Estimate | None
) -> DriftStage:
    return DriftStage(
        gone_percent=gone,
        left=tuple(
            Left(solvent=one.name, volume_percent=round(100 * share, 1))
            for one, share in zip(parts, rest, strict=True)
        ),
        relative_distance=found,
        wording="" if found is None else reads(found.typical),
    )


def _drift_text(stages: Sequence[DriftStage]) -> str:
    first, last = stages[0].relative_distance, stages[-1].relative_distance
    if first is None or last is None:
        return "What is left, from stage to stage; name a coating to see how near it stays."
    if first.typical < 1 <= last.typical:
        return "It begins as a solvent and dries to a non-solvent: the coating falls out as a film."
    change = last.typical - first.typical
    if abs(change) < 0.05:
        return "Its strength hardly changes as it dries."
    return f"It grows {'weaker' if change > 0 else 'stronger'} as it dries."
