"""The chart's part of a photograph, and the pictures that can be its grey card."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.errors import InputError
from softmend.records.view import View
from softmend.services.bench import Bench
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader


def cards_offered(reader: Reader, dossier_id: str, view_id: str) -> list[tuple[str, View]]:
    """Return the views that can be the grey card of one: the others of its size."""
    _, own = current_record(reader, dossier_id, "view", view_id)
    return [
        (entry.subject_id, view)
        for entry, view in current_records(reader, dossier_id, "view")
        if entry.subject_id != view_id
        and (view.width_px, view.height_px) == (own.width_px, own.height_px)
    ]


def chart_picture(
    bench: Bench, dossier_id: str, view_id: str, box: tuple[int, int, int, int]
) -> bytes:
    """Return the part of a view that holds its chart, as a JPEG: left, top, width, height."""
    from softmend.intake.canonical import read_canonical
    from softmend.intake.sheet_picture import jpeg_of

    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", view_id)
    left, top, width, height = box
    pixels: Any = read_canonical(bench.store.files.path(view.canonical_sha256))
    part = pixels[top : top + height, left : left + width]
    if not part.size:
        raise InputError("That part lies outside the picture", value=f"{left}, {top}")
    # A picture of 16 bits is shown by its upper 8.
    return jpeg_of((part >> 8 * (part.dtype.itemsize - 1)).astype("uint8"))
