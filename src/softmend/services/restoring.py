"""Bringing back: an earlier state of a mark, a zone or a description, under today's rules."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.services.bench import Author, Bench
from softmend.services.examine.zones import bring_back_zone
from softmend.services.recording import restore


def bring_back(
    bench: Bench, author: Author, *, dossier_id: str, entry_id: str, based_on: str
) -> Entry:
    """Bring back an earlier state as a further entry; a zone is cut to what is drawn today."""
    with bench.store.reading() as reader:
        earlier = reader.entry(entry_id)
    if earlier.dossier_id != dossier_id:
        raise NotFoundError("There is no earlier state of that name in this dossier")
    if earlier.kind in ("body_zone", "on_zone"):
        return bring_back_zone(bench, author, earlier, based_on)
    return restore(bench, author, dossier_id=dossier_id, entry_id=entry_id, based_on=based_on)
