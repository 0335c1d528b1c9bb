"""Errors as answers: one status a class, one body for page and JSON alike."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from softmend import errors as tree
from softmend.catalogue.refusal import problem_of
from softmend.catalogue.refusal_allowed import allowed_by
from softmend.records.passing import PASSABLE
from softmend.web.rendering import is_for_a_program, is_partial, render
from softmend.web.telling import Difference, differences
from softmend.web.versions import BothDrawn, both_drawn

STATUSES: dict[type[tree.SoftmendError], int] = {
    tree.InputError: 422,
    tree.LimitError: 413,
    tree.NotFoundError: 404,
    tree.ConflictError: 409,
    tree.RuleError: 409,
    tree.MissingEvidenceError: 422,
    tree.StaleError: 409,
    tree.NotAllowedError: 403,
    tree.Cancelled: 409,
    tree.StorageError: 500,
    tree.NoSpaceError: 507,
}

_HTTP_PROBLEMS = {
    400: ("This request could not be read", "Send it again"),
    404: ("There is no such page", "Go back to the list of dossiers"),
    405: ("This address does not take that method", "See the API's description"),
    413: ("This is larger than can be taken here", "Send a smaller file"),
}


class Problem(BaseModel):
    """What is wrong, in the parts that a message is made of.

    `rule` is the number of the rule that refuses; where it may be passed by a named person,
    `about` names what each pass would hold for.
    """

    kind: str
    problem: str
    value: str | None
    allowed: str
    remedy: str
    sentence: str
    yours: Any = None
    theirs: Any = None
    standing_id: str = ""
    rule: int | None = None
    may_be_passed: bool = False
    about: list[str] = []


class ErrorBody(BaseModel):
    """The one body of every refusal."""

    error: Problem


class NobodyAtTheBenchError(tree.NotAllowedError):
    """Nobody has said who is at the bench since this start."""

    def __init__(self) -> None:
        """Say what to do, which is the same everywhere."""
        super().__init__("Nobody has said who is at the bench", remedy="Say who you are first")


def status_of(error: tree.SoftmendError) -> int:
    """Return the status of an error: that of its nearest class in the tree."""
    return next(STATUSES[kind] for kind in type(error).__mro__ if kind in STATUSES)


def error_body(error: tree.SoftmendError) -> dict[str, Any]:
    """Return the one body that pages and JSON show."""
    rule = getattr(error, "rule", None)
    problem = Problem(
        kind=type(error).__name__,
        problem=error.problem,
        value=error.value,
        allowed=error.allowed,
        remedy=error.remedy,
        sentence=error.sentence(),
        yours=getattr(error, "yours", None),
        theirs=getattr(error, "theirs", None),
        standing_id=getattr(error, "standing_id", ""),
        rule=rule,
        may_be_passed=rule in PASSABLE,
        about=list(getattr(error, "about", ())),
    )
    return ErrorBody(error=problem).model_dump()


def refusal(
    request: Request, error: tree.SoftmendError, status: int, headers: dict[str, str] | None = None
) -> Response:
    """Return a refusal as the asker reads it: JSON, a page, or the part of a page."""
    body = error_body(error)
    if is_for_a_program(request):
        return JSONResponse(body, status, headers)
    template = "part_error.html" if is_partial(request) else "error.html"
    problem = body["error"]
    return render(
        request,
        template,
        status=status,
        headers=headers,
        problem=problem,
        both=_both(request, problem),
        differing=_differing(problem),
    )


def _differing(problem: dict[str, Any]) -> list[Difference]:
    theirs, yours = problem["theirs"], problem["yours"]
    if not isinstance(theirs, dict):
        return []
    return differences(theirs, yours if isinstance(yours, dict) else {})


def _both(request: Request, problem: dict[str, Any]) -> BothDrawn | None:
    dossier_id = request.path_params.get("dossier_id")
    if not dossier_id or not isinstance(problem["theirs"], dict):
        return None
    return both_drawn(request.app.state.bench, dossier_id, problem["yours"], problem["theirs"])


def answer_errors(app: FastAPI) -> None:
    """Let the application answer every error of the tree, and those of its own frameworks."""
    app.add_exception_handler(NobodyAtTheBenchError, _ask_who)
    app.add_exception_handler(tree.SoftmendError, _refuse)
    app.add_exception_handler(RequestValidationError, _refuse_invalid)
    app.add_exception_handler(HTTPException, _refuse_http)


def _refuse(request: Request, error: Exception) -> Response:
    if not isinstance(error, tree.SoftmendError):
        raise error
    return refusal(request, error, status_of(error))


def _ask_who(request: Request, error: Exception) -> Response:
    if is_for_a_program(request):
        return _refuse(request, error)
    came_from = request.scope["path"] if request.method == "GET" else "/"
    address = f"/who?{urlencode({'next': came_from})}"
    if is_partial(request):
        return Response(status_code=204, headers={"HX-Redirect": address})
    return RedirectResponse(address, 303)


def _refuse_invalid(request: Request, error: Exception) -> Response:
    if not isinstance(error, RequestValidationError):
        raise error
    first = error.errors()[0]
    where = " ".join(str(part) for part in first["loc"] if part not in ("body", "query", "path"))
    wrong = tree.InputError(
        f"{where or 'What was sent'} {problem_of(first['type'])}",
        value=_shown(first.get("input")),
        allowed=allowed_by(first.get("ctx", {})),
        remedy="Correct it and send it again",
    )
    return refusal(request, wrong, 422)


def _shown(value: Any) -> str | None:
    """Return the wrong value when it is short enough to be recognised."""
    return str(value) if isinstance(value, str | int | float) else None


def _refuse_http(request: Request, error: Exception) -> Response:
    if not isinstance(error, HTTPException):
        raise error
    problem, remedy = _HTTP_PROBLEMS.get(error.status_code, (str(error.detail), ""))
    kinds: dict[int, type[tree.SoftmendError]] = {404: tree.NotFoundError, 413: tree.LimitError}
    kind = kinds.get(error.status_code, tree.InputError)
    headers = dict(error.headers) if error.headers else None
    return refusal(request, kind(problem, remedy=remedy), error.status_code, headers)


def defect(request: Request) -> Response:
    """Return the answer to a mistake of our own: nothing of it is told but that it happened."""
    mistake = tree.StorageError(
        "Softmend made a mistake; nothing of this request was recorded",
        remedy="Go back and try again; what was recorded before is unharmed",
    )
    return refusal(request, mistake, 500)
