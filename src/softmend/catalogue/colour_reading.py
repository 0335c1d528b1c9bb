"""A colour as a person or a file gives it: a curve, a sample of a file by name, or L*, a*, b*."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend import tables
from softmend.catalogue.computation import Asked, Model, Number, Words
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.colorimetry import Weights
    from softmend.science.uncertain import Array

NOT_KNOWN = "not known"
PERCENT_ABOVE = 1.5
STEP_NM, FINE_STEP_NM, COARSEST_NM = 10.0, 20.0, 50.0
MUST_START_NM, MUST_END_NM = 420.0, 680.0
ESTIMATED = (
    "The curve of “{name}” is estimated from its colour: under another lamp it may be off by about "
    "0.5, at most 2 CIEDE2000."
)

Nanometres = Annotated[list[Number], Field(min_length=2, max_length=1000)]
Values = Annotated[list[Number], Field(min_length=2, max_length=1000)]
Lab = tuple[Number, Number, Number]
ObserverDegrees = Literal[2, 10]
LampName = Annotated[str, Field(min_length=1, max_length=100)]


class Reading(Model):
    """One colour. Give one of three: a curve, the name of a sample in the file, or L*, a*, b*.

    A curve is `reflectance` at `wavelengths_nm` (rising or falling, any step up to 50 nm between
    380 and 780), or from `start_nm` in steps of `step_nm`; `unit` says fraction or percent. `lab`
    belongs to the `lamp` and `observer_degrees` that stand with it. How it was measured (geometry,
    specular part, UV) is kept, and readings made in different ways are not mixed silently.
    """

    name: Words = ""
    sample: Words | None = None
    wavelengths_nm: Nanometres | None = None
    start_nm: Number | None = None
    step_nm: Annotated[Number, Field(gt=0, le=100)] | None = None
    reflectance: Values | None = None
    unit: Literal["fraction", "percent"] | None = None
    lab: Lab | None = None
    lamp: LampName = "D65"
    observer_degrees: ObserverDegrees = 2
    geometry: Words = NOT_KNOWN
    specular: Literal["included", "excluded", "not known"] = "not known"
    uv: Words = NOT_KNOWN


@dataclass(frozen=True)
class Curve:
    """A colour made ready: rising wavelengths and shares of the light, or a colour only."""

    name: str
    at: Array | None = None
    values: Array | None = None
    lab: tuple[float, float, float] | None = None
    lamp: str = "D65"
    observer_degrees: int = 2
    geometry: str = NOT_KNOWN
    specular: str = NOT_KNOWN
    uv: str = NOT_KNOWN
    warnings: tuple[str, ...] = field(default=())

    @property
    def is_measured(self) -> bool:
        """Say whether there is a curve, or only a colour."""
        return self.values is not None


def curve_of(given: Reading, asked: Asked, what: str) -> Curve:
    """Return a reading made ready; `what` names it in messages when it has no name."""
    name = given.name or given.sample or what
    ways = [given.sample is not None, given.reflectance is not None, given.lab is not None]
    if sum(ways) != 1:
        raise InputError(
            f"The reading “{name}” is given in {sum(ways)} ways",
            allowed="one of: sample (in readings_file), reflectance with wavelengths_nm, lab",
        )
    if given.sample is not None:
        return _from_file(given, name, asked)
    if given.lab is not None:
        _check_lab(given.lab, name)
        return Curve(
            name, lab=given.lab, lamp=given.lamp, observer_degrees=given.observer_degrees,
            geometry=given.geometry, specular=given.specular, uv=given.uv,
        )  # fmt: skip
    at = given.wavelengths_nm
    values = given.reflectance or []
    if at is None:
        if given.start_nm is None or given.step_nm is None:
            raise InputError(
                f"The reading “{name}” does not say at which wavelengths it was made",
                allowed="wavelengths_nm, or start_nm and step_nm",
            )
        at = [given.start_nm + given.step_nm * place for place in range(len(values))]
    return _ready(name, at, values, given.unit, given)


def all_of_file(asked: Asked) -> list[Curve]:
    """Return every sample of the readings file, made ready."""
    return [_of_sample(one, asked) for one in _file(asked, "readings_file").samples]


def same_way(curves: Iterable[Curve]) -> tuple[str, ...]:
    """Return warnings about readings made in different ways; a mixed specular part is refused."""
    given = list(curves)
    specular = {one.specular: one.name for one in given if one.specular != NOT_KNOWN}
    if len(specular) > 1:
        raise InputError(
            "Readings with and without the specular part are mixed",
            value="; ".join(f"{name}: {way}" for way, name in specular.items()),
            allowed="one way for all",
            remedy="Measure again in one way: surface light alone can move L* by 2 to 8",
        )
    warnings = []
    for word, label in (("geometry", "geometries"), ("uv", "UV settings")):
        found = {getattr(one, word) for one in given} - {NOT_KNOWN}
        if len(found) > 1:
            warnings.append(f"The readings have different {label}: {', '.join(sorted(found))}.")
    return tuple(warnings)


def raster_for(curves: Sequence[Curve]) -> Array:
    """Return the wavelengths, every 10 nm, that all curves reach; too short a reach is refused."""
    from softmend.science.tint.curve import raster_within

    spans = [
        (float(one.at[0]), float(one.at[-1]), one.name) for one in curves if one.at is not None
    ]
    if not spans:
        return raster_within(400.0, 700.0, STEP_NM)
    first = max(spans, key=lambda one: one[0])
    last = min(spans, key=lambda one: one[1])
    for short, name in ((first[0] > MUST_START_NM, first[2]), (last[1] < MUST_END_NM, last[2])):
        if short:
            raise InputError(
                f"The curve of “{name}” does not reach far enough",
                value=f"common reach {first[0]:g} to {last[1]:g} nm",
                allowed="420 to 680 nm or more",
                remedy="Export all wavelengths of the instrument",
            )
    return raster_within(max(first[0], 360.0), min(last[1], 780.0), STEP_NM)


def on_raster(curve: Curve, raster: Array) -> Array:
    """Return a measured curve's reflectance at the wavelengths of a raster."""
    from softmend.science.tint import curve as curves

    if curve.at is None or curve.values is None:
        raise InputError(
            f"“{curve.name}” is only a colour, and a curve is needed here",
            allowed="reflectance at wavelengths",
        )
    return curves.on_raster(curve.at, curve.values, raster)


