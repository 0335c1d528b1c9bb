"""A view's marks given out as W3C Web Annotations."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.exchange.web_annotation import NamedMark, annotation_page
from softmend.services.examine.marks import marks_on_view
from softmend.services.examine.vocabulary import term
from softmend.services.recording import current_record
from softmend.services.store import Reader


def annotations_of_view(reader: Reader, dossier_id: str, view_id: str) -> dict[str, Any]:
    """Return the marks of a view as one page of W3C Web Annotations."""
    _entry, view = current_record(reader, dossier_id, "view", view_id)
    marks = [
        NamedMark(entry, mark, term(mark.term_id).term, term(mark.term_id).code)
        for entry, mark in marks_on_view(reader, dossier_id, view_id)
    ]
    return annotation_page(view_id, view, marks)
