"""The object in its air, as the climate computations are given it; what is not known stays wide."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from softmend.catalogue.computation import Model, Number, Sourced, WorkingValue, worked
from softmend.science.climate.surface_film import STILL_AIR, biot, vapour_conductivity
from softmend.science.moisture.diffusion import Form
from softmend.science.uncertain import Uncertain

M_PER_MM, M_PER_UM = 1e-3, 1e-6
M2_S_PER_MM2_DAY = 1e-6 / 86400.0
BARRER = 6.03e-18
"""One Barrer of water [kg/(m s Pa)]; recalled."""
UNKNOWN_DIFFUSIVITY = (1e-11, 5e-11, 2e-10)
"""Low, typical and high of an organic object across its grain [m2/s]; recalled, of wood."""
ASSUMED_UPTAKE = 1.85
"""Water taken up for each %RH [kg/m3]; assumed for ivory."""
SWELLING = (6e-5, 9e-4)
"""What published free strains for each %RH span [1]; sources disagree."""
UNKNOWN = (
    "The diffusivity of this object is not known: published values span a factor of 20, and none "
    "for ivory is trusted. A record of weighings or of a crack's width would replace the guess."
)
MODEL = (
    "The model knows no hysteresis, no ageing, no salts, no old repairs, one radius and no pulp "
    "cavity: a plan, not a promise; look at the object."
)


class Film(Model):
    """A film on the object: its thickness, and how well it lets vapour pass, in Barrer."""

    thickness_um: Sourced
    permeability_barrer: Annotated[Number, Field(gt=0, le=1e6)]
    kind: Literal["measured", "handbook", "recalled", "estimated", "maker's sheet"] = "recalled"


class Body(Model):
    """A slab (thickness) or a cylinder (radius); diffusivity left out is a wide guess.

    `uptake_kg_per_m3` is the water that the material takes up for each %RH.
    """

    form: Literal["slab", "cylinder"]
    size_mm: Sourced
    diffusivity_mm2_per_day: Sourced | None = None
    uptake_kg_per_m3: Sourced | None = None
    film: Film | None = None

    def shape(self) -> Form:
        """Return the form as science knows it."""
        return Form(self.form)

    def size(self) -> Uncertain:
        """Return thickness or radius [m]."""
        return self.size_mm.uncertain().scaled(M_PER_MM)

    def rate(self) -> Uncertain:
        """Return the diffusivity [m2/s], wide when it is not known."""
        if self.diffusivity_mm2_per_day is None:
            return Uncertain.from_low_typical_high(*UNKNOWN_DIFFUSIVITY)
        return self.diffusivity_mm2_per_day.uncertain().scaled(M2_S_PER_MM2_DAY)

    def surface(self, rate_m2_s: float, film: Film | None, degc: float = 20.0) -> float:
        """Return the Biot number behind still air and a film; typical values."""
        uptake = self.uptake_kg_per_m3.uncertain().typical if self.uptake_kg_per_m3 else None
        conductivity = vapour_conductivity(rate_m2_s, uptake or ASSUMED_UPTAKE, degc)
        held = STILL_AIR
        if film is not None:
            thickness = film.thickness_um.uncertain().typical * M_PER_UM
            held += thickness / (film.permeability_barrer * BARRER)
        return float(biot(self.shape(), self.size().typical, conductivity, held))

    def warnings(self) -> Iterator[str]:
        """Yield what is not known of the object."""
        if self.diffusivity_mm2_per_day is None:
            yield UNKNOWN
        if self.uptake_kg_per_m3 is None:
            yield f"Its uptake was assumed: {ASSUMED_UPTAKE:g} kg/m³ for each %RH."

    def working(self) -> Iterator[WorkingValue]:
        """Yield the object as lines of the working."""
        yield worked("thickness" if self.form == "slab" else "radius", self.size_mm, "mm")
        if self.diffusivity_mm2_per_day is not None:
            yield worked("moisture diffusivity", self.diffusivity_mm2_per_day, "mm²/d")
        else:
            yield WorkingValue(
                name="moisture diffusivity", text="not known: 0.9 to 17 mm²/d",
                kind="recalled", origin="wide",
            )  # fmt: skip
        if self.uptake_kg_per_m3 is not None:
            yield worked("uptake for each %RH", self.uptake_kg_per_m3, "kg/m³")
        if self.film is not None:
            yield worked("film", self.film.thickness_um, "µm")
            yield WorkingValue(
                name="permeability of the film", text=f"{self.film.permeability_barrer:g} Barrer",
                kind=self.film.kind, origin="typed",
            )  # fmt: skip


class Range(Model):
    """A quantity for a low, a typical and a high value of what is not well known."""

    low: float
    typical: float
    high: float


def range_of(values: list[float]) -> Range:
    """Return the least, the middle and the most of three results."""
    low, typical, high = sorted(values)
    return Range(low=low, typical=typical, high=high)