def resampling_words(curves: Sequence[Curve]) -> tuple[str, ...]:
    """Return a warning for each curve whose wavelengths are not those it is used at."""
    words = []
    for one in curves:
        if one.at is None:
            continue
        at = [round(float(nm), 3) for nm in one.at]
        steps = [round(two - first, 3) for first, two in pairwise(at)]
        if set(steps) != {STEP_NM} or at[0] % STEP_NM:
            words.append(
                f"“{one.name}” stands at {at[0]:g} to {at[-1]:g} nm in steps of "
                f"{median(steps):g}; it was taken to every 10 nm by a smooth curve."
            )
    return tuple(words)


def weights_of(lamp: str, degrees: int, at: Array, asked: Asked) -> Weights:
    """Return what turns reflectances at some wavelengths into colours under a lamp."""
    from softmend.science.tint.colorimetry import weights

    return weights(lamp, at, power_of(lamp, asked), observer(degrees))


def power_of(lamp: str, asked: Asked) -> Array:
    """Return a lamp's power at every nm: of the user's lamp file first, then of the table."""
    from softmend.science.tint.curve import every_nanometre

    if "lamp_file" in asked.files:
        for one in _file(asked, "lamp_file").samples:
            if one.name.casefold() == lamp.casefold() and one.values:
                _check_lamp_reach(one.wavelengths_nm, one.name)
                return every_nanometre(one.wavelengths_nm, one.values)
    names = {name.casefold(): name for name in lamp_names()}
    if lamp.casefold() not in names:
        raise InputError(
            "That lamp is not known",
            value=lamp,
            allowed=f"{', '.join(lamp_names())}, or a name in lamp_file",
        )
    return _table_lamp(names[lamp.casefold()])


def lamp_names() -> tuple[str, ...]:
    """Return the names of the lamps that ship with the program."""
    units = tables.table("lamps").units
    return (*(name for name, unit in units.items() if unit == "relative"), "E")


@lru_cache(maxsize=64)
def _table_lamp(name: str) -> Array:
    from softmend.science.tint.curve import every_nanometre

    if name == "E":
        return every_nanometre([360.0, 780.0], [1.0, 1.0])
    rows = tables.table("lamps").rows
    at = [float(row["wavelength_nm"] or 0) for row in rows]
    return every_nanometre(at, [float(row[name] or 0) for row in rows])


@lru_cache(maxsize=2)
def observer(degrees: int) -> Array:
    """Return the colour matching functions of an observer at every nm from 360 to 780."""
    from softmend.science.tint.curve import numbers

    rows = tables.table("observers").rows
    return numbers([[float(row[f"{axis}bar{degrees}"] or 0) for axis in "xyz"] for row in rows])


@lru_cache(maxsize=1)
def rendering_parts() -> tuple[Array, Array]:
    """Return the eight samples of the rendering index and the parts of daylight at every nm."""
    from softmend.science.tint.colorimetry import EVERY_NM, interpolation
    from softmend.science.tint.curve import numbers

    rows = tables.table("colour_rendering").rows
    names = [*(f"TCS{number:02d}" for number in range(1, 9)), "S0", "S1", "S2"]
    known = numbers([[float(row[name] or 0) for name in names] for row in rows])
    found = interpolation(numbers([float(row["wavelength_nm"] or 0) for row in rows]), EVERY_NM)
    return found @ known[:, :8], found @ known[:, 8:]


