"""Agents as a person types them: solvents of the table or own values, blends, carriers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

from pydantic import Field, model_validator

from softmend.catalogue.computation import Answer, Kind, Model, Number, Words, WorkingValue
from softmend.errors import InputError
from softmend.tables.solvents import Position, Solvent, solvent

if TYPE_CHECKING:
    from softmend.science.solvency.coating import Liquid

PER_CM3, PER_KPA, PER_G, PER_G_PER_ML = 1e-6, 1e3, 1e-3, 1e3
WHOLE_PERCENT, NEAR_PERCENT = 100.0, 0.5
GUIDE = "A guide to what to test next, not a treatment."
NOT_PROVEN = "No solvent here is proven harmless to ivory, bone, antler, horn or wood."
FOOTER = (
    "Read the SDS and make a COSHH assessment; ventilate; gloves for this solvent; no ignition; "
    "test small; stop on any change of the object; record."
)

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
Parameter: TypeAlias = Annotated[Number, Field(ge=0, le=60)]
Limit: TypeAlias = Annotated[Number, Field(ge=1e-6, le=1e7)]
Percent: TypeAlias = Annotated[Number, Field(gt=0, le=100)]
Carrier: TypeAlias = Literal[
    "swab", "drop", "brush", "tissue", "vapour", "gel", "poultice", "dispersion", "wet pulp"
]


class OwnSolvent(Model):
    """A liquid that the table lacks, by your own values; what you leave out is not known."""

    dispersion_sqrt_mpa: Parameter | None = None
    polar_sqrt_mpa: Parameter | None = None
    hydrogen_sqrt_mpa: Parameter | None = None
    molar_volume_cm3_per_mol: Annotated[Number, Field(ge=10, le=2000)] | None = None
    molar_mass_g_per_mol: Annotated[Number, Field(ge=2, le=2000)] | None = None
    density_g_per_ml: Annotated[Number, Field(ge=0.3, le=4)] | None = None
    vapour_pressure_kpa: Annotated[Number, Field(ge=0, le=500)] | None = None
    flash_degc: Annotated[Number, Field(ge=-150, le=500)] | None = None
    flammable_limit_percent: Percent | None = None
    limit_8h_mg_per_m3: Limit | None = None
    limit_15min_mg_per_m3: Limit | None = None
    limit_named: Words = "typed, without a name"
    family: Words = ""
    kind: Kind = "maker's sheet"
    origin: Words = "typed"


class Part(Model):
    """One liquid and its share by volume; a bare name is that liquid alone.

    `solvent` is a name, another name, the id or the CAS number of the table, or any name at all
    beside `own` values.
    """

    solvent: Name
    volume_percent: Percent = 100.0
    own: OwnSolvent | None = None

    @model_validator(mode="before")
    @classmethod
    def _bare_name(cls, data: Any) -> Any:
        return {"solvent": data} if isinstance(data, str) else data


Parts: TypeAlias = Annotated[list[Part], Field(min_length=1, max_length=8)]


class AgentInput(Model):
    """What touches the object: a solvent's name, parts by volume, and how it is brought.

    `parts` may be written `{"acetone": 30, "ws-low": 70}`. `carrier_parts` are the liquids that a
    gel, poultice, dispersion or pulp is itself made up with; left out, they may be water.
    """

    parts: Parts
    carrier: Carrier = "swab"
    carrier_parts: Annotated[list[Part], Field(max_length=8)] | None = None
    carrier_name: Words = ""

    @model_validator(mode="before")
    @classmethod
    def _shortly(cls, data: Any) -> Any:
        if isinstance(data, str):
            return {"parts": [data]}
        parts = data.get("parts") if isinstance(data, dict) else None
        if isinstance(parts, str):
            return {**data, "parts": [parts]}
        return {**data, "parts": parts_of(parts)} if isinstance(parts, dict) else data


class SolvencyAnswer(Answer):
    """An answer with what must stand beside it on every screen and print.

    `marks` counts the values that were used by their kind.
    """

    cautions: tuple[str, ...] = ()
    marks: dict[str, int] = Field(default_factory=dict)
    footer: str = FOOTER


@dataclass(frozen=True, slots=True)
class Known:
    """A liquid as far as it is known [SI; MPa^0.5; degC]; None is not known."""

    name: str
    id: str
    group: str
    status: str
    volume_share: float
    position: Position | None
    other_positions: tuple[Position, ...]
    teas: Position | None
    molar_volume: float | None
    molar_mass: float | None
    density: float | None
    vapour_pressure: float | None
    flash: float | None
    is_known_not_to_flash: bool
    flammable_limit: float | None
    hazards: tuple[str, ...]
    note: str
    kinds: dict[str, str]
    origin: str
    own: OwnSolvent | None = None


def parts_of(short: dict[str, Any]) -> list[dict[str, Any]]:
    """Return `{"acetone": 30}` as a list of parts."""
    return [{"solvent": name, "volume_percent": share} for name, share in short.items()]


def known_parts(parts: Sequence[Part]) -> list[Known]:
    """Return the liquids of a blend; their shares must sum to 100 % by volume."""
    total = sum(one.volume_percent for one in parts)
    if abs(total - WHOLE_PERCENT) > NEAR_PERCENT:
        raise InputError(
            "The parts of a blend do not sum to the whole",
            value=f"{total:g} % by volume",
            allowed="100 %",
            remedy="Give every part its volume_percent",
        )
    found = [known(one, one.volume_percent / total) for one in parts]
    twice = [name for name, n in Counter(one.id or one.name for one in found).items() if n > 1]
    if twice:
        raise InputError("A blend names one liquid twice", value=twice[0], allowed="once")
    return found


def known(part: Part, share: float = 1.0) -> Known:
    """Return what is known of one liquid, from the table or as typed."""
    return _typed(part, part.own, share) if part.own is not None else _listed(part, share)


def _listed(part: Part, share: float) -> Known:
    one: Solvent = solvent(part.solvent)
    return Known(
        name=one.id, id=one.id, group=one.group, status=one.status, volume_share=share,
        position=one.position, other_positions=one.other_positions, teas=one.teas,
        molar_volume=one.molar_volume, molar_mass=one.molar_mass, density=one.density,
        vapour_pressure=one.vapour_pressure, flash=one.flash,
        is_known_not_to_flash=one.flash_known_as_none, flammable_limit=one.flammable_limit,
        hazards=one.hazards, note=one.note, kinds=dict(one.kinds), origin=one.origin,
    )  # fmt: skip


def _typed(part: Part, own: OwnSolvent, share: float) -> Known:
    numbers = (own.dispersion_sqrt_mpa, own.polar_sqrt_mpa, own.hydrogen_sqrt_mpa)
    d, p, h = numbers
    position = None if d is None or p is None or h is None else (d, p, h)

    def scaled(value: float | None, factor: float) -> float | None:
        return None if value is None else value * factor

    return Known(
        name=part.solvent, id="", group=own.family, status="ok", volume_share=share,
        position=position, other_positions=(), teas=None,
        molar_volume=scaled(own.molar_volume_cm3_per_mol, PER_CM3),
        molar_mass=scaled(own.molar_mass_g_per_mol, PER_G),
        density=scaled(own.density_g_per_ml, PER_G_PER_ML),
        vapour_pressure=scaled(own.vapour_pressure_kpa, PER_KPA),
        flash=own.flash_degc, is_known_not_to_flash=False,
        flammable_limit=scaled(own.flammable_limit_percent, 0.01),
        hazards=(), note="", kinds={}, origin=own.origin, own=own,
    )  # fmt: skip


def wanted(one: Known, name: str) -> float:
    """Return a property that the computation cannot do without, or say what to give."""
    found: float | None = getattr(one, name)
    if found is None:
        raise InputError(
            f"The {name.replace('_', ' ')} of {one.name} is not known",
            allowed="a number",
            remedy="Give it among its own values, or name a solvent of the table",
        )
    return found


def placed(one: Known) -> Position:
    """Return a position, or say what to give."""
    if one.position is None:
        raise InputError(
            f"The Hansen parameters of {one.name} are not known",
            allowed="dispersion_sqrt_mpa, polar_sqrt_mpa, hydrogen_sqrt_mpa",
            remedy="Give all three among its own values, or name a solvent of the table",
        )
    return one.position


def liquid(parts: Sequence[Known]) -> Liquid:
    """Return a blend as a coating meets it."""
    from softmend.science.solvency.coating import Liquid
    from softmend.science.solvency.hansen import blend_molar_volume, blend_position, distance

    shares = [one.volume_share for one in parts]
    places = [placed(one) for one in parts]
    at = blend_position(places, shares).tolist()
    doubts = [
        one.volume_share
        * max((float(distance(place, other)) for other in one.other_positions), default=0.0)
        for one, place in zip(parts, places, strict=True)
    ]
    volume = blend_molar_volume([wanted(one, "molar_volume") for one in parts], shares)
    water = sum(one.volume_share for one in parts if one.id == "water")
    return Liquid((at[0], at[1], at[2]), volume, water, sum(doubts) / 2)


def label(parts: Sequence[Known]) -> str:
    """Return the name of an agent, such as “acetone 30 % + ws-low 70 %”."""
    if len(parts) == 1:
        return parts[0].name
    return " + ".join(f"{one.name} {100 * one.volume_share:g} %" for one in parts)


def worked_liquids(parts: Iterable[Known], names: Sequence[str]) -> list[WorkingValue]:
    """Return the values of liquids that were used, each with its kind."""
    units = {"molar_volume": (1e6, "cm³/mol"), "density": (1e-3, "g/mL"), "flash": (1, "°C"),
             "molar_mass": (1e3, "g/mol"), "vapour_pressure": (1e-3, "kPa at 20 °C"),
             "flammable_limit": (100, "% of the air")}  # fmt: skip
    keys = {"vapour_pressure": "vapour_pressure_20", "flash": "flash_point",
            "flammable_limit": "lower_flammable_limit"}  # fmt: skip
    found = []
    for one in parts:
        typed = "" if one.own is None else one.own.kind
        for name in names:
            kind = typed or one.kinds.get(keys.get(name, name), "not known")
            value: Any = getattr(one, name)
            if value is None:
                text = "not known"
            elif name == "position":
                text = "/".join(f"{part:g}" for part in value) + " MPa^½"
            else:
                factor, unit = units[name]
                text = f"{float(f'{value * factor:.4g}'):g} {unit}"
            line = f"{one.name}: {name.replace('_', ' ')}"
            found.append(WorkingValue(name=line, text=text, kind=kind, origin=one.origin))
    return found


def marks(working: Iterable[WorkingValue]) -> dict[str, int]:
    """Return how many values of each kind were used."""
    return dict(sorted(Counter(one.kind for one in working).items()))
