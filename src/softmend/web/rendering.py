"""Templates to pages: the environment, its filters, and what every page is given."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import jinja2
from fastapi import Request
from fastapi.responses import HTMLResponse

from softmend.web import words
from softmend.web.groups import examine_groups

TEMPLATES = Path(__file__).parent / "templates"


def is_for_a_program(request: Request) -> bool:
    """Say whether the asker wants JSON."""
    return str(request.scope["path"]).startswith("/api/")


def is_partial(request: Request) -> bool:
    """Say whether the page itself asks for a part of it."""
    return request.headers.get("hx-request") == "true"


def render(
    request: Request,
    template: str,
    /,
    *,
    status: int = 200,
    headers: dict[str, str] | None = None,
    **shown: Any,
) -> HTMLResponse:
    """Return a template as an answer; every page knows who is at the bench."""
    person = getattr(request.state, "person", None)
    html = (
        _environment()
        .get_template(template)
        .render(
            person=person,
            path=request.scope["path"],
            mode=request.cookies.get("softmend-mode", "light"),
            **shown,
        )
    )
    return HTMLResponse(html, status, headers)


@cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals |= {
        "_": words.said,
        "many": words.counted,
        "examine_groups": examine_groups,
    }
    environment.filters |= words.FILTERS
    return environment