def reflectance_of(curve: Curve, raster: Array, asked: Asked) -> tuple[Array, tuple[str, ...]]:
    """Return a curve on a raster: measured, or else estimated from its colour, and said so."""
    from softmend.science.tint.colorimetry import xyz_of_lab
    from softmend.science.tint.spectrum import smoothest_spectrum

    if curve.is_measured or curve.lab is None:
        return on_raster(curve, raster), ()
    lamp = weights_of(curve.lamp, curve.observer_degrees, raster, asked)
    made = smoothest_spectrum(xyz_of_lab(curve.lab, lamp.white), lamp)
    words = [ESTIMATED.format(name=curve.name)]
    if made.min() < 0 or made.max() > 1:
        words.append(f"No smooth surface has the colour of “{curve.name}”; the nearest was taken.")
    return made.clip(0.0, 1.0), tuple(words)


def _from_file(given: Reading, name: str, asked: Asked) -> Curve:
    held = _file(asked, "readings_file")
    wanted = (given.sample or "").strip().casefold()
    found = [one for one in held.samples if one.name.strip().casefold() == wanted]
    if len(found) != 1:
        names = ", ".join(one.name for one in held.samples[:20])
        raise InputError(
            f"The file has {len(found)} readings of that name",
            value=given.sample,
            allowed=f"one of: {names}",
        )
    return _of_sample(found[0], asked, name)


def _of_sample(one: Any, asked: Asked, name: str = "") -> Curve:
    from softmend.science.tint.curve import rising

    how = {"geometry": one.geometry, "specular": one.specular, "uv": one.uv}
    name = name or one.name
    if not one.values:
        _check_lab(one.lab, name)
        lamp = one.lamp if one.lamp != NOT_KNOWN else "D50"
        words = () if one.lamp != NOT_KNOWN else (f"The lamp of “{name}” was taken to be D50.",)
        return Curve(name, lab=one.lab, lamp=lamp, observer_degrees=one.observer_degrees or 2,
                     warnings=words, **how)  # fmt: skip
    at, values = rising(one.wavelengths_nm, one.values)
    _check_curve(name, at, values)
    return Curve(name, at, values, warnings=tuple(_file(asked, "readings_file").notes), **how)


def _ready(
    name: str, at: Sequence[float], values: Sequence[float], unit: str | None, given: Reading
) -> Curve:
    from softmend.science.tint.curve import rising

    if len(at) != len(values):
        raise InputError(
            f"“{name}” has another number of values than of wavelengths",
            value=f"{len(values)} values, {len(at)} wavelengths",
        )
    nm, shares = rising(at, values)
    warnings: tuple[str, ...] = ()
    if unit is None and shares.max() > PERCENT_ABOVE:
        unit = "percent"
        warnings = (f"“{name}” reaches {shares.max():g} and was read as percent; say so by unit.",)
    if unit == "percent":
        shares = shares / 100
    _check_curve(name, nm, shares)
    return Curve(name, nm, shares, geometry=given.geometry, specular=given.specular, uv=given.uv,
                 warnings=warnings)  # fmt: skip


def _check_curve(name: str, at: Array, values: Array) -> None:
    steps = at[1:] - at[:-1]
    if at.size < 2:
        raise InputError(
            f"“{name}” has one wavelength only",
            value=f"{at[0]:g} nm" if at.size else "none",
            allowed="steps up to 50 nm between 380 and 780",
            remedy="Export the whole curve",
        )
    if steps.min() <= 0:
        raise InputError(f"A wavelength of “{name}” stands twice", remedy="Keep one of each")
    inside = steps[(at[:-1] >= 380) & (at[1:] <= 780)]
    if inside.size == 0 or inside.max() > COARSEST_NM:
        raise InputError(
            f"The wavelengths of “{name}” are too far apart",
            value=f"{steps.max():g} nm",
            allowed="steps up to 50 nm between 380 and 780",
        )
    if values.min() < -0.01 or values.max() > PERCENT_ABOVE:
        wrong = values[(values < -0.01) | (values > PERCENT_ABOVE)][0]
        raise InputError(
            f"A reflectance of “{name}” is out of range",
            value=f"{100 * wrong:.4g} % of white",
            allowed="0 to 150 %, or 0 to 1.5 as a fraction",
            remedy="Say unit: percent or fraction, or measure again on a calibrated instrument",
        )


def _check_lab(lab: Sequence[float] | None, name: str) -> None:
    if lab is None or not (0 <= lab[0] <= 100 and all(abs(one) <= 150 for one in lab[1:])):
        raise InputError(
            f"The colour of “{name}” is out of range",
            value=lab,
            allowed="L* 0 to 100, a* and b* -150 to 150",
        )


def _check_lamp_reach(at: Sequence[float], name: str) -> None:
    if at[0] > MUST_START_NM or at[-1] < MUST_END_NM:
        raise InputError(
            f"The lamp “{name}” does not reach far enough",
            value=f"{at[0]:g} to {at[-1]:g} nm",
            allowed="420 to 680 nm or more",
        )


def _file(asked: Asked, field_name: str) -> Any:
    if field_name not in asked.files:
        raise InputError(
            "A reading is named, and there is no file to find it in",
            remedy=f"Name the file in {field_name}",
        )
    return asked.files[field_name]
