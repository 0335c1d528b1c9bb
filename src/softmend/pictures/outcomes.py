"""What a spot test may do, drawn: a section through coating and object with the swab above it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable

from softmend.errors import InputError
from softmend.pictures.svg import (
    ACCENT,
    GREY,
    INK,
    OBJECT,
    WARM,
    WHITE,
    document,
    element,
    group,
)
from softmend.records.spot_test import Coating, OnObject

WIDTH, HEIGHT = 112.0, 76.0
_FLOOR, _GROUND, _FILM = 72.0, 50.0, 40.0
_LEFT, _RIGHT, _FROM, _TO = 2.0, 110.0, 38.0, 74.0
_COATING = "#cfe1e3"
_SWAB_X, _SWAB_Y, _SWAB = 56.0, 17.0, 12.0


def coating_svg(outcome: Coating) -> str:
    """Return the drawing of what a test did to the coating."""
    above = {
        Coating.NONE: _film(f"M{_LEFT} {_FILM}H{_RIGHT}V{_GROUND}H{_LEFT}Z"),
        Coating.SWELLS: _film(
            f"M{_LEFT} {_FILM}H{_FROM}C44 26 68 26 {_TO} {_FILM}H{_RIGHT}V{_GROUND}H{_LEFT}Z"
        )
        + _line("M46 40Q51 36 56 40T66 40", GREY),
        Coating.SOFTENS: _film(
            f"M{_LEFT} {_FILM}H{_FROM}Q46 47 52 43T{_TO} 44L82 38L86 {_FILM}H{_RIGHT}V{_GROUND}"
            f"H{_LEFT}Z"
        ),
        Coating.DISSOLVES: _film(f"M{_LEFT} {_FILM}H{_FROM}L42 {_GROUND}H{_LEFT}Z")
        + _film(f"M{_RIGHT} {_FILM}H{_TO}L70 {_GROUND}H{_RIGHT}Z"),
    }[outcome]
    taken = {Coating.SOFTENS: 0.35, Coating.DISSOLVES: 0.75}.get(outcome, 0.0)
    return _drawn(_ground(), above, _swab(taken))


def object_svg(effect: OnObject) -> str:
    """Return the drawing of what a test did to the object; the coating is off where it is seen."""
    effects: dict[OnObject, Callable[[], tuple[str, ...]]] = {
        OnObject.NONE: lambda: (_ground(), _swab(0.0)),
        OnObject.GLOSS: lambda: (
            _ground(),
            *(_line(f"M{x} 46L{x + 5} 38", WARM) for x in (42, 50, 58, 66)),
            _swab(0.0),
        ),
        OnObject.BLANCH: lambda: (
            _ground(),
            element("ellipse", cx=56, cy=53, rx=17, ry=4, fill=WHITE, stroke=WARM,
                    stroke_width=1.6, stroke_dasharray="3 2"),
            _swab(0.0),
        ),
        OnObject.TACK: lambda: (
            _ground(),
            *(_line(f"M{x} {_GROUND}Q{(x + 56) / 2} 38 {50 + (x - 44) / 2} 28", WARM)
              for x in (44, 56, 68)),
            _swab(0.0),
        ),
        OnObject.SWELLING: lambda: (_ground(f"H{_FROM}C46 36 66 36 {_TO} {_GROUND}"), _swab(0.0)),
        OnObject.ON_SWAB: lambda: (_ground(f"H46Q56 54 66 {_GROUND}"), _swab(0.0), _dots()),
        OnObject.LIFTING: lambda: (
            _ground(f"H44L50 56H68L72 {_GROUND}"),
            element("path", d="M50 52L72 36L76 40L56 55Z", fill=OBJECT, stroke=WARM,
                    stroke_width=1.8, stroke_linejoin="round"),
            _swab(0.0),
        ),
    }  # fmt: skip
    return _drawn(*effects[effect]())


def outcome_svg(of: str, word: str) -> str:
    """Return the drawing of an outcome by the word that is recorded."""
    if of == "coating":
        return coating_svg(Coating(word))
    if of == "object":
        return object_svg(OnObject(word))
    raise InputError("An outcome is of the coating or of the object", value=of)


def _drawn(*inside: str) -> str:
    return document(WIDTH, HEIGHT, inside)


def _ground(bulge: str = "") -> str:
    top = f"{bulge}H{_RIGHT}" if bulge else f"H{_RIGHT}"
    body = element(
        "path",
        d=f"M{_LEFT} {_GROUND}{top}V{_FLOOR}H{_LEFT}Z",
        fill=OBJECT,
        stroke=INK,
        stroke_width=1.4,
    )
    # Object and coating differ by their strokes too, not by their colours alone.
    grain = [_line(f"M{x} 66L{x + 8} 58", INK, 0.8) for x in range(8, 104, 12)]
    return group([body, *grain])


def _film(path: str) -> str:
    return element("path", d=path, fill=_COATING, stroke=ACCENT, stroke_width=1.4)


def _swab(taken: float) -> str:
    stick = element(
        "line", x1=_SWAB_X + 8, y1=_SWAB_Y - 6, x2=104, y2=2, stroke=INK, stroke_width=2.6
    )
    ball = element(
        "circle", cx=_SWAB_X, cy=_SWAB_Y, r=_SWAB, fill=WHITE, stroke=INK, stroke_width=1.4
    )
    if not taken:
        return group([stick, ball])
    y = _SWAB_Y + _SWAB - 2 * _SWAB * taken
    half = (_SWAB**2 - (y - _SWAB_Y) ** 2) ** 0.5
    large = int(taken > 0.5)
    stain = element(
        "path",
        d=f"M{_SWAB_X - half:.1f} {y:.1f}A{_SWAB} {_SWAB} 0 {large} 0 {_SWAB_X + half:.1f} "
        f"{y:.1f}Z",
        fill=_COATING,
        stroke=ACCENT,
        stroke_width=1.4,
    )
    return group([stick, ball, stain])


def _dots() -> str:
    places = ((50, 18), (56, 23), (61, 17), (53, 25), (59, 12), (49, 12))
    return group(
        [element("circle", cx=x, cy=y, r=1.9, fill=WARM, stroke="none") for x, y in places]
    )


def _line(path: str, colour: str, width: float = 1.8) -> str:
    return element("path", d=path, fill="none", stroke=colour, stroke_width=width)
