"""The ways in which a coating gives, each as a small section: where it cracks, what comes off."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError
from softmend.pictures.svg import INK, OBJECT, WARM, WHITE, document, element, group
from softmend.science.film.energy import Pattern

WIDTH, HEIGHT = 168.0, 84.0
_TOP, _SKIN = 22.0, 16.0
_COAT = "#cfe1e3"
_WORDS = {
    Pattern.SURFACE_CRACK: "A crack through the coating stops at what lies below.",
    Pattern.CHANNEL: "A crack through the coating, seen from the side, runs along in it.",
    Pattern.INTO_THE_BODY: "A crack through the coating goes on into the body.",
    Pattern.SPALL: "The coating curls up with a skin of the body under it.",
    Pattern.PEEL_START: "Beside a crack through the coating its foot begins to part.",
    Pattern.PEEL: "The coating has parted along its foot and curls up.",
}


def pattern_svg(one: Pattern) -> str:
    """Return one way of giving as a small drawing; thicknesses are not to scale."""
    sky = element("rect", x=0, y=0, width=WIDTH, height=HEIGHT, fill=WHITE)
    return document(WIDTH, HEIGHT, [sky, _ground(), *_DRAWN[one]()])


def pattern_words(one: Pattern) -> str:
    """Return what the drawing shows, for whoever does not see it."""
    return _WORDS[one]


def pattern_named(name: str) -> Pattern:
    """Return the pattern that an answer names."""
    try:
        return Pattern(name)
    except ValueError as unknown:
        raise InputError("There is no such way of giving", value=name) from unknown


def _ground() -> str:
    body = {"x": 0, "y": _TOP + _SKIN, "width": WIDTH, "height": HEIGHT - _TOP - _SKIN}
    return element("rect", **body, fill=OBJECT)


def _coat(left: float = 0.0, right: float = WIDTH) -> str:
    box = {"x": left, "y": _TOP, "width": right - left, "height": _SKIN}
    return element("rect", **box, fill=_COAT, stroke=INK, stroke_width=1.1)


def _crack(path: str) -> str:
    return element("path", d=path, fill="none", stroke=WARM, stroke_width=2.6,
                   stroke_linejoin="round")  # fmt: skip


def _notch(x: float) -> str:
    path = f"M{x - 4:g} {_TOP:g}L{x:g} {_TOP + _SKIN:g}L{x + 4:g} {_TOP:g}Z"
    return element("path", d=path, fill=WHITE, stroke=WARM, stroke_width=2)


def _surface_crack() -> list[str]:
    return [_coat(), _notch(WIDTH / 2)]


def _channel() -> list[str]:
    # Seen along the crack: its front has come to the middle and runs on.
    run = {"x": 0, "y": _TOP, "width": WIDTH / 2, "height": _SKIN}
    front = f"M{WIDTH / 2:g} {_TOP:g}v{_SKIN:g}"
    head = f"M{WIDTH / 2 + 6:g} {_TOP + 8:g}h30m-9 -6l9 6l-9 6"
    return [_coat(), element("rect", **run, fill=WHITE, stroke=WARM, stroke_width=1.4),
            _crack(front), _crack(head)]  # fmt: skip


def _into_the_body() -> list[str]:
    return [_coat(), _notch(WIDTH / 2), _crack(f"M{WIDTH / 2:g} {_TOP + _SKIN:g}l-2 12l4 10l-2 10")]


def _flake(thick: float) -> list[str]:
    # What has parted curls up on the right; under it lies what stayed.
    bend, end, up = 70.0, WIDTH - 14, 20.0
    foot = _TOP + _SKIN + thick
    gap = (
        f"M{bend:g} {foot:g}Q{end - 40:g} {foot:g} {end:g} {foot - up:g}"
        f"L{WIDTH:g} {foot - up:g}V{foot:g}Z"
    )
    top = (
        f"M0 {_TOP:g}H{bend:g}Q{end - 40:g} {_TOP:g} {end:g} {_TOP - up:g}"
        f"L{end:g} {_TOP + _SKIN - up:g}Q{end - 40:g} {_TOP + _SKIN:g} {bend:g} {_TOP + _SKIN:g}H0Z"
    )
    skin = (
        f"M{bend:g} {_TOP + _SKIN:g}Q{end - 40:g} {_TOP + _SKIN:g} {end:g} {_TOP + _SKIN - up:g}"
        f"L{end:g} {foot - up:g}Q{end - 40:g} {foot:g} {bend:g} {foot:g}Z"
    )
    above = {"x": bend, "y": 0, "width": WIDTH - bend, "height": foot}
    found = [element("rect", **above, fill=WHITE), element("path", d=gap, fill=WHITE)]
    if thick:
        found.append(element("path", d=skin, fill=OBJECT, stroke=INK, stroke_width=1.1))
    found.append(element("path", d=top, fill=_COAT, stroke=INK, stroke_width=1.1))
    parted = f"M{bend - 16:g} {foot:g}H{WIDTH:g}"
    return [*found, _crack(parted)]


def _spall() -> list[str]:
    return [group(_flake(18.0))]


def _peel() -> list[str]:
    return [group(_flake(0.0))]


def _peel_start() -> list[str]:
    foot = _TOP + _SKIN
    parted = f"M{WIDTH / 2 - 22:g} {foot:g}H{WIDTH / 2 + 22:g}"
    return [_coat(), _notch(WIDTH / 2), _crack(parted)]


_DRAWN = {
    Pattern.SURFACE_CRACK: _surface_crack,
    Pattern.CHANNEL: _channel,
    Pattern.INTO_THE_BODY: _into_the_body,
    Pattern.SPALL: _spall,
    Pattern.PEEL_START: _peel_start,
    Pattern.PEEL: _peel,
}
