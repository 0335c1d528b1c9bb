"""Readings of foreign colour files in one form: rising wavelengths, shares of the light."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from softmend.errors import InputError, LimitError

NOT_KNOWN = "not known"
PERCENT_ABOVE = 1.5
"""A reflectance above this can only be in percent."""
MOST_SAMPLES, MOST_BANDS, MOST_NAME = 5000, 1000, 200
FIRST_NM, LAST_NM = 200.0, 2600.0


@dataclass(frozen=True, slots=True)
class ColourSample:
    """One curve or colour of a file, and how it was measured.

    `values` are shares of the light for a reflectance and of any scale for a lamp's power. What the
    file does not say is "not known". `lab` stands with the lamp and observer that it belongs to.
    """

    name: str
    wavelengths_nm: tuple[float, ...] = ()
    values: tuple[float, ...] = ()
    lab: tuple[float, float, float] | None = None
    lamp: str = NOT_KNOWN
    observer_degrees: int | None = None
    geometry: str = NOT_KNOWN
    specular: str = NOT_KNOWN
    uv: str = NOT_KNOWN
    aperture_mm: float | None = None
    backing: str = NOT_KNOWN
    readings: int | None = None
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ColourFile:
    """Everything a colour file holds, and what had to be decided to read it, in sentences."""

    kind: str
    samples: tuple[ColourSample, ...]
    notes: tuple[str, ...] = ()


def put_in_order(
    samples: Sequence[ColourSample], *, percent: bool | None, quantity: str = "reflectance"
) -> tuple[tuple[ColourSample, ...], list[str]]:
    """Return samples with rising wavelengths and, for reflectances, as shares; with notes.

    `percent` is what the file itself says; None lets the largest value of the file decide.
    """
    if not samples:
        raise InputError(
            "The file holds no reading",
            allowed="at least one curve or colour",
            remedy="Export the spectra, not only the pictures of them",
        )
    if len(samples) > MOST_SAMPLES:
        raise LimitError(
            "The file holds too many readings", value=len(samples), allowed=f"up to {MOST_SAMPLES}"
        )
    notes: list[str] = []
    ordered = [_rising(one, notes) for one in samples]
    if quantity == "reflectance":
        ordered = _as_shares(ordered, percent, notes)
    return tuple(ordered), list(dict.fromkeys(notes))


def number(text: str, where: str) -> float:
    """Return a number written with a point or a comma; refuse what is none, by its place."""
    plain = text.strip().rstrip("%").strip().replace(",", ".")
    try:
        found = float(plain)
    except ValueError as fault:
        raise InputError(
            f"{where} is not a number", value=text.strip()[:40], allowed="a number such as 0.45"
        ) from fault
    if not math.isfinite(found):
        raise InputError(f"{where} is not a finite number", value=text.strip()[:40])
    return found


def _rising(sample: ColourSample, notes: list[str]) -> ColourSample:
    at, values = sample.wavelengths_nm, sample.values
    if not at:
        return sample
    if len(at) != len(values):
        raise InputError(
            f"“{sample.name}” has another number of values than of wavelengths",
            value=f"{len(values)} values, {len(at)} wavelengths",
        )
    if len(at) > MOST_BANDS:
        raise LimitError(
            f"“{sample.name}” has too many wavelengths",
            value=len(at),
            allowed=f"up to {MOST_BANDS}",
        )
    if min(at) < FIRST_NM or max(at) > LAST_NM:
        raise InputError(
            f"A wavelength of “{sample.name}” is out of range",
            value=f"{min(at):g} to {max(at):g} nm",
            allowed="200 to 2600 nm",
            remedy="Give wavelengths in nanometres",
        )
    pairs = sorted(zip(at, values, strict=True))
    if any(one[0] == two[0] for one, two in pairwise(pairs)):
        raise InputError(
            f"A wavelength of “{sample.name}” stands twice",
            remedy="Keep one reading for each wavelength",
        )
    if tuple(pair[0] for pair in pairs) != at:
        notes.append("The wavelengths were not rising; they were put in order.")
    return replace(
        sample,
        wavelengths_nm=tuple(pair[0] for pair in pairs),
        values=tuple(pair[1] for pair in pairs),
    )


def _as_shares(
    samples: list[ColourSample], percent: bool | None, notes: list[str]
) -> list[ColourSample]:
    largest = max((max(one.values) for one in samples if one.values), default=0.0)
    if percent is None:
        percent = largest > PERCENT_ABOVE
        if percent:
            notes.append(f"The largest value is {largest:.4g}, so all values were read as percent.")
    if not percent:
        return samples
    return [replace(one, values=tuple(value / 100 for value in one.values)) for one in samples]
