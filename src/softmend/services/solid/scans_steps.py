"""What a scan still waits for, in one short sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.services.solid.asking import open_questions
from softmend.services.solid.scans import on_scan
from softmend.services.store import Reader


def scan_step(reader: Reader, dossier_id: str, scan_id: str) -> str:
    """Return what to do next on a scan, or "" when nothing is owed."""
    on = on_scan(reader, dossier_id, scan_id)
    if on.length is None:
        return "confirm its unit by one measured length: no millimetre and no gram before"
    if open_questions(reader, dossier_id, on):
        return "let what is asked of it be computed"
    if not on.has_matter:
        return "say what it is made of, or weigh it: then mass and centre of gravity can be told"
    if on.holding is None:
        return "say how it is to be held: which way is down, and on what"
    return ""
