"""The gate before every page: loopback names only, this run's token, no other site's requests.

Pure ASGI, so that streams and large downloads pass through untouched.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import json
import logging
import re
from pathlib import Path

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from softmend.errors import LimitError, NotAllowedError
from softmend.services.examine.views import MOST_FILE_BYTES
from softmend.web.errors import defect, refusal

_log = logging.getLogger(__name__)

LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "::1"})
# What a proxy adds: whoever it speaks for may sit anywhere.
PASSED_ON = ("forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-real-ip")
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
JSON_HEADER = "x-softmend"
_HOST = re.compile(r"(?:\[([0-9A-Fa-f:.]+)\]|([^:\[\]]+))(?::\d{1,5})?")

# What a form or a JSON call may hold; photographs and papers may be as long as a file.
MOST_BYTES_OF_A_CALL = 4_000_000
FILES_GO_TO = ("/photographs", "/papers", "/scans")
# The multipart frame around a file is small.
MOST_BYTES_OF_A_FILE = MOST_FILE_BYTES + 1_000_000

STATIC = Path(__file__).parent / "static"


def _vendored_styles() -> str:
    """Return the hashes of styles that vendored scripts write; they let in those and no other."""
    manifest = json.loads((STATIC / "vendor" / "manifest.json").read_text("utf-8"))
    sources = [package.get("csp_style_source", "") for package in manifest["packages"]]
    return " ".join(source for source in sources if source)


CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        f"style-src 'self' {_vendored_styles()}",
        "img-src 'self' blob: data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
ALWAYS = {
    "content-security-policy": CONTENT_POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}

# Each start has an address of its own; where a port was asked for, this is how long an older
# sheet may still be worn after Softmend was renewed.
KEEP_OURS = "private, max-age=300"

_DOSSIER_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def cookie_name(token: str) -> str:
    """Return this run's cookie name: two runs on one machine must not put each other out."""
    return f"softmend-{hashlib.sha256(token.encode()).hexdigest()[:8]}"


class Gate:
    """Lets a request through when its host, its token and its origin are ours."""

    def __init__(self, app: ASGIApp, token: str, hosts: frozenset[str] = LOOPBACK_NAMES) -> None:
        """Guard `app`; `hosts` are the names that a browser may have typed."""
        self.app = app
        self.token = token
        self.hosts = hosts
        self.cookie = cookie_name(token)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer the request here, or let it through with the headers of every answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        is_begun = False

        async def send_guarded(message: Message) -> None:
            nonlocal is_begun
            if message["type"] == "http.response.start":
                is_begun = True
                headers = MutableHeaders(scope=message)
                for name, value in ALWAYS.items():
                    headers[name] = value
                # What is said of a dossier stays nowhere; our own sheet and scripts do for a while,
                # so that going from page to page does not fetch them all again.
                is_ours = scope["path"].startswith("/static/") and message["status"] == 200
                headers.setdefault("cache-control", KEEP_OURS if is_ours else "no-store")
            await send(message)

        request = Request(scope)
        limited = _counted(receive, _most_bytes(scope["path"]))
        try:
            await (self._answer(request) or self.app)(scope, limited, send_guarded)
        except Exception:
            # The outermost place that still guards what is sent; the trace goes to the terminal.
            _log.exception("%s %s", request.method, scope["path"])
            if is_begun:
                raise
            await defect(request)(scope, receive, send_guarded)

    def _answer(self, request: Request) -> Response | None:
        if _host_name(request) not in self.hosts:
            foreign = NotAllowedError(
                "This address is not Softmend's", remedy="Use the link that Softmend printed"
            )
            return refusal(request, foreign, 400)
        if request.scope["path"] == "/" and "token" in request.query_params:
            return self._let_in(request)
        # The sheet and the letters of the refusal below; nothing of a dossier lies there.
        is_open = request.method in SAFE_METHODS and request.scope["path"].startswith("/static/")
        if not is_open and not self._has_token(request):
            unknown = NotAllowedError(
                "This browser has not been let in since Softmend started",
                remedy="Open the link that Softmend printed when it started",
            )
            return refusal(request, unknown, 401)
        if request.method not in SAFE_METHODS:
            return _refuse_other_sites(request) or _refuse_too_large(request)
        return None

    def _let_in(self, request: Request) -> Response:
        if not self._is_token(request.query_params["token"]):
            wrong = NotAllowedError(
                "This link belongs to an earlier start of Softmend",
                remedy="Open the link that it printed last",
            )
            return refusal(request, wrong, 401)
        # Only a dossier's own page may be named, so the link can lead nowhere else.
        wanted = _DOSSIER_ID.fullmatch(request.query_params.get("dossier", ""))
        answer = RedirectResponse(f"/dossiers/{wanted[0]}" if wanted else "/", 303)
        answer.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
        return answer

    def _has_token(self, request: Request) -> bool:
        scheme, _, bearer = request.headers.get("authorization", "").partition(" ")
        if scheme.lower() == "bearer" and self._is_token(bearer):
            return True
        return self._is_token(request.cookies.get(self.cookie, ""))

    def _is_token(self, offered: str) -> bool:
        return hmac.compare_digest(offered.encode(), self.token.encode())


def is_from_this_machine(request: Request) -> bool:
    """Say whether a request comes from the machine that Softmend runs on, and not through another.

    Only there may a person name folders of its disk, wherever the app is reached from later.
    """
    if any(name in request.headers for name in PASSED_ON) or request.client is None:
        return False
    try:
        address = ipaddress.ip_address(request.client.host)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None) or address
    return bool(mapped.is_loopback) and _host_name(request) in LOOPBACK_NAMES


def _host_name(request: Request) -> str:
    found = _HOST.fullmatch(request.headers.get("host", ""))
    return (found[1] or found[2]).lower() if found else ""


def _most_bytes(path: str) -> int:
    return MOST_BYTES_OF_A_FILE if path.endswith(FILES_GO_TO) else MOST_BYTES_OF_A_CALL


def _refuse_too_large(request: Request) -> Response | None:
    """Return a refusal when a request says beforehand that it is too long."""
    stated = request.headers.get("content-length", "0")
    most = _most_bytes(request.scope["path"])
    if not stated.isdecimal() or int(stated) <= most:
        return None
    large = LimitError(
        "This is larger than can be taken here",
        value=f"{int(stated) / 1e6:.0f} MB",
        allowed=f"up to {most / 1e6:.0f} MB",
        remedy="Send a smaller file",
    )
    return refusal(request, large, 413)


def _counted(receive: Receive, most: int) -> Receive:
    """Return a `receive` that refuses a body once it grows past its limit, whatever it stated."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise HTTPException(413)
        return message

    return counted


def _refuse_other_sites(request: Request) -> Response | None:
    """Return a refusal unless an unsafe request comes from our own pages or from a program."""
    is_json_call = request.scope["path"].startswith("/api/")
    if is_json_call and JSON_HEADER not in request.headers:
        bare = NotAllowedError("Calls that change something need the header X-Softmend: 1")
        return refusal(request, bare, 403)
    site = request.headers.get("sec-fetch-site")
    origin = request.headers.get("origin")
    if site is not None:
        is_ours = site in ("same-origin", "none")
    elif origin is not None:
        is_ours = origin == f"{request.scope['scheme']}://{request.headers['host']}"
    else:
        # A browser sends one of the two; a program that knows the header and the token is not one.
        is_ours = is_json_call
    if is_ours:
        return None
    foreign = NotAllowedError(
        "This request came from another site", remedy="Use Softmend's own pages"
    )
    return refusal(request, foreign, 403)
