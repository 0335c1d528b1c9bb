"""Coatings as a person types them: a class of the table or an own sphere, and layers to keep."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import prod
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

from pydantic import Field, model_validator

from softmend.catalogue.computation import Kind, Model, Number, Words, WorkingValue
from softmend.catalogue.solvency_agent import Name, Parameter
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.solvency.coating import CoatingClass, Particles
    from softmend.science.solvency.search import KeepLayer
    from softmend.tables import Row

PARTICLES = 20_000
Level: TypeAlias = Literal["swells", "softens", "dissolves"]


class Coating(Model):
    """A class of the table by name, or a sphere of your own."""

    name: Name
    dispersion_sqrt_mpa: Parameter | None = None
    polar_sqrt_mpa: Parameter | None = None
    hydrogen_sqrt_mpa: Parameter | None = None
    radius_sqrt_mpa: Annotated[Number, Field(ge=0.5, le=40)] | None = None
    kind: Kind = "measured"
    origin: Words = "typed"

    @model_validator(mode="before")
    @classmethod
    def _bare_name(cls, data: Any) -> Any:
        return {"name": data} if isinstance(data, str) else data

    def sphere(self) -> CoatingClass:
        """Return the class that it names, or its own sphere with the spread of a good one."""
        d, p, h = self.dispersion_sqrt_mpa, self.polar_sqrt_mpa, self.hydrogen_sqrt_mpa
        if d is None and p is None and h is None and self.radius_sqrt_mpa is None:
            from softmend.tables.solvency import coating

            return replace(_class(coating(self.name)), weight=1.0)
        if d is None or p is None or h is None or self.radius_sqrt_mpa is None:
            raise InputError(
                f"The sphere of {self.name} is not whole",
                allowed="dispersion_sqrt_mpa, polar_sqrt_mpa, hydrogen_sqrt_mpa, radius_sqrt_mpa",
                remedy="Give all four, or only the name of a class of the table",
            )
        from softmend.science.solvency.coating import Behaviour, CoatingClass

        size = self.radius_sqrt_mpa
        name = self.name
        return CoatingClass(name, name, Behaviour.SPHERE, (d, p, h), size, 1.0, 1.0, 0.0)

    def worked(self) -> WorkingValue:
        """Return the sphere as a line of the working."""
        one = self.sphere()
        row = _rows().get(one.name)
        text = "/".join(f"{part:g}" for part in one.centre) + f" R {one.radius:g} MPa^½"
        kind, origin = self.kind, self.origin
        if row is not None and self.radius_sqrt_mpa is None:
            return WorkingValue(
                name=f"sphere of {one.name}", text=text, kind=str(row["kind"]), origin=_origin(row)
            )
        return WorkingValue(name=f"sphere of {one.name}", text=text, kind=kind, origin=origin)


class Keep(Model):
    """A layer that must not move: its name in the table, or a coating that stands for it.

    The search keeps the chance of any effect on it at or below `ceiling_percent`.
    """

    layer: Name
    coating: Coating | None = None
    ceiling_percent: Annotated[Number, Field(ge=0, le=100)] = 10.0

    @model_validator(mode="before")
    @classmethod
    def _bare_name(cls, data: Any) -> Any:
        return {"layer": data} if isinstance(data, str) else data

    def held(self, seed: int) -> KeepLayer:
        """Return the layer as the search takes it."""
        from softmend.science.solvency.coating import Behaviour, Outcome, drawn
        from softmend.science.solvency.search import KeepLayer

        one = self._stands().sphere()
        # What is cross-linked never dissolves: there the first swelling is the harm.
        only_swells = one.behaviour is Behaviour.SWELLS_ONLY
        level = Outcome.SWELLS if only_swells else Outcome.SOFTENS
        held = drawn([replace(one, weight=1.0)], 2000, seed)
        return KeepLayer(self.layer, held, level, self.ceiling_percent / 100)

    def worked(self) -> WorkingValue:
        """Return the sphere that stands for the layer as a line of the working."""
        line = self._stands().worked()
        return line.model_copy(update={"name": f"to be kept, {self.layer}: {line.name}"})

    def _stands(self) -> Coating:
        if self.coating is not None:
            return self.coating
        from softmend.tables.solvency import keep_layer

        return Coating(name=str(keep_layer(self.layer)["coating"]))


class Suspected(Model):
    """How much more likely a class is before any test: 2 doubles its weight, 0 rules it out."""

    name: Name
    times: Annotated[Number, Field(ge=0, le=1000)]


def classes(suspected: Sequence[Suspected] = ()) -> list[CoatingClass]:
    """Return every class of the table, its weight changed by what a person suspects."""
    factors = {one.name.casefold(): one.times for one in suspected}
    rows = _rows().values()
    names = {str(row[column]).casefold() for row in rows for column in ("id", "class")}
    for name in factors:
        if name not in names:
            raise InputError(
                "There is no class of coating of that name", value=name,
                allowed=", ".join(sorted(names)),
            )  # fmt: skip
    found = [_class(row) for row in rows]
    # A class that stands alone has the name of its group: it is weighed once.
    weighed = [
        replace(one, weight=one.weight * prod(factors.get(name, 1.0) for name in names_of))
        for one in found
        for names_of in ({one.name, one.group.casefold()},)
    ]
    if not any(one.weight for one in weighed):
        raise InputError("Every class is ruled out", allowed="at least one that is not")
    return weighed


def prior(suspected: Sequence[Suspected], seed: int) -> Particles:
    """Return the possible coatings before any test; the common case is drawn once."""
    if not suspected:
        return _usual_prior(seed)
    from softmend.science.solvency.coating import drawn

    return drawn(classes(suspected), PARTICLES, seed)


def worked_classes() -> list[WorkingValue]:
    """Return the spheres of all classes as lines of the working."""
    return [Coating(name=name).worked() for name in _rows()]


@lru_cache(maxsize=4)
def _usual_prior(seed: int) -> Particles:
    from softmend.science.solvency.coating import drawn

    return drawn(classes(), PARTICLES, seed)


@lru_cache(maxsize=1)
def _rows() -> dict[str, Row]:
    from softmend.tables.solvency import coatings

    return {str(row["id"]): row for row in coatings()}


def _origin(row: Row) -> str:
    from softmend.tables import table

    return f"table:coating_classes/{row['id']}@{table('coating_classes').version}"


def _class(row: Row) -> CoatingClass:
    from softmend.science.solvency.coating import Behaviour, CoatingClass

    def number(name: str) -> float:
        return float(row[name] or 0.0)

    centre = (
        number("dispersion_sqrt_mpa"),
        number("polar_sqrt_mpa"),
        number("hydrogen_sqrt_mpa"),
    )
    return CoatingClass(
        str(row["id"]), str(row["class"]), Behaviour(str(row["behaviour"])), centre,
        number("radius_sqrt_mpa"), number("spread_factor"), number("weight"),
        number("crosslinked_share"),
    )  # fmt: skip
