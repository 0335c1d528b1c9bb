"""What every page of Revisit is given: the dossier, what to do next, and the parts of the stage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.legal_flags import today_at
from softmend.services.revisit.front import pairs_in, revisit_steps
from softmend.services.store import Reader
from softmend.web.words import said as _

PARTS = (
    ("revisit", _("What moved")),
    ("revisit/guide", _("The same view again")),
)


def frame(bench: Bench, reader: Reader, dossier_id: str, here: str) -> dict[str, Any]:
    """Return what the frame of a page of Revisit shows."""
    pairs = pairs_in(reader, dossier_id)
    return {
        "here": here,
        "pairs": pairs,
        "dossier": opened(reader, dossier_id),
        "steps": revisit_steps(reader, dossier_id, today_at(bench).isoformat(), pairs),
        "parts": PARTS,
    }
