"""Foreign W3C Web Annotations, read: only numbers are taken from their shapes.

The way out is `web_annotation`.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from softmend.errors import InputError
from softmend.exchange.svg_shapes import geometry_in_svg
from softmend.records.dossier import NOT_KNOWN
from softmend.records.mark import Geometry, Shape, State

_LARGEST_TEXT = 4000


@dataclass(frozen=True)
class ReadAnnotation:
    """What an annotation says, as plain values: its picture, its shape, and its words.

    `digest_sha256` is empty where the picture is named by an address only.
    """

    source: str
    geometry: Geometry
    digest_sha256: str = ""
    number: str = ""
    term: str = ""
    code: str = ""
    state: State = State.NOT_KNOWN
    note: str = NOT_KNOWN


def read_annotation(annotation: Mapping[str, Any]) -> ReadAnnotation:
    """Return what an annotation says; its SVG is read for numbers and then thrown away.

    Source: web-annotation, 4.2 (fragment and SVG selectors).
    """
    if not isinstance(annotation, Mapping) or annotation.get("type") != "Annotation":
        raise InputError("This is not a Web Annotation", allowed='JSON with "type": "Annotation"')
    target = annotation.get("target")
    if not isinstance(target, Mapping):
        raise InputError("An annotation needs one target with a selector")
    words = _words(annotation.get("body", []))
    source, digest = _source(target.get("source", ""))
    return ReadAnnotation(
        source=source,
        geometry=_geometry(target.get("selector")),
        digest_sha256=digest,
        number=words.get("identifying", ""),
        term=words.get("classifying", ""),
        code=words.get("tagging", ""),
        state=_state(words.get("assessing", "")),
        note=words.get("describing", NOT_KNOWN),
    )


def read_annotations(data: Mapping[str, Any]) -> tuple[ReadAnnotation, ...]:
    """Return every annotation of a page, or of a file that holds one."""
    if isinstance(data, Mapping) and data.get("type") == "AnnotationPage":
        items = data.get("items")
        if not isinstance(items, list):
            raise InputError("An annotation page needs a list of items")
        return tuple(read_annotation(item) for item in items)
    return (read_annotation(data),)


def _source(source: Any) -> tuple[str, str]:
    if isinstance(source, Mapping):
        return _short(source.get("id", "")), _short(source.get("digest_sha256", ""))
    return _short(source), ""


def _words(bodies: Any) -> dict[str, str]:
    listed = bodies if isinstance(bodies, list) else [bodies]
    words: dict[str, str] = {}
    for body in listed:
        if isinstance(body, Mapping) and body.get("type") == "TextualBody":
            words.setdefault(_short(body.get("purpose", "describing")), _short(body.get("value")))
    return words


def _short(value: Any) -> str:
    if not isinstance(value, str):
        raise InputError("A text of an annotation is not text", value=type(value).__name__)
    if len(value) > _LARGEST_TEXT:
        raise InputError(
            "A text of an annotation is too long",
            value=f"{len(value)} characters",
            allowed=f"at most {_LARGEST_TEXT}",
        )
    return value


def _state(value: str) -> State:
    # A foreign tag says nothing about change: what we do not know stays "not known".
    return next((state for state in State if state.value == value), State.NOT_KNOWN)


def _geometry(selector: Any) -> Geometry:
    if not isinstance(selector, Mapping):
        raise InputError("An annotation needs a selector that says where on the picture it is")
    value = selector.get("value", "")
    if not isinstance(value, str):
        raise InputError("The value of a selector is text", value=type(value).__name__)
    if selector.get("type") == "SvgSelector":
        return geometry_in_svg(value)
    if selector.get("type") == "FragmentSelector":
        return _fragment(value)
    raise InputError(
        "This kind of selector cannot be read",
        value=selector.get("type"),
        allowed="SvgSelector, FragmentSelector",
    )


def _fragment(value: str) -> Geometry:
    numbers = value.removeprefix("xywh=").removeprefix("pixel:").split(",")
    try:
        x, y, width, height = (float(number) for number in numbers)
    except ValueError as unread:
        raise InputError(
            "A fragment must be a rectangle in pixels", value=value, allowed="xywh=pixel:x,y,w,h"
        ) from unread
    if not value.startswith("xywh=") or not all(abs(n) < 1e6 for n in (x, y, width, height)):
        raise InputError(
            "A fragment must be a rectangle in pixels", value=value, allowed="xywh=pixel:x,y,w,h"
        )
    if width <= 0 or height <= 0:
        return Geometry(Shape.POINT, (((x, y),),))
    right, below = x + width, y + height
    return Geometry(Shape.AREA, (((x, y), (right, y), (right, below), (x, below)),))
