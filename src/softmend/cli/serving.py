"""Open the app on this machine only: on a folder of dossiers, or on the invented demo."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import gc
import secrets
import shutil
import socket
import threading
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

if TYPE_CHECKING:
    from softmend.services.bench import Bench

HOST = "127.0.0.1"

Quiet = Annotated[bool, Parameter(name="--no-browser", negative="")]


def open_folder(folder: str | None = None, *, port: int = 0, no_browser: Quiet = False) -> None:
    """Open the app on FOLDER (or a database URL), or on this user's usual folder."""
    from softmend.house import opened_house

    with opened_house(folder) as house:
        _serve(house.bench, port, with_browser=not no_browser)


def demo(folder: Path | None = None, *, port: int = 0, no_browser: Quiet = False) -> None:
    """Open the app on the invented demo; it is made at the first start and kept afterwards."""
    import platformdirs

    from softmend.house import opened_house
    from softmend.services.demo.layout import first_dossier

    place = folder or platformdirs.user_data_path("softmend", appauthor=False) / "demo"
    if place.is_dir() and not any(place.iterdir()):
        place.rmdir()
    if not place.exists():
        _lay_out(place)
    with opened_house(place) as house:
        dossier_id = first_dossier(house.bench)
        _serve(house.bench, port, with_browser=not no_browser, dossier_id=dossier_id)


def _lay_out(place: Path) -> None:
    """Lay the demo out beside its place and give it its name when it is whole."""
    from softmend.house import opened_house
    from softmend.services.demo.layout import lay_out_demo

    _say("Laying out the invented demo; this first time takes about half a minute …")
    incomplete = place.with_name(f"{place.name}.incomplete")
    shutil.rmtree(incomplete, ignore_errors=True)
    with opened_house(incomplete) as house:
        lay_out_demo(house.bench)
    incomplete.rename(place)


def _serve(bench: Bench, port: int, *, with_browser: bool, dossier_id: str = "") -> None:
    # What is loaded now stays to the end; walked at every collection, it makes start and page wait.
    gc.disable()

    import uvicorn

    from softmend.services.explain.warming import warm_in_background
    from softmend.services.jobs import Jobs
    from softmend.services.keeping import sweep_orphans
    from softmend.web.app import create_app

    token = secrets.token_urlsafe(24)
    listener = socket.create_server((HOST, port))
    address = f"http://{HOST}:{listener.getsockname()[1]}/?token={token}"
    if dossier_id:
        address += f"&dossier={dossier_id}"
    sweep_orphans(bench)
    jobs = Jobs(bench)
    app = create_app(bench, token, jobs=jobs)
    gc.freeze()
    gc.enable()
    _say(f"Softmend is open at\n\n  {address}\n\nKeep this window open. Ctrl+C closes it.")
    if with_browser:
        threading.Timer(0.8, webbrowser.open, (address,)).start()
    warm_in_background()
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False))
    try:
        server.run(sockets=[listener])
    finally:
        jobs.close()
        app.state.packages.close()


def _say(words: str) -> None:
    print(words, flush=True)  # noqa: T201
