"""Marks of one view as W3C Web Annotations: what was drawn, on which picture, and what it is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Shape
from softmend.records.view import View

CONTEXT = "http://www.w3.org/ns/anno.jsonld"


@dataclass(frozen=True)
class NamedMark:
    """A mark with its entry, and its term and code in words."""

    entry: Entry
    mark: Mark
    term: str
    code: str


def annotation_page(view_id: str, view: View, marks: Iterable[NamedMark]) -> dict[str, Any]:
    """Return the annotations of a view as one AnnotationPage, in order of the marks' numbers."""
    return {
        "@context": CONTEXT,
        "id": f"urn:uuid:{view_id}#annotations",
        "type": "AnnotationPage",
        "items": [
            _annotation(view_id, view, named, index, geometry)
            for named in marks
            for index, geometry in _drawn_on(named.mark, view_id)
        ],
    }


def _drawn_on(mark: Mark, view_id: str) -> list[tuple[int, Geometry]]:
    return [
        (index, seen.geometry)
        for index, seen in enumerate(mark.sightings)
        if seen.view_id == view_id
    ]


def _annotation(
    view_id: str, view: View, named: NamedMark, index: int, geometry: Geometry
) -> dict[str, Any]:
    stamp, _bracket, _zone = named.entry.at.partition("[")
    return {
        "id": f"urn:uuid:{named.entry.subject_id}#sighting-{index}",
        "type": "Annotation",
        "motivation": "describing",
        "created": stamp,
        "creator": {"id": f"urn:uuid:{named.entry.author_id}", "type": "Person"},
        "body": _bodies(named),
        "target": {
            # The picture is named by its bytes: the upright copy that positions are counted on.
            "source": {
                "id": f"urn:uuid:{view_id}",
                "type": "Image",
                "width": view.width_px,
                "height": view.height_px,
                "digest_sha256": view.canonical_sha256,
            },
            "selector": {"type": "SvgSelector", "value": _svg(geometry)},
        },
    }


def _bodies(named: NamedMark) -> list[dict[str, Any]]:
    mark = named.mark
    bodies: list[dict[str, Any]] = [
        {"type": "TextualBody", "purpose": "identifying", "value": str(mark.number)},
        {"type": "TextualBody", "purpose": "classifying", "value": named.term},
        {"type": "TextualBody", "purpose": "tagging", "value": named.code},
        {"type": "TextualBody", "purpose": "assessing", "value": mark.state.value},
    ]
    if mark.note_observed != NOT_KNOWN:
        bodies.append({"type": "TextualBody", "purpose": "describing", "value": mark.note_observed})
    return bodies


def _svg(geometry: Geometry) -> str:
    if geometry.shape is Shape.POINT:
        ((x, y),) = geometry.parts[0]
        return f'<svg><circle cx="{x:.2f}" cy="{y:.2f}" r="1"/></svg>'
    close = "Z" if geometry.shape is Shape.AREA else ""
    paths = "".join(
        "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in part) + close for part in geometry.parts
    )
    return f'<svg><path fill-rule="evenodd" d="{paths}"/></svg>'
