"""The photographs of a dossier as a IIIF Presentation 3 manifest, with the marks drawn on them.

A canvas must have an HTTP address, and a package in an archive has none. So every id begins with
an address that is reserved never to work and goes on as the path in the package: who publishes
the package puts the address of its folder `data` in place of that beginning.

Source: iiif-presentation-3, 5.2 to 5.6 (manifest, canvas, annotations); rfc2606, 2 (.invalid).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from softmend.exchange.package import MANIFEST, view_name
from softmend.records.dossier import NOT_KNOWN
from softmend.records.view import View

CONTEXT = "http://iiif.io/api/presentation/3/context.json"
_LANGUAGE = "en"


@dataclass(frozen=True)
class ShownView:
    """One photograph: its record, the size of its JPEG, and its marks as Web Annotations."""

    view_id: str
    view: View
    picture_px: tuple[int, int]
    annotations: dict[str, Any]


def base_address(dossier_id: str) -> str:
    """Return what every id of a package's manifest begins with."""
    return f"https://softmend.invalid/{dossier_id}/"


def iiif_manifest(dossier_id: str, title: str, views: Sequence[ShownView]) -> dict[str, Any]:
    """Return the manifest of a dossier's photographs, in order of their numbers."""
    base = base_address(dossier_id)
    return {
        "@context": CONTEXT,
        "id": f"{base}{MANIFEST}",
        "type": "Manifest",
        "label": {_LANGUAGE: [title]},
        "items": [_canvas(base, shown) for shown in views],
    }


def _canvas(base: str, shown: ShownView) -> dict[str, Any]:
    view, name = shown.view, view_name(shown.view.number)
    canvas_id = f"{base}iiif/canvas/{name}"
    width, height = shown.picture_px
    return {
        "id": canvas_id,
        "type": "Canvas",
        "label": {_LANGUAGE: [_label(view)]},
        "metadata": [_pair(*pair) for pair in _said(view) if pair[1] != NOT_KNOWN],
        # The canvas has the pixels of the canonical copy, on which marks are counted.
        "width": view.width_px,
        "height": view.height_px,
        "items": [
            {
                "id": f"{canvas_id}/page",
                "type": "AnnotationPage",
                "items": [
                    {
                        "id": f"{canvas_id}/painting",
                        "type": "Annotation",
                        "motivation": "painting",
                        "body": {
                            "id": f"{base}pictures/{name}.jpg",
                            "type": "Image",
                            "format": "image/jpeg",
                            "width": width,
                            "height": height,
                        },
                        "target": canvas_id,
                    }
                ],
            }
        ],
        "annotations": [_page(base, canvas_id, name, shown.annotations)],
    }


def _page(base: str, canvas_id: str, name: str, page: dict[str, Any]) -> dict[str, Any]:
    items = []
    for item in page["items"]:
        target = {
            "type": "SpecificResource",
            "source": canvas_id,
            "selector": item["target"]["selector"],
        }
        items.append({**item, "target": target})
    return {"id": f"{base}iiif/annotations/{name}", "type": "AnnotationPage", "items": items}


def _label(view: View) -> str:
    return f"View {view.number}" + (f": {view.shows}" if view.shows != NOT_KNOWN else "")


def _said(view: View) -> tuple[tuple[str, str], ...]:
    return (
        ("side", view.side),
        ("light", view.light.value),
        ("taken on", view.taken_on),
        ("made by", view.made_by),
        ("stage", view.stage),
    )


def _pair(name: str, value: str) -> dict[str, Any]:
    return {"label": {_LANGUAGE: [name]}, "value": {_LANGUAGE: [value]}}
