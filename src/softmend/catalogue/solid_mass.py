"""Mass and centre of gravity of a scanned object, with its hollow, its fills, or a weighing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import (
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    Words,
    WorkingValue,
    worked,
)
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    At,
    Place,
    ScanAnswer,
    ScanInput,
    Scanned,
    length_working,
    ranged,
    scanned,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.solid.mass import Filling, Mass, Part

G_PER_KG, ML_PER_M3, KG_PER_M3 = 1e3, 1e6, 1e3
ASK_INSIDE = (
    "Is it hollow? A tusk or horn whose pulp cavity was not scanned is lighter, and its centre of "
    "gravity lies elsewhere: give hollow, or weigh it."
)
WEIGHING = "A weighing beats every number here."


class Hollow(Model):
    """A hollow that was not scanned: points round its mouth, and the depth that was probed."""

    mouth: Annotated[list[Place], Field(min_length=3, max_length=200)]
    depth_mm: Annotated[Number, Field(gt=0, le=20_000)]


class FillGiven(Model):
    """An old fill in the object: its volume, density, and a point in the middle of it."""

    volume_ml: Sourced
    density_g_per_ml: Sourced
    at: Place


class MassInput(ScanInput):
    """A scan, what it is made of, and what is known of its inside.

    `density_g_per_ml`, or a `material` of the table; `hollow` where the inside was only probed;
    `fills` that an old repair left within its outer skin; `mass_g` where it was weighed.
    """

    density_g_per_ml: Sourced | None = None
    material: Words | None = None
    hollow: Hollow | None = None
    fills: list[FillGiven] = Field(default=[], max_length=50)
    mass_g: Sourced | None = None


class MassAnswer(ScanAnswer):
    """Mass and centre of gravity as ranges; what a weighing says of scale and hollow."""

    computed_mass_g: Estimate | None = None
    mass_sd_g: float | None = None
    volume_ml: Estimate | None = None
    hollow_ml: Estimate | None = None
    centre: At | None = None
    centre_spread_mm: float | None = None
    weighed_density_g_per_ml: Estimate | None = None
    weighing_fits: bool | None = None
    empty_by_weighing_ml: float | None = None


@dataclass(frozen=True, eq=False)
class Weighty:
    """A scan with its volume, hollow, density and mass; the mass is None where it is not known."""

    scan: Scanned
    outer: Part
    hollow: Part | None
    density: Sourced | None
    mass: Mass | None


def weighty(given: MassInput, asked: Asked) -> Weighty | tuple[str, ...]:
    """Return a scan with its mass, or why there is none."""
    from softmend.catalogue.material import typed_or_table
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.mass import Part, solid_mass, with_fillings, with_length_error
    from softmend.science.solid.volume import Verdict, solid_volume
    from softmend.science.uncertain import Band

    scan = scanned(given, asked)
    if isinstance(scan, tuple):
        return scan
    volume = solid_volume(scan.shape)
    if volume.verdict is Verdict.NONE:
        return ("There is no volume to make a mass of", *volume.reasons)
    # The volume with the error of the length, as solid.volume tells it: mass, centre and what a
    # weighing says are all reckoned from this one.
    agreed = Band(volume.low, volume.typical, volume.high)
    outer = Part(with_length_error(agreed, scan.unit.sd_share), vectors([volume.centre] * 3))
    hollow = _probed(given, scan)
    density = typed_or_table(given.density_g_per_ml, given.material, "density", 1 / KG_PER_M3)
    if density is None:
        return Weighty(scan, outer, hollow, None, None)
    band = density.uncertain().band.scaled(KG_PER_M3)
    if not band.low > 0:
        raise InputError("The density is not above 0", value=f"{band.low / KG_PER_M3:g} g/mL")
    mass = solid_mass(outer, hollow, band)
    if given.fills:
        mass = with_fillings(mass, band, fillings(given, scan))
    return Weighty(scan, outer, hollow, density, mass)


def fillings(given: MassInput, scan: Scanned) -> tuple[Filling, ...]:
    """Return the old fills that were given, in SI units."""
    from softmend.science.solid.mass import Filling

    return tuple(
        Filling(
            one.volume_ml.uncertain().band.scaled(1 / ML_PER_M3),
            one.density_g_per_ml.uncertain().band.scaled(KG_PER_M3),
            scan.places(one.at),
        )
        for one in given.fills
    )


def _probed(given: MassInput, scan: Scanned) -> Part | None:
    """Return the hollow behind a picked mouth; it reaches towards the middle of the object."""
    from softmend.science.solid.holding import mouth_plane
    from softmend.science.solid.mass import probed_hollow

    if given.hollow is None:
        return None
    area, middle, inward = mouth_plane(scan.places(given.hollow.mouth), scan.mesh.middle)
    return probed_hollow(area, given.hollow.depth_mm / MM_PER_M, middle, inward)


def solid_mass_answer(given: MassInput, asked: Asked) -> MassAnswer:
    """Return the mass of a scanned object, or why there is none."""
    found = weighty(given, asked)
    if isinstance(found, tuple):
        return MassAnswer(answer="cannot say", reasons=found)
    states = tuple(str(state) for state in found.scan.shape.states)
    if found.mass is None and given.mass_g is None:
        return MassAnswer(
            answer="cannot say",
            states=states,
            volume_ml=_part(found.outer),
            reasons=(
                "What it is made of is not said, and it was not weighed: give density_g_per_ml, "
                "material or mass_g.",
            ),
        )
    return MassAnswer(
        states=states,
        volume_ml=_part(found.outer),
        hollow_ml=_part(found.hollow) if found.hollow else None,
        warnings=_warnings(given, found),
        working=(*length_working(given, found.scan), *_lines(given, found)),
        **_masses(found),
        **_weighing(given, found),
    )


def _part(part: Part) -> Estimate:
    band = part.volume
    return ranged(band.low, band.typical, band.high, ML_PER_M3, "mL")


def _masses(found: Weighty) -> dict[str, Any]:
    if found.mass is None:
        return {}
    band = found.mass.mass
    return {
        "computed_mass_g": ranged(band.low, band.typical, band.high, G_PER_KG, "g"),
        "mass_sd_g": float(f"{G_PER_KG * found.mass.sd:.2g}"),
        "centre": found.scan.at(found.mass.centre),
        "centre_spread_mm": float(f"{MM_PER_M * found.mass.spread:.2g}"),
    }


def _weighing(given: MassInput, found: Weighty) -> dict[str, Any]:
    from softmend.science.solid.mass import weighed_density
    from softmend.science.uncertain import Band

    if given.mass_g is None:
        return {}
    weighed = given.mass_g.uncertain().band.scaled(1 / G_PER_KG)
    hollow, filled = _room_taken(given, found)
    weighed = Band(weighed.low - filled, weighed.typical - filled, weighed.high - filled)
    density = (
        found.density.uncertain().band.scaled(KG_PER_M3)
        if found.density
        else Band(1.0, 1000.0, 25_000.0)
    )
    told = weighed_density(weighed, found.outer, hollow, density)
    answer: dict[str, Any] = {
        "weighed_density_g_per_ml": ranged(
            told.density.low, told.density.typical, told.density.high, 1 / KG_PER_M3, "g/mL"
        )
    }
    if found.density:
        answer["weighing_fits"] = told.fits
        empty = ML_PER_M3 * told.hollow - sum(
            one.volume_ml.uncertain().typical for one in given.fills
        )
        answer["empty_by_weighing_ml"] = max(float(f"{empty:.3g}"), 0.0)
    return answer


def _room_taken(given: MassInput, found: Weighty) -> tuple[Part | None, float]:
    """Return the hollow and the old fills together, and what these fills weigh [kg]."""
    from softmend.science.solid.mass import Part
    from softmend.science.uncertain import Band

    if not given.fills:
        return found.hollow, 0.0
    fills = fillings(given, found.scan)
    hollow = found.hollow or Part(Band(0.0, 0.0, 0.0), found.outer.centres)
    bands = [hollow.volume, *(one.volume for one in fills)]
    both = Band(
        sum(one.low for one in bands),
        sum(one.typical for one in bands),
        sum(one.high for one in bands),
    )
    weight = sum(one.volume.typical * one.density.typical for one in fills)
    return Part(both, hollow.centres), weight


def _warnings(given: MassInput, found: Weighty) -> tuple[str, ...]:
    from softmend.science.solid.check import State

    told = list(found.scan.notes)
    states = found.scan.shape.states
    if given.hollow is None and State.HOLLOW not in states:
        told.append(ASK_INSIDE)
    if given.fills and found.mass is None:
        told.append("Without the object's own density the fills do not move the centre of gravity.")
    if State.END_MISSING in states or State.SIDE_MISSING in states:
        told.append("Part of the object was not scanned: the mass is that of the rest, at least.")
    weighing = _weighing(given, found)
    if weighing.get("weighing_fits") is False:
        told.append(
            "The weighing does not fit the material: check the measured length first, then the "
            "hollow."
        )
    told.append(WEIGHING)
    return tuple(told)


def _lines(given: MassInput, found: Weighty) -> tuple[WorkingValue, ...]:
    lines = [worked("density", found.density, "g/mL")] if found.density else []
    lines += [worked("weighed", given.mass_g, "g")] if given.mass_g else []
    for k, fill in enumerate(given.fills, 1):
        where = ", ".join(f"{x:.4g}" for x in fill.at)
        lines += [
            worked(f"old fill {k}, at {where}: volume", fill.volume_ml, "mL"),
            worked(f"old fill {k}: density", fill.density_g_per_ml, "g/mL"),
        ]
    return tuple(lines)


COMPUTATIONS: dict[str, Computation] = {
    "solid.mass": Computation(
        name="solid.mass",
        title="Mass and centre of gravity",
        input_model=MassInput,
        output_model=MassAnswer,
        function=solid_mass_answer,
        formula="m = density × (V outer − V hollow − V fills) + Σ fill density × V fill; least and "
        "most from the ends of each range, V outer with three times the error of the length; "
        "hollow by its mouth A and depth d: A d/3 to A d, A d/2 likeliest; centre of gravity at "
        "every pair of ends",
        sources=("softmend-solids",),
        cautions=(ASK_INSIDE, WEIGHING),
        checked="tests/science/solid/test_mass.py",
    ),
}
