"""Drafts of one view: kept at every gesture, never part of the journal until recorded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from typing import Annotated, Any

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import ConflictError, NotFoundError
from softmend.services.drafts import draft_content, drop_draft, save_draft
from softmend.services.recording import current_record
from softmend.services.store import Draft, Reader
from softmend.web.api.answers import Refusals
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.errors import ErrorBody, error_body
from softmend.web.shapes import AnyShape

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}/draft", tags=["drafts"], responses=Refusals
)

KIND = "mark"
AnId = Annotated[str, Field(pattern=ID_PATTERN)]
Word = Annotated[str, Field(max_length=40)]


class DraftName(BaseModel):
    """Which draft: the one begun on a page, or the edit of a mark."""

    draft_id: AnId
    mark_id: AnId | None = None
    tool: Word = "edit"
    code: Word | None = None
    author_id: Word | None = None
    based_on: Annotated[str, Field(max_length=80)] | None = None
    entry_id: Annotated[str, Field(max_length=40)] | None = None


class DraftIn(DraftName):
    """A drawing in hand; `based_on` is the revision last seen, `entry_id` the mark's entry."""

    geometry: AnyShape


class Revision(BaseModel):
    """The name of what was kept."""

    revision: str


class KeptDraft(BaseModel):
    """A draft as it was kept."""

    draft_id: str
    mark_id: str | None
    tool: str
    code: str | None
    geometry: dict[str, Any]
    revision: str
    saved_at: str


class DraftConflict(ErrorBody):
    """The refusal of a draft that another page has changed: both versions stand."""

    theirs: KeptDraft


@router.get("")
def kept_drafts(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id
) -> list[KeptDraft]:
    """List this person's drafts on a view, newest first."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "view", view_id)
        return drafts_on_view(reader, dossier_id, view_id, person.person_id)


@router.put("", response_model=Revision, responses={409: {"model": DraftConflict}})
def keep(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: DraftIn
) -> Response:
    """Keep a drawing in place of the one before it, unless another page kept a newer one."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "view", view_id)
        standing = reader.draft(person.person_id, KIND, body.draft_id)
    if standing is not None and revision_of(standing) != body.based_on:
        return _both(standing)
    kept = save_draft(
        bench,
        person.person_id,
        dossier_id=dossier_id,
        kind=KIND,
        subject_id=body.draft_id,
        content={
            "draft_id": body.draft_id,
            "mark_id": body.mark_id,
            "view_id": view_id,
            "tool": body.tool,
            "code": body.code,
            "geometry": body.geometry.model_dump(),
        },
        based_on=standing.based_on if standing else body.entry_id or "",
    )
    return JSONResponse({"revision": revision_of(kept)})


@router.delete("", status_code=204)
def let_go(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: DraftName
) -> None:
    """Let a draft go."""
    content = draft_content(bench, person.person_id, KIND, body.draft_id)["content"]
    if content["view_id"] != view_id:
        raise NotFoundError("There is no draft of this on this view")
    drop_draft(bench, person.person_id, KIND, body.draft_id)


def drafts_on_view(
    reader: Reader, dossier_id: str, view_id: str, person_id: str
) -> list[KeptDraft]:
    """Return one person's drafts on a view, newest first."""
    found = [
        kept_draft(draft)
        for draft in reader.drafts(dossier_id)
        if draft.author_id == person_id
        and draft.kind == KIND
        and json.loads(draft.content)["view_id"] == view_id
    ]
    return sorted(found, key=lambda draft: draft.saved_at, reverse=True)


def kept_draft(draft: Draft) -> KeptDraft:
    """Return a draft as the pages and the API give it."""
    content = json.loads(draft.content)
    del content["view_id"]
    return KeptDraft(**content, revision=revision_of(draft), saved_at=draft.saved_at)


def revision_of(draft: Draft) -> str:
    """Return the name of what a draft holds now; it changes with every gesture."""
    return hashlib.sha256(f"{draft.saved_at}{draft.content}".encode()).hexdigest()[:16]


def _both(standing: Draft) -> JSONResponse:
    theirs = kept_draft(standing).model_dump()
    conflict = ConflictError(
        "Another page has changed this drawing since you opened it; nothing was written",
        theirs=theirs,
        remedy="Look at both and choose",
    )
    return JSONResponse({**error_body(conflict), "theirs": theirs}, 409)
