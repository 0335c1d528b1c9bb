"""A report of forty pages with thirty photographs: python benchmarks/report.py.

Against Pillow writing the same thirty photographs anew as JPEG, once, in the same run: the least
that a report without a typesetter would do. Every print is of a new report (its head hash differs)
in a process that has printed before; the first print of all is told apart.
Budget: 1.5 s.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import json
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

import pypdfium2
from PIL import Image

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from softmend.report.content import ConditionReport  # noqa: E402
from softmend.report.pdf import condition_report_pdf  # noqa: E402
from tests.report.sample import long_report  # noqa: E402

FONTS = ROOT / "src" / "softmend" / "web" / "static" / "fonts"
BUDGET_S = 1.5
REPEATS = 5
SIDE_PX = 2000


def seconds(work: Callable[[], object]) -> float:
    """Return how long a piece of work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def printed(report: ConditionReport, pictures: Mapping[str, bytes], turn: int) -> bytes:
    """Return a print that no cache has seen: its head hash and its pictures' words are new."""
    changed = replace(
        report,
        provenance=replace(report.provenance, head_hash=f"{turn:064x}"),
        views=tuple(
            replace(shown, view=replace(shown.view, shows=f"stretch {turn}.{shown.view.number}"))
            for shown in report.views
        ),
    )
    return condition_report_pdf(changed, pictures, FONTS)


def grainy(content: bytes) -> bytes:
    """Return a picture with the grain of a real photograph, which JPEG cannot leave out."""
    kept = io.BytesIO()
    with Image.open(io.BytesIO(content)) as picture:
        grain = Image.effect_noise(picture.size, 24).convert("RGB")
        Image.blend(picture, grain, 0.25).save(kept, "JPEG", quality=85)
    return kept.getvalue()


def encoded_anew(pictures: Mapping[str, bytes]) -> None:
    """Decode and encode every picture once, as JPEG."""
    for content in pictures.values():
        with Image.open(io.BytesIO(content)) as picture:
            picture.save(io.BytesIO(), "JPEG", quality=85)


def main() -> int:
    """Write the times, their ratio and the budget as JSON; 1 when the budget is missed."""
    report, clean = long_report(SIDE_PX)
    pictures = {name: grainy(content) for name, content in clean.items()}
    pdf = b""

    def print_first() -> None:
        nonlocal pdf
        pdf = printed(report, pictures, 0)

    first = seconds(print_first)
    document = pypdfium2.PdfDocument(pdf)
    pages = len(document)
    document.close()
    ours = statistics.median(
        seconds(partial(printed, report, pictures, turn)) for turn in range(1, 1 + REPEATS)
    )
    theirs = statistics.median(seconds(lambda: encoded_anew(pictures)) for _ in range(REPEATS))
    said = {
        "pages": pages,
        "photographs": len(pictures),
        "photographs_mb": round(sum(map(len, pictures.values())) / 1e6, 1),
        "pdf_mb": round(len(pdf) / 1e6, 1),
        "first_print_s": round(first, 2),
        "print_s": round(ours, 2),
        "budget_s": BUDGET_S,
        "pillow_encodes_the_photographs_s": round(theirs, 2),
        "times_faster": round(theirs / ours, 1),
    }
    sys.stdout.write(json.dumps(said) + "\n")
    return int(ours > BUDGET_S)


if __name__ == "__main__":
    sys.exit(main())
