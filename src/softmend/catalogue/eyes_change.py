"""What moved between two photographs: openings, new cracks suggested, opening for each %RH."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    WorkingValue,
    worked,
)
from softmend.catalogue.eyes import (
    AS_LIT,
    TESTED_ON,
    AnyBlur,
    Coding,
    Line,
    PictureFile,
    Positive,
    Ring,
    ScaleOrNone,
    blur_of,
    blur_warnings,
    light_of,
    measured_mm,
    no_scale_warnings,
    picture_of,
    scale_lines,
)
from softmend.catalogue.eyes_readings import Readings, opening_readings, per_percent
from softmend.catalogue.eyes_register import PITFALLS, Laid, register_warnings, shown
from softmend.catalogue.eyes_suggest import SUGGESTED, Sensitivity, SuggestedCrack, suggested
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.photo.change import Air, Opening, Pair
    from softmend.science.photo.register import Features, Registration

Percent = Annotated[Number, Field(ge=0, le=100)]
Degrees = Annotated[Number, Field(ge=-40, le=80)]
NO_PAIR = (
    "No second photograph of the first day was given (camera taken down and put back): nothing "
    "under 1 px is called a change."
)


class TracedCrack(Model):
    """A crack by its number, traced on the earlier photograph and, if wished, on the later."""

    number: Annotated[int, Field(ge=0, le=1_000_000)] = 0
    line_px: Line
    later_line_px: Line | None = None


class ChangeInput(Model):
    """Two photographs of one view, the cracks traced on the earlier, and the air at both dates.

    `repeat_file` is a second photograph of the earlier day, taken after the camera had been taken
    down: the floor of what can be told comes from it.
    """

    earlier_file: PictureFile
    later_file: PictureFile
    repeat_file: PictureFile | None = None
    cracks: Annotated[list[TracedCrack], Field(max_length=100, default_factory=list)]
    earlier_blur: AnyBlur | None = None
    later_blur: AnyBlur | None = None
    repeat_blur: AnyBlur | None = None
    coding: Coding = "sRGB"
    scale: ScaleOrNone = None
    stretch_px: Positive = 150.0
    earlier_percent: Sourced | None = None
    later_percent: Sourced | None = None
    earlier_degc: Degrees | None = None
    later_degc: Degrees | None = None
    region_px: Ring | None = None
    sensitivity: Sensitivity = 50.0


class StretchChange(Model):
    """How one stretch opened (+) or closed (-), and what it must pass to be called a change."""

    from_px: float
    to_px: float
    opened_px: float
    opened_expanded_px: float
    threshold_px: float
    is_shown: bool
    opening_mm: Estimate | None = None
    text: str = ""


class CrackChange(Model):
    """What may be said of one crack: its state, its stretches, and what it opens for each %RH."""

    number: int
    state: str
    stretches: tuple[StretchChange, ...] = ()
    readings: Readings | None = None
    per_percent_mm: Estimate | None = None
    reason: str = ""
    text: str = ""


class ChangeAnswer(Answer):
    """What moved, crack by crack; new cracks suggested in the pixels of the earlier one."""

    whole: Laid
    floor_px: float
    is_floor_measured: bool
    cracks: tuple[CrackChange, ...] = ()
    new_cracks: tuple[SuggestedCrack, ...] = ()
    more: int = 0


@dataclass(frozen=True)
class _Shot:
    """One photograph ready to be measured."""

    picture: Any
    light: Any
    blur: Any
    features: Features


def photo_change(given: ChangeInput, asked: Asked) -> ChangeAnswer:
    """Return what moved between two photographs."""
    from softmend.science.photo.register import registered

    first = _shot(given, asked, "earlier_file", given.earlier_blur)
    second = _shot(given, asked, "later_file", given.later_blur)
    whole = registered(first.features, second.features)
    floor, is_measured, said = _floor(given, asked, first)
    cracks = tuple(
        _crack(given, asked, (first, second), whole, crack, floor) for crack in given.cracks
    )
    new, more = _new(given, first, second, whole)
    known = any(one.state != "not known" or one.stretches for one in cracks)
    nothing = bool(whole.refused) and not known
    return ChangeAnswer(
        answer="cannot say" if nothing else "answer",
        reasons=(f"One plane does not fit the two photographs: {whole.refused}.",)
        if nothing
        else (),
        whole=shown(whole),
        floor_px=floor,
        is_floor_measured=is_measured,
        cracks=cracks,
        new_cracks=new,
        more=more,
        warnings=(
            *said,
            *blur_warnings(given.earlier_blur if given.later_blur else None),
            *register_warnings(whole),
            *no_scale_warnings(given.scale),
            *((SUGGESTED,) if new else ()),
            PITFALLS,
        ),
        working=(*scale_lines(given.scale), *_working(given, floor, is_measured)),
    )


def _shot(given: ChangeInput, asked: Asked, field: str, blur: Any) -> _Shot:
    from softmend.science.photo.register import features

    picture = picture_of(asked, field)
    light = light_of(picture, given.coding)
    return _Shot(picture, light, blur_of(blur, picture, light), features(picture))


def _floor(given: ChangeInput, asked: Asked, first: _Shot) -> tuple[float, bool, tuple[str, ...]]:
    """Return the detection floor, whether it was measured, and what is to be said of it."""
    from softmend.science.photo.change import FLOOR_WITHOUT_PAIR_PX, detection_floor
    from softmend.science.photo.register import registered

    if given.repeat_file is None:
        return FLOOR_WITHOUT_PAIR_PX, False, (NO_PAIR,)
    repeat = _shot(given, asked, "repeat_file", given.repeat_blur or given.earlier_blur)
    whole = registered(first.features, repeat.features)
    floors, refused = [], ""
    for crack in given.cracks:
        try:
            pair = _paired(first, repeat, whole, crack.line_px, None)
            floors.append(detection_floor(pair))
        except InputError as reason:
            refused = reason.sentence()
    if not floors:
        return FLOOR_WITHOUT_PAIR_PX, False, (refused or "No crack was traced for the floor.",)
    return max(floors), True, ()


def _paired(first: _Shot, second: _Shot, whole: Registration, line: Any, later_line: Any) -> Pair:
    from softmend.science.photo.change import paired_widths

    laid = _laid(first, second, whole, line)
    lights, blurs = (first.light, second.light), (first.blur, second.blur)
    return paired_widths(lights, blurs, line, laid, later_line)


def _laid(first: _Shot, second: _Shot, whole: Registration, line: Any) -> Registration:
    """Return the plane of the whole picture, or that around a line where none fits the whole."""
    from softmend.science.photo.register import local_registration

    if not whole.refused:
        return whole
    near = local_registration(first.features, second.features, line)
    if near.refused:
        raise InputError(
            "The two photographs cannot be laid on one another here", value=near.refused
        )
    return near


def _crack(
    given: ChangeInput,
    asked: Asked,
    shots: tuple[_Shot, _Shot],
    whole: Registration,
    crack: TracedCrack,
    floor: float,
) -> CrackChange:
    from softmend.science.photo.change import movement, openings

    try:
        pair = _paired(*shots, whole, crack.line_px, crack.later_line_px)
    except InputError as refused:
        return CrackChange(number=crack.number, state="not known", reason=refused.sentence())
    blurs = (shots[0].blur, shots[1].blur)
    found = openings(pair, blurs, given.stretch_px, floor, _scale_sd(whole))
    if not found:
        reason = "Narrower than twice the blur, or not seen, in one of the two photographs."
        return CrackChange(number=crack.number, state="not known", reason=reason)
    earlier = _air(given.earlier_percent, given.earlier_degc)
    state = movement(found, earlier, _air(given.later_percent, given.later_degc))
    air = (given.earlier_percent, given.later_percent)
    readings = opening_readings(air, given.scale, asked, found)
    stretches = tuple(_stretch(given, asked, one) for one in found)
    return CrackChange(
        number=crack.number,
        state=state.value,
        stretches=stretches,
        readings=readings,
        per_percent_mm=per_percent(readings, asked),
        text=_text(stretches, state.value, given),
    )


def _scale_sd(whole: Registration) -> float:
    """Return the relative sd of the scale between the photographs, from what the matches leave."""
    if whole.refused or len(whole.agreeing_px) < 2:
        return 0.005
    extent = float((whole.agreeing_px.max(axis=0) - whole.agreeing_px.min(axis=0)).mean())
    return 2 * whole.residual_px / max(extent, 1.0)


def _air(percent: Sourced | None, degrees: float | None) -> Air:
    from softmend.science.photo.change import Air

    return Air(percent.uncertain().typical if percent else None, degrees)


def _stretch(given: ChangeInput, asked: Asked, one: Opening) -> StretchChange:
    from softmend.science.digits import rounded

    parts = {"noise along the crack": one.random_sd_px, "both photographs": one.systematic_px}
    expanded = 2 * math.hypot(*parts.values())
    wide = measured_mm(given.scale, asked, one.at_px, one.way, one.opening_px, parts)
    text = wide.text if wide else rounded(one.opening_px, expanded).text("px")
    return StretchChange(
        from_px=round(one.from_px, 1),
        to_px=round(one.to_px, 1),
        opened_px=round(one.opening_px, 3),
        opened_expanded_px=round(expanded, 3),
        threshold_px=round(one.threshold_px, 3),
        is_shown=one.is_shown,
        opening_mm=wide,
        text=text if one.is_shown else f"no change shown ({text})",
    )


def _text(found: tuple[StretchChange, ...], state: str, given: ChangeInput) -> str:
    shown_ones = [one for one in found if one.is_shown]
    if not shown_ones:
        return "no change shown"
    most = max(shown_ones, key=lambda one: abs(one.opened_px))
    verb = "opened" if most.opened_px > 0 else "closed"
    in_px = f" ({abs(most.opened_px):.1f} px)" if most.opening_mm else ""
    far = most.text.lstrip("-\u2212")
    moved = f"{verb} by up to {far}{in_px} on {len(shown_ones)} of {len(found)} stretches"
    if state == "grown":
        return f"{moved}, at like humidity and temperature"
    if given.earlier_percent is None or given.later_percent is None:
        return f"{moved}; the humidity of both dates is not known, so it may have breathed"
    return f"{moved}; humidity or temperature differ, so growth cannot be told from breathing"


def _new(
    given: ChangeInput, first: _Shot, second: _Shot, whole: Registration
) -> tuple[tuple[SuggestedCrack, ...], int]:
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.new_crack import laid_on, new_cracks, new_levels
    from softmend.science.photo.standing_out import levels
    from softmend.science.photo.suggest import allowed

    if whole.refused:
        return (), 0
    earlier, later = coded_grey(first.picture), coded_grey(second.picture)
    where = allowed(earlier, given.region_px)
    left = new_levels(levels(earlier), levels(later), whole, where)
    laid = laid_on(later, whole, (earlier.shape[1], earlier.shape[0]))
    found, more = new_cracks(laid, left, given.sensitivity)
    return suggested(found), more


def _working(given: ChangeInput, floor: float, is_measured: bool) -> tuple[WorkingValue, ...]:
    lines = [
        WorkingValue(
            name="detection floor",
            text=f"{floor:.2f} px",
            kind="measured" if is_measured else "estimated",
            origin="two photographs of one day" if is_measured else "no second photograph",
        )
    ]
    for name, value in (("earlier", given.earlier_percent), ("later", given.later_percent)):
        if value is not None:
            lines.append(worked(f"relative humidity, {name}", value, "%"))
    return tuple(lines)


COMPUTATIONS = {
    "photo.change": Computation(
        name="photo.change",
        title="What moved between two photographs",
        input_model=ChangeInput,
        output_model=ChangeAnswer,
        function=photo_change,
        formula="opening = later width × local scale − earlier width, each against its own blur; "
        "a change only above floor + 2 × random sd + width × sd of the scale",
        sources=("softmend-imaging", "lowe2004", "barath2020", "jcgm100"),
        cautions=(
            AS_LIT,
            TESTED_ON,
            PITFALLS,
            "“Grown” needs two readings at like humidity and temperature; an object lags its air.",
        ),
        checked="tests/science/photo/test_change.py",
    ),
}
