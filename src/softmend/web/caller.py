"""What a handler is given: the bench, and the person who said that they are at it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Path, Request
from fastapi.responses import Response

from softmend.errors import NotFoundError
from softmend.services.bench import Author, Bench
from softmend.services.people import name_at_the_bench
from softmend.web.errors import NobodyAtTheBenchError
from softmend.web.security import cookie_name

ID_PATTERN = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
Id = Annotated[str, Path(pattern=ID_PATTERN)]


@dataclass(frozen=True)
class AtTheBench:
    """Who is at the bench in this browser, and what they are here to do."""

    person_id: str
    name: str
    purpose: str

    @property
    def author(self) -> Author:
        """Return the author of what is recorded now."""
        return Author(self.person_id, self.purpose)


def bench_of(request: Request) -> Bench:
    """Return the bench that this application works on."""
    bench: Bench = request.app.state.bench
    return bench


BenchHere = Annotated[Bench, Depends(bench_of)]


def person_here(request: Request, bench: BenchHere) -> AtTheBench:
    """Return who is at the bench; pages ask for it once per start."""
    person = said_before(request, bench)
    if person is None:
        raise NobodyAtTheBenchError
    request.state.person = person
    return person


PersonHere = Annotated[AtTheBench, Depends(person_here)]


def said_before(request: Request, bench: Bench) -> AtTheBench | None:
    """Return who said, since this start, that they are at the bench, or None."""
    token: str = request.app.state.token
    text, _, seal = request.cookies.get(_name(token), "").partition(".")
    if not hmac.compare_digest(seal.encode(), _seal(token, text).encode()):
        return None
    try:
        person_id, purpose = json.loads(base64.urlsafe_b64decode(text))
        return AtTheBench(person_id, name_at_the_bench(bench, person_id), purpose)
    except (ValueError, binascii.Error, NotFoundError):
        return None


def remember(answer: Response, token: str, person_id: str, purpose: str) -> None:
    """Remember who is at the bench until the browser or Softmend closes."""
    text = base64.urlsafe_b64encode(json.dumps([person_id, purpose]).encode()).decode()
    answer.set_cookie(
        _name(token), f"{text}.{_seal(token, text)}", httponly=True, samesite="strict", path="/"
    )


def _name(token: str) -> str:
    return f"{cookie_name(token)}-person"


def _seal(token: str, text: str) -> str:
    # Sealed with this run's token, so that a cookie of an earlier start is asked again.
    return hmac.new(token.encode(), text.encode(), hashlib.sha256).hexdigest()
