"""Scales: set on a view from clicks, markers, a rectangle or a cylinder, and tried first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.view import Scale, ScaleMethod
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import outcome
from softmend.services.recording import append_record, current_record
from softmend.services.store import Reader


def set_scale(
    bench: Bench,
    author: Author,
    dossier_id: str,
    view_id: str,
    inputs: dict[str, Any],
    *,
    based_on: str,
) -> Entry:
    """Record the scale of a view; what gives no scale is refused and nothing is recorded."""
    tried(inputs)
    with bench.store.writing() as writer:
        current_record(writer, dossier_id, "view", view_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=view_id,
            record=Scale(view_id, ScaleMethod(inputs["method"]), inputs),
            based_on=based_on,
        )
        writer.commit()
    return entry


def tried(inputs: dict[str, Any]) -> dict[str, Any]:
    """Return what photo.scale answers to these inputs; InputError says what is wrong with them."""
    if inputs.get("picture_file"):
        raise InputError(
            "A recorded scale holds the marker's corners and never a picture's name",
            remedy="Find the markers first",
        )
    return outcome("photo.scale", {"scale": inputs})


def markers_on(bench: Bench, reader: Reader, dossier_id: str, view_id: str) -> list[dict[str, Any]]:
    """Return the printed markers found on a view, with their corners in its pixels."""
    from softmend.intake.canonical import read_canonical

    _, view = current_record(reader, dossier_id, "view", view_id)
    picture = read_canonical(bench.store.files.path(view.canonical_sha256))
    found = catalogue.run(
        "photo.scale",
        {
            "scale": {
                "method": "markers",
                "picture_file": view.canonical_sha256,
                # Any side will do: only the corners are read from this answer.
                "side_mm": {"value": 10.0, "kind": "estimated"},
            }
        },
        files={"picture_file": picture},
    )
    markers: list[dict[str, Any]] = found["markers"]
    return markers
