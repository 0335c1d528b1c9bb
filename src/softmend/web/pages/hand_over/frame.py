"""What every page of Return is given: the dossier, what to do next, and the parts of the stage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import Annotated, Any

from fastapi.responses import Response
from pydantic import Field

from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.hand_over.closing import is_closed
from softmend.services.hand_over.return_states import return_states
from softmend.services.hand_over.return_steps import return_steps
from softmend.services.store import Reader
from softmend.web.groups import shown_groups
from softmend.web.words import said as _

Line = Annotated[str, Field(max_length=2000)]
Text = Annotated[str, Field(max_length=20_000)]
EntryId = Annotated[str, Field(max_length=40)]

PDF = "application/pdf"
DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"

GROUPS = (
    (_("Hand over"), (("return", _("Hand over")), ("return/papers", _("House forms")))),
    (
        _("How it is kept"),
        (
            ("return/care", _("Care")),
            ("return/climate", _("Climate")),
            ("return/light", _("Light")),
            ("return/coat", _("Coat or not")),
        ),
    ),
    (_("Where it is"), (("return/custody", _("Custody")), ("return/places", _("Places")))),
    (_("Close"), (("return/closing", _("Close")),)),
)


def frame(bench: Bench, reader: Reader, dossier_id: str, here: str) -> dict[str, Any]:
    """Return what the frame of a page of Return shows."""
    steps = return_steps(bench, reader, dossier_id)
    return {
        "here": here,
        "dossier": opened(reader, dossier_id),
        "steps": steps,
        "groups": shown_groups(GROUPS, here, return_states(reader, dossier_id, steps)),
        "closed": is_closed(reader, dossier_id),
    }


def download(bench: Bench, dossier_id: str, content: bytes, what: str, kind: str) -> Response:
    """Return a file whose name says which dossier and what it is, and nothing of its place."""
    with bench.store.reading() as reader:
        number = opened(reader, dossier_id).dossier.number
    name = file_name(number, what, ".pdf" if kind == PDF else ".docx")
    return Response(
        content,
        media_type=kind,
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


def file_name(number: str, what: str, ending: str) -> str:
    """Return a name of letters that every file system and every header takes as they stand."""
    return re.sub(r"[^A-Za-z0-9.]+", "-", f"{number} {what}").strip("-.") + ending
