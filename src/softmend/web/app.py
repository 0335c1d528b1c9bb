"""The application: pages and API over one bench, behind one gate."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import cache

from fastapi import APIRouter, FastAPI
from starlette.routing import BaseRoute
from starlette.staticfiles import StaticFiles

from softmend import __version__
from softmend.services.bench import Bench
from softmend.services.deposit.apart import Packages
from softmend.services.examine.folder_watch import Watch
from softmend.services.jobs import Jobs
from softmend.web import api, pages
from softmend.web.errors import answer_errors
from softmend.web.security import LOOPBACK_NAMES, STATIC, Gate
from softmend.web.uploads import Uploads


def create_app(
    bench: Bench,
    token: str,
    hosts: frozenset[str] = LOOPBACK_NAMES,
    jobs: Jobs | None = None,
) -> FastAPI:
    """Return the application on `bench`; whoever knows `token` is let in.

    Without `jobs` long work is done when it is first asked for.
    """
    app = FastAPI(
        title="Softmend",
        version=__version__,
        openapi_url="/api/v1/openapi.json",
        # The framework's own description pages load scripts from elsewhere.
        docs_url=None,
        redoc_url=None,
        telemetry={"tracing": False},
        redirect_slashes=False,
    )
    app.state.bench = bench
    app.state.token = token
    app.state.uploads = Uploads()
    app.state.watch = Watch()
    app.state.jobs = jobs
    app.state.packages = Packages(bench, jobs) if jobs is not None else None
    answer_errors(app)
    app.add_middleware(Gate, token=token, hosts=hosts)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.router.routes.extend(_routes())
    return app


@cache
def _routes() -> list[BaseRoute]:
    """Return the routes of pages and API; what each asks for is worked out once in a process."""
    gathered = APIRouter()
    gathered.include_router(pages.router)
    gathered.include_router(api.router)
    return gathered.routes
