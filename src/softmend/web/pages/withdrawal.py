"""Withdrawal: a named person, with a reason, erases content; what must go elsewhere is listed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from enum import Enum
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response

from softmend.errors import NotFoundError
from softmend.records.kinds import record_in
from softmend.services.dossiers import opened
from softmend.services.keeping import Withdrawn, withdraw_entry, withdraw_file
from softmend.services.next_steps import next_steps
from softmend.services.store import Reader
from softmend.web.caller import AtTheBench, BenchHere, Id, PersonHere
from softmend.web.pages.journal import lines_of
from softmend.web.rendering import render

router = APIRouter()


class What(Enum):
    """What is erased: what an entry says, or the file that it names."""

    WORDS = "words"
    FILE = "file"


@router.get("/dossiers/{dossier_id}/entries/{entry_id}/withdraw")
def ask_before_withdrawing(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, entry_id: Id
) -> Response:
    """Say what would be erased and what stays, and ask who decided and why."""
    with bench.store.reading() as reader:
        entry = reader.entry(entry_id)
        if entry.dossier_id != dossier_id:
            raise NotFoundError("There is no such entry in this dossier")
        return render(
            request,
            "withdraw.html",
            here="journal",
            dossier=opened(reader, dossier_id),
            steps=next_steps(reader, dossier_id),
            line=lines_of(reader, [entry])[0],
            has_file=bool(_file_named(reader, dossier_id, entry_id)),
        )


@router.post("/dossiers/{dossier_id}/entries/{entry_id}/withdraw")
def withdraw(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    entry_id: Id,
    decided_by: Annotated[str, Form(max_length=200)] = "",
    because: Annotated[str, Form(max_length=2000)] = "",
    what: Annotated[What, Form()] = What.WORDS,
) -> Response:
    """Erase the content, keep the hash and a tombstone, and list what to delete elsewhere."""
    done = _erased(bench, person, dossier_id, entry_id, decided_by, because, what)
    with bench.store.reading() as reader:
        return render(
            request,
            "withdrawn.html",
            here="journal",
            dossier=opened(reader, dossier_id),
            steps=next_steps(reader, dossier_id),
            to_delete=done.to_delete,
        )


def _erased(
    bench: BenchHere,
    person: AtTheBench,
    dossier_id: str,
    entry_id: str,
    decided_by: str,
    because: str,
    what: What,
) -> Withdrawn:
    if what is What.FILE:
        with bench.store.reading() as reader:
            sha256 = _file_named(reader, dossier_id, entry_id)
        return withdraw_file(
            bench, person.author, sha256=sha256, decided_by=decided_by, because=because
        )
    return withdraw_entry(
        bench,
        person.author,
        dossier_id=dossier_id,
        entry_id=entry_id,
        decided_by=decided_by,
        because=because,
    )


def _file_named(reader: Reader, dossier_id: str, entry_id: str) -> str:
    """Return the SHA-256 of the file that an entry brought in, or "" when it brought none."""
    entry = reader.entry(entry_id)
    if entry.dossier_id != dossier_id or entry.kind not in ("view", "paper") or not entry.payload:
        return ""
    sha256: str = record_in(entry).original_sha256
    return sha256
