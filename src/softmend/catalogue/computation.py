"""The one shape of a computation: what goes in, what comes out, how, from what source."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.propagation import Spread
    from softmend.science.uncertain import Band, Uncertain

LOPSIDED = 1.5
"""How much longer one half of a band must be than the other for ± to mislead."""
MOST_FIGURES, SHOWN_FIGURES = 6, 4
"""An answer of more figures that has no spread is shown to so many."""

Words = Annotated[str, StringConstraints(max_length=500)]
Number = Annotated[float, Field(allow_inf_nan=False, ge=-1e9, le=1e9)]
Point = Annotated[list[Number], Field(min_length=2, max_length=2)]
Kind = Literal[
    "measured",
    "reviewed",
    "handbook",
    "maker's sheet",
    "quoted",
    "recalled",
    "estimated",
    "derived",
    "library",
]


class Model(BaseModel):
    """A set of named values in bench units; a name that is not known is refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Sourced(Model):
    """A value with its uncertainty, its kind (mark), and where it came from.

    `value` is a plain number (exact), `{"value", "expanded"}` (k = 2), `{"low", "typical",
    "high"}` (5, 50 and 95 % points), or a named distribution `{"family", ...}`.
    """

    value: Number | dict[str, str | Number | list[Number]]
    kind: Kind = "measured"
    origin: Words = "typed"

    @model_validator(mode="before")
    @classmethod
    def _bare_number(cls, data: Any) -> Any:
        is_number = isinstance(data, int | float) and not isinstance(data, bool)
        return {"value": data} if is_number else data

    def uncertain(self) -> Uncertain:
        """Return the value as a distribution in the unit of the field that holds it."""
        from softmend.science.uncertain import Uncertain

        if not isinstance(self.value, dict):
            return Uncertain.exact(self.value)
        given = set(self.value)
        if given == {"value", "expanded"}:
            value, expanded = (self._number(name) for name in ("value", "expanded"))
            return Uncertain.normal(value, expanded / 2)
        if given == {"low", "typical", "high"}:
            points = (self._number(name) for name in ("low", "typical", "high"))
            return Uncertain.from_low_typical_high(*points)
        return Uncertain.from_json(self.value)

    def _number(self, name: str) -> float:
        found = self.value[name] if isinstance(self.value, dict) else self.value
        if isinstance(found, bool) or not isinstance(found, int | float):
            raise InputError(f"{name} is not a number", value=found, allowed="a number")
        return float(found)


class Driver(Model):
    """One source of the spread and the share of the variance that it explains."""

    name: str
    share: float


class Estimate(Model):
    """A computed quantity: its 5, 50 and 95 % points, its mean and its k = 2 uncertainty.

    `text` is the value as it is printed, to the digits it deserves. `drivers` says what to
    measure next, the largest share first.
    """

    low: float
    typical: float
    high: float
    mean: float
    expanded: float
    text: str
    drivers: tuple[Driver, ...] = ()


class WorkingValue(Model):
    """One value that went into a computation, as words, with its kind and origin."""

    name: str
    text: str
    kind: str
    origin: str


class Answer(Model):
    """What every computation gives back beside its own results."""

    answer: Literal["answer", "cannot say"] = "answer"
    reasons: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    working: tuple[WorkingValue, ...] = ()


@dataclass(frozen=True)
class Asked:
    """What a computation is run with beside its inputs: the seed and the decoded files."""

    seed: int = 0
    files: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Computation:
    """One entry of the catalogue."""

    name: str
    title: str
    input_model: type[Model]
    output_model: type[Answer]
    function: Callable[[Any, Asked], Answer]
    formula: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    checked: str


def estimate(found: Spread, factor: float, unit: str) -> Estimate:
    """Return a spread as an estimate in a bench unit, `factor` of which make the SI unit."""
    band = found.band.scaled(factor)
    return Estimate(
        low=band.low,
        typical=band.typical,
        high=band.high,
        mean=found.mean * factor,
        expanded=found.expanded * factor,
        text=printed(band, found.mean * factor, found.expanded * factor, unit),
        drivers=tuple(Driver(name=one.name, share=one.share) for one in found.drivers),
    )


def printed(band: Band, mean: float, expanded: float, unit: str) -> str:
    """Return a quantity as it is printed: with ±, or, when lopsided, with its 5 and 95 % points."""
    from softmend.science.digits import band_text, rounded

    above, below = band.high - band.typical, band.typical - band.low
    if max(above, below) > LOPSIDED * min(above, below):
        return band_text(band.low, band.typical, band.high, unit)
    line = rounded(mean, expanded)
    figures = line.value.replace(".", "").lstrip("-0")
    if not line.uncertainty and len(figures) > MOST_FIGURES:
        # Reckoned from values without a spread: the figures behind are the formula's, not known.
        line = rounded(float(f"{mean:.{SHOWN_FIGURES}g}"), 0.0)
    return line.text(unit)


def worked(name: str, given: Sourced, unit: str) -> WorkingValue:
    """Return one input as a line of the working."""
    value = given.uncertain()
    return WorkingValue(
        name=name,
        text=printed(value.band, value.mean, 2 * value.sd, unit),
        kind=given.kind,
        origin=given.origin,
    )
