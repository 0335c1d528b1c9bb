"""What every page of Explain is given: the dossier, what to do next, and the parts of the stage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.explain.explain_steps import crack_lines, explain_steps
from softmend.services.legal_flags import today_at
from softmend.services.store import Reader
from softmend.web.words import said as _

PARTS = (
    ("explain", _("Cracks and fills")),
    ("explain/coating", _("Coating")),
    ("explain/joins", _("Joins")),
)


def frame(
    bench: Bench, reader: Reader, dossier_id: str, here: str, number: int = 0
) -> dict[str, Any]:
    """Return what the frame of a page of Explain shows; `number` keeps the next step to a crack."""
    cracks = crack_lines(reader, dossier_id, number)
    return {
        "here": here,
        "cracks": cracks,
        "dossier": opened(reader, dossier_id),
        "steps": explain_steps(reader, dossier_id, today_at(bench), cracks),
        "parts": PARTS,
    }
