"""A small server for the viewer's test: the strict policy of Softmend, drafts in a dictionary."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
import json
import math
import threading
from contextlib import contextmanager
from functools import partial
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from string import Template
from typing import TYPE_CHECKING, Any

from tests.browser.viewer.picture import HEIGHT_PX, WIDTH_PX, picture, tile

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE = Path(__file__).parent
STATIC = HERE.parents[2] / "src" / "softmend" / "web" / "static"
KINDS = {".js": "text/javascript", ".css": "text/css", ".ttf": "font/ttf"}

MARKS: list[dict[str, Any]] = [
    {
        "mark_id": "m1", "number": 1, "code": "C", "term": "crack", "state": "grown",
        "geometry": {"type": "LineString", "coordinates": [
            [200, 1180], [420, 1100], [640, 1010], [900, 930], [1200, 860], [1500, 830]]},
    },
    {
        "mark_id": "m2", "number": 2, "code": "C", "term": "crack", "state": "no change shown",
        "geometry": {"type": "LineString", "coordinates": [
            [1250, 960], [1500, 900], [1800, 870], [2150, 900], [2450, 960]]},
        "widths_px": [2, 9, 14, 8, 2],
    },
    {
        "mark_id": "m3", "number": 3, "code": "L", "term": "lifting", "state": None,
        "geometry": {"type": "Polygon", "coordinates": [
            [[1650, 660], [2000, 640], [2080, 740], [1900, 790], [1640, 760]]]},
    },
    {
        "mark_id": "m4", "number": 4, "code": "OF", "term": "old fill", "state": None,
        "geometry": {"type": "Polygon", "coordinates": [
            [[600, 800], [1050, 690], [1100, 790], [900, 860], [640, 900]],
            [[780, 790], [900, 760], [880, 820]]]},
    },
    {
        "mark_id": "m5", "number": 5, "code": "SA", "term": "sample", "state": None,
        "geometry": {"type": "Point", "coordinates": [2400, 800]},
    },
    {
        "mark_id": "m6", "number": 6, "code": "F", "term": "fragment seat", "state": None,
        "geometry": {"type": "Point", "coordinates": [2650, 900]},
    },
]  # fmt: skip
VALUES = {"m1": "410 ± 9 mm", "m2": "287 ± 6 mm", "m3": "7.4 ± 0.4 cm²", "m4": "9.8 ± 0.5 cm²"}
LEGEND = [
    {"code": "C", "pattern": "solid", "colour": "#0072B2", "width": 2.5},
    {"code": "L", "pattern": "triangles", "colour": "#D55E00", "width": 2},
    {"code": "OF", "pattern": "diagonal", "colour": "#009E73", "width": 2},
    {"code": "SA", "pattern": "cross", "colour": "#000000", "width": 2},
    {"code": "F", "pattern": "number", "colour": "#000000", "width": 2},
]


class Bench:
    """What the server knows: drafts, what was recorded, and how it should misbehave."""

    def __init__(self) -> None:
        """Start empty and well behaved."""
        self.drafts: dict[str, dict[str, Any]] = {}
        self.bodies: list[dict[str, Any]] = []
        self.headers: list[dict[str, str]] = []
        self.record_url: str | None = None
        self.is_down = False
        self.marks = MARKS
        self.recorded_elsewhere: dict[str, Any] | None = None
        self.policy_source = next(
            package["csp_style_source"]
            for package in json.loads((STATIC / "vendor" / "manifest.json").read_text())["packages"]
            if "csp_style_source" in package
        )

    def view(self) -> dict[str, Any]:
        """Return the JSON of the page."""
        return {
            "view_id": "v1", "name": "Front, normal light", "author_id": "a1",
            "width_px": WIDTH_PX, "height_px": HEIGHT_PX,
            "tile_url": "/tiles/{level}/{col}_{row}.jpg",
            "scale": {"px_per_mm": 5.0, "relative_expanded": 0.02},
            "shaded": [[[[0, 1900], [3000, 1900], [3000, 2000], [0, 2000]]]],
            "marks": self.marks, "legend": LEGEND, "drafts": list(self.drafts.values()),
            "urls": {"draft": "/draft", "measure": "/measure", "record": self.record_url},
        }  # fmt: skip

    def page(self) -> str:
        """Return the page with its marks."""
        signs = {"grown": "↔", "no change shown": "="}
        rows = "".join(
            f'<li><button type="button" class="mark-row" data-mark="{m["mark_id"]}">'
            f'<span class="number">{m["number"]} {signs.get(m["state"], "")}</span>'
            f'<span class="mark-term">{m["term"]} <span class="small">as drawn</span></span>'
            f'<span class="mark-value">{VALUES.get(m["mark_id"], "")}</span></button></li>'
            for m in self.marks
        )
        text = Template((HERE / "index.html").read_text(encoding="utf-8"))
        return text.substitute(view=escape(json.dumps(self.view())), rows=rows)

    def put_draft(self, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        """Keep a draft, unless another stands there that its author has not seen."""
        stands = self.drafts.get(body["draft_id"])
        seen = stands["revision"] if stands else None
        if stands and body["based_on"] != seen:
            return 409, {"theirs": {key: stands[key] for key in ("geometry", "revision")}}
        revision = (seen or 0) + 1
        self.drafts[body["draft_id"]] = {**body, "revision": revision}
        return 200, {"revision": revision}

    def record(self, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        """Record what was drawn as mark 7, unless another was recorded meanwhile."""
        if self.recorded_elsewhere is not None:
            return 409, {"theirs": {"geometry": self.recorded_elsewhere, "revision": 9}}
        self.drafts.pop(body["draft_id"], None)
        mark = {"mark_id": "m7", "number": 7, "term": "recorded", "state": "not known"}
        return 201, {"mark": {**mark, "code": body["code"], "geometry": body["geometry"]}}


def length_text(geometry: dict[str, Any]) -> str:
    """Return a length in words, at the invented 5 px to a millimetre."""
    line = geometry["coordinates"]
    if geometry["type"] == "Polygon":
        line = [*line[0], line[0][0]]
    total = sum(math.dist(a, b) for a, b in itertools.pairwise(line)) / 5
    return f"{total:.1f} ± {total * 0.02:.1f} mm"


class Handler(BaseHTTPRequestHandler):
    """Answers for one bench."""

    def __init__(self, bench: Bench, *arguments: Any) -> None:
        """Answer at once, as the standard library has it."""
        self.bench = bench
        super().__init__(*arguments)

    def answer(self, status: int, kind: str, data: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.send_header(
            "Content-Security-Policy",
            "default-src 'none'; script-src 'self'; "
            f"style-src 'self' {self.bench.policy_source}; img-src 'self' blob: data:; "
            "connect-src 'self'; font-src 'self'; form-action 'self'; base-uri 'none'",
        )
        self.end_headers()
        self.wfile.write(data)

    def do_GET(self) -> None:
        path = self.path.split("?")[0]
        if path.startswith("/tiles/"):
            level, name = path.removeprefix("/tiles/").removesuffix(".jpg").split("/")
            col, row = name.split("_")
            self.answer(200, "image/jpeg", tile(int(level), int(col), int(row)))
        elif path.startswith("/static/"):
            file = STATIC / path.removeprefix("/static/")
            self.answer(200, KINDS[file.suffix], file.read_bytes())
        else:
            self.answer(200, "text/html; charset=utf-8", self.bench.page().encode())

    def do_write(self) -> None:
        body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if self.bench.is_down:
            self.close_connection = True
            self.connection.close()
            return
        self.bench.headers.append({key.lower(): value for key, value in self.headers.items()})
        self.bench.bodies.append({"method": self.command, "path": self.path, **body})
        status, said = 200, dict[str, Any]()
        if self.path == "/measure":
            said = {"text": length_text(body["geometry"]), "small": "flat reading, at least"}
        elif self.path == "/record":
            status, said = self.bench.record(body)
        elif self.command == "DELETE":
            self.bench.drafts.pop(body["draft_id"], None)
            status = 204
        else:
            status, said = self.bench.put_draft(body)
        data = b"" if status == 204 else json.dumps(said).encode()
        self.answer(status, "application/json", data)

    do_PUT = do_POST = do_DELETE = do_write  # noqa: N815

    def log_message(self, *_arguments: object) -> None:
        """Say nothing."""


@contextmanager
def serving(bench: Bench) -> Iterator[str]:
    """Run the server on a free port of this machine and give its address."""
    picture()  # drawn once, before several tiles are asked for at a time
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, bench))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()
