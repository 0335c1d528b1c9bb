"""Drafts: every pointer-up is kept, one row per person and mark, outside the journal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Any

from softmend.errors import LimitError, NotFoundError
from softmend.records.canonical import canonical_json
from softmend.services.bench import Bench
from softmend.services.store import Draft

MOST_BYTES = 2_000_000


def save_draft(
    bench: Bench,
    person_id: str,
    *,
    dossier_id: str,
    kind: str,
    subject_id: str,
    content: dict[str, Any],
    based_on: str,
) -> Draft:
    """Keep an unfinished drawing, shown as "not yet recorded" until it is recorded or dropped."""
    text = canonical_json(content)
    if len(text) > MOST_BYTES:
        raise LimitError("This draft is too large to keep", value=len(text), allowed="2 MB")
    draft = Draft(
        dossier_id=dossier_id,
        author_id=person_id,
        kind=kind,
        subject_id=subject_id,
        content=text,
        based_on=based_on,
        saved_at=bench.at(),
    )
    with bench.store.writing() as writer:
        writer.head(dossier_id)
        writer.save_draft(draft)
        writer.commit()
    return draft


def draft_content(bench: Bench, person_id: str, kind: str, subject_id: str) -> dict[str, Any]:
    """Return what a person had drawn, with the entry that it was based on."""
    with bench.store.reading() as reader:
        draft = reader.draft(person_id, kind, subject_id)
    if draft is None:
        raise NotFoundError("There is no draft of this")
    content: dict[str, Any] = json.loads(draft.content)
    return {"content": content, "based_on": draft.based_on, "saved_at": draft.saved_at}


def drop_draft(bench: Bench, person_id: str, kind: str, subject_id: str) -> None:
    """Forget a draft."""
    with bench.store.writing() as writer:
        writer.drop_draft(person_id, kind, subject_id)
        writer.commit()


def drafts_in(bench: Bench, dossier_id: str) -> list[Draft]:
    """Return every draft of a dossier, so that a page can say what is not yet recorded."""
    with bench.store.reading() as reader:
        return reader.drafts(dossier_id)
