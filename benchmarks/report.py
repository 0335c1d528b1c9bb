"""A report of forty pages with thirty photographs: python benchmarks/report.py.

Against Pillow writing the same thirty photographs anew as JPEG, once, in the same run: the least
that a report without a typesetter would do. Every print is of a new report (its head hash differs)
in a process that has printed before; the first print of all is told apart.
Budget: 1.5 s.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
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


def encoded_anew(pictures: Mapping[str, bytes]) -> None:
    """Decode and encode every picture once, as JPEG."""
    for content in pictures.values():
        with Image.open(io.BytesIO(content)) as picture:
            picture.save(io.BytesIO(), "JPEG", quality=85)


def main() -> int:
    """Print the times, their ratio and the budget; 1 when the budget is missed."""
    report, pictures = long_report(SIDE_PX)
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
    size = sum(map(len, pictures.values())) / 1e6
    print(f"{pages} pages, {len(pictures)} photographs of {SIDE_PX} px ({size:.1f} MB) in, "
          f"{len(pdf) / 1e6:.1f} MB out")  # fmt: skip
    print(f"a print: {ours:.2f} s (budget {BUDGET_S} s); the first of all: {first:.2f} s")
    print(f"Pillow, the photographs alone encoded anew: {theirs:.2f} s; ratio {theirs / ours:.1f}")
    return int(ours > BUDGET_S)


if __name__ == "__main__":
    sys.exit(main())
