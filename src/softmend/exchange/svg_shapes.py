"""The shape in a piece of foreign SVG, as numbers; nothing else of it is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from html.parser import HTMLParser

from softmend.errors import InputError, LimitError
from softmend.records.mark import Geometry, Position, Shape

LARGEST_SVG = 1_000_000
LARGEST_COUNT = 20_000
_FURTHEST_PX = 1e6
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?")
_PIECE = re.compile(rf"[A-Za-z]|{_NUMBER.pattern}|[^\s,]")
_SHAPES = frozenset({"path", "polygon", "polyline", "line", "rect", "circle"})
_AXES = {"h": 0, "v": 1}


class _Reader(HTMLParser):
    """Collect shapes and their attributes; entities and declarations are never expanded."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.shapes: list[tuple[str, dict[str, str]]] = []
        self.has_transform = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a shape and whether anything is transformed."""
        given = {name: value or "" for name, value in attrs}
        self.has_transform |= "transform" in given
        if tag in _SHAPES:
            self.shapes.append((tag, given))


def geometry_in_svg(svg: str) -> Geometry:
    """Return the one shape in an SVG selector: a point, a line, or an area with holes.

    Straight paths, polygons, polylines, lines, rectangles and circles are read (a circle of at
    most 2 px is a point); curves, transforms and several shapes are refused with a sentence.
    """
    if len(svg) > LARGEST_SVG:
        raise LimitError(
            "The SVG of a selector is too long", value=f"{len(svg)} characters",
            allowed=f"at most {LARGEST_SVG}",
        )  # fmt: skip
    reader = _Reader()
    reader.feed(svg)
    reader.close()
    if reader.has_transform:
        raise InputError("An SVG selector with a transform cannot be read")
    if len(reader.shapes) != 1:
        raise InputError(
            "An SVG selector must hold exactly one shape",
            value=len(reader.shapes),
            allowed=", ".join(sorted(_SHAPES)),
        )
    return _geometry(*reader.shapes[0])


def _geometry(tag: str, given: dict[str, str]) -> Geometry:
    if tag == "path":
        return _path(given.get("d", ""))
    if tag in ("polygon", "polyline"):
        points = tuple(_pairs(_numbers(given.get("points", ""))))
        return _area((points,)) if tag == "polygon" else _line(points)
    if tag == "line":
        first, second = (_number(given, "x1"), _number(given, "y1")), (
            _number(given, "x2"), _number(given, "y2"))  # fmt: skip
        return _line((first, second))
    if tag == "rect":
        return _rectangle(given)
    return _circle(given)


def _rectangle(given: dict[str, str]) -> Geometry:
    x, y = _number(given, "x"), _number(given, "y")
    right, below = x + _number(given, "width"), y + _number(given, "height")
    return _area((((x, y), (right, y), (right, below), (x, below)),))


def _circle(given: dict[str, str]) -> Geometry:
    x, y, radius = _number(given, "cx"), _number(given, "cy"), _number(given, "r")
    if radius <= 2:
        return Geometry(Shape.POINT, (((x, y),),))
    turns = [math.tau * index / 64 for index in range(64)]
    return _area((tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns),))


def _path(data: str) -> Geometry:
    parts: list[list[Position]] = []
    closed: list[bool] = []
    at: Position = (0.0, 0.0)
    for command, values in _commands(data):
        if command in "zZ":
            if not parts:
                raise _unreadable("Z before M")
            closed[-1] = True
            at = parts[-1][0]
            continue
        if command in "mM" or not parts or closed[-1]:
            parts.append([] if command in "mM" else [at])
            closed.append(False)
        for point in _points(command, values, at):
            parts[-1].append(point)
            at = point
    rings = tuple(tuple(part) for part in parts)
    if closed and all(closed):
        return _area(rings)
    if len(rings) != 1 or closed[0]:
        raise InputError("A path must be one open line, or closed rings only", value=len(rings))
    return _line(rings[0])


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    command, values = "", list[float]()
    for piece in _PIECE.findall(data):
        if piece.isalpha() and len(piece) == 1:
            if piece not in "mMlLhHvVzZ":
                raise _unreadable(piece)
            if command:
                yield command, values
            command, values = piece, []
        elif command and command not in "zZ" and _NUMBER.fullmatch(piece):
            values.append(_checked(float(piece)))
        else:
            raise _unreadable(piece)
    if command:
        yield command, values


def _points(command: str, values: list[float], at: Position) -> Iterator[Position]:
    x, y = at
    relative = command.islower()
    axis = _AXES.get(command.lower())
    if axis is not None:
        for value in values:
            moved = [x, y]
            moved[axis] = value + (moved[axis] if relative else 0.0)
            x, y = moved
            yield x, y
        return
    for across, down in _pairs(values):
        x, y = (x + across, y + down) if relative else (across, down)
        yield x, y


def _numbers(text: str) -> list[float]:
    pieces = _PIECE.findall(text)
    if not all(_NUMBER.fullmatch(piece) for piece in pieces):
        raise _unreadable(text[:40])
    return [_checked(float(piece)) for piece in pieces]


def _number(given: dict[str, str], name: str) -> float:
    numbers = _numbers(given.get(name, "0"))
    if len(numbers) != 1:
        raise _unreadable(f"{name}={given.get(name, '')[:40]}")
    return numbers[0]


def _checked(value: float) -> float:
    if not abs(value) < _FURTHEST_PX:
        raise InputError(
            "A position of a shape is not on any picture", value=value, allowed="under 1e6 px"
        )
    return value


def _pairs(values: list[float]) -> Iterator[Position]:
    if len(values) % 2:
        raise _unreadable("an odd count of numbers")
    yield from zip(values[::2], values[1::2], strict=True)


def _line(points: tuple[Position, ...]) -> Geometry:
    _check_count(points, least=2)
    return Geometry(Shape.LINE, (_rounded(points),))


def _area(rings: tuple[tuple[Position, ...], ...]) -> Geometry:
    opened = []
    for ring in rings:
        shown = _rounded(ring)
        if len(shown) > 1 and shown[0] == shown[-1]:
            shown = shown[:-1]
        _check_count(shown, least=3)
        opened.append(shown)
    _check_count(tuple(point for ring in opened for point in ring), least=3)
    return Geometry(Shape.AREA, tuple(opened))


def _rounded(points: tuple[Position, ...]) -> tuple[Position, ...]:
    return tuple((round(x, 2), round(y, 2)) for x, y in points)


def _check_count(points: tuple[Position, ...], least: int) -> None:
    if len(points) < least:
        raise InputError(
            "A shape has too few positions", value=len(points), allowed=f"at least {least}"
        )
    if len(points) > LARGEST_COUNT:
        raise LimitError(
            "A shape has too many positions",
            value=len(points),
            allowed=f"at most {LARGEST_COUNT}",
        )


def _unreadable(what: str) -> InputError:
    return InputError(
        "The shape in an SVG selector cannot be read",
        value=what,
        allowed="straight shapes: M L H V Z, points, x and y in pixels",
    )
