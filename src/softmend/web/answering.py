"""Answers to forms: go on to the next page, whether the browser or htmx sent the form."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from softmend.web.rendering import is_partial


def go_on(request: Request, address: str) -> Response:
    """Return the answer to a form that was taken: the page to see next.

    A form that stands on another page than its own says in its address where it wants to go back.
    """
    back = request.query_params.get("back", "")
    address = own_address(back) if back else address
    if is_partial(request):
        return Response(status_code=204, headers={"HX-Redirect": address})
    return RedirectResponse(address, 303)


def own_address(offered: str) -> str:
    """Return a place to go back to, if it is one of ours, else the list of dossiers."""
    is_ours = offered.startswith("/") and not offered.startswith(("//", "/\\"))
    return offered if is_ours and offered.isprintable() else "/"
