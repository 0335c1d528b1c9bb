"""Every page of the demo that a link leads to: python benchmarks/pages.py [folder of a demo].

Server time is processor time of the whole process while a page is asked for again: the median of
three times after the first. Pictures and scripts are not asked for. Links are followed to two pages
of each kind of address; a link that leads nowhere fails the run.
Budget (design.md, section 8): under 100 ms.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import json
import re
import secrets
import statistics
import sys
import tempfile
import time
from collections import Counter, deque
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from fastapi.testclient import TestClient

from softmend.house import open_house
from softmend.web.app import create_app

TOKEN = secrets.token_urlsafe()
BUDGET_MS = 100.0
OF_A_KIND = 2
REPEATS = 3
SLOWEST = 15

_LINK = re.compile(r'<a\b[^>]*?\bhref="([^"#]*)[^"]*"([^>]*)')
_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def kind_of(address: str) -> str:
    """Return an address with every id and number taken out: pages of one kind share it."""
    parts = urlsplit(address)
    path = re.sub(r"(?<=/)\d+(?=/|$)", "*", _ID.sub("*", parts.path))
    asked = "&".join(sorted(pair.split("=")[0] for pair in parts.query.split("&") if pair))
    return f"{path}?{asked}" if asked else path


def links_of(page: str, text: str) -> list[str]:
    """Return where the links of a page lead, downloads left out."""
    found = (urljoin(page, html.unescape(href)) for href, more in _LINK.findall(text) if href)
    return [one for one in found if one.startswith("/")]


def asked_for(client: TestClient, address: str) -> tuple[int, str, str, float]:
    """Return status, kind of content, text and processor milliseconds of one answer."""
    start = time.process_time()
    answer = client.get(address)
    spent = 1000 * (time.process_time() - start)
    kind = answer.headers.get("content-type", "")
    return answer.status_code, kind, answer.text if kind.startswith("text/") else "", spent


def walk(client: TestClient) -> tuple[dict[str, tuple[str, float, float]], list[str]]:
    """Return the times of each page by its address, first and again, and the dead links."""
    seen: Counter[str] = Counter()
    times: dict[str, tuple[str, float, float]] = {}
    dead = []
    waiting = deque([("/", "")])
    known = {"/"}
    while waiting:
        address, came_from = waiting.popleft()
        kind = kind_of(address)
        if seen[kind] >= OF_A_KIND:
            continue
        seen[kind] += 1
        status, content, text, first = asked_for(client, address)
        if status >= 400:
            dead.append(f"{status} {address} (from {came_from})")
            continue
        if not content.startswith("text/html"):
            seen[kind] = OF_A_KIND
            continue
        again = statistics.median(asked_for(client, address)[3] for _ in range(REPEATS))
        times[address] = (kind, first, again)
        for link in links_of(address, text):
            if link not in known:
                known.add(link)
                waiting.append((link, address))
    return times, dead


def walked(folder: Path) -> tuple[dict[str, tuple[str, float, float]], list[str]]:
    """Return what the walk through the demo in a folder finds; it is laid out where it lacks."""
    from softmend.services.demo.layout import first_dossier, lay_out_demo

    house = open_house(folder)
    if not first_dossier(house.bench):
        lay_out_demo(house.bench)
    with TestClient(create_app(house.bench, TOKEN), base_url="http://127.0.0.1:8000") as client:
        client.get("/", params={"token": TOKEN})
        client.headers["sec-fetch-site"] = "same-origin"
        client.post("/who", data={"name": "Ida Invented", "purpose": "benchmark"})
        found = walk(client)
    house.close()
    return found


def main() -> int:
    """Write each page's time, slowest first, as JSON; 1 for a page over budget or a dead link."""
    with tempfile.TemporaryDirectory() as empty:
        times, dead = walked(Path(sys.argv[1] if len(sys.argv) > 1 else empty))
    slowest = sorted(times.values(), key=lambda one: -one[2])
    said = {
        "pages": len(times),
        "kinds": len({kind for kind, _first, _again in slowest}),
        "slowest_ms": [
            {"page": kind, "first": round(first), "again": round(again)}
            for kind, first, again in slowest[: None if "--all" in sys.argv else SLOWEST]
        ],
        "over_budget": sum(again > BUDGET_MS for _kind, _first, again in slowest),
        "dead_links": dead,
        "budget_ms": BUDGET_MS,
    }
    sys.stdout.write(json.dumps(said, indent=1) + "\n")
    return int(bool(said["over_budget"] or dead))


if __name__ == "__main__":
    sys.exit(main())
