"""What photographs laid along a scan say in words: where no support may press, and why."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from softmend.report.scan_shown import Grid, ScanPart
from softmend.services.solid.asking import answered_on
from softmend.services.solid.inputs import SUPPORTS
from softmend.services.solid.scans import OnScan
from softmend.services.solid.seen_stretches import (
    COUNTS,
    SeenOnScan,
    Stretch,
    seen_on_scan,
)
from softmend.services.store import Reader
from softmend.services.workings import working

COLUMNS = ("Mark or zone", "What it is", "Seen, from the thicker end", "Kept clear", "Stands")
CLEAR_COLUMNS = ("Stretch", "From the thicker end", "Because of")
KEPT_CLEAR = "keep-clear"
NO_MARKS = "Nothing is drawn on it on which a support should not press."


def seen_parts(reader: Reader, dossier_id: str, on: OnScan) -> Iterator[ScanPart]:
    """Return all that supports were kept clear of, then what each photograph says of it."""
    held = answered_on(reader, dossier_id, on, SUPPORTS)
    if held is not None and held.run.inputs["forbidden"]:
        yield ScanPart(
            KEPT_CLEAR,
            "Nothing may press here",
            grid=Grid(CLEAR_COLUMNS, tuple(_numbered(held.run.inputs["forbidden"]))),
            stale_because=held.stale,
        )
    for seen in seen_on_scan(reader, dossier_id, on):
        yield _part(on, seen)


def _numbered(stretches: list[dict[str, Any]]) -> Iterator[tuple[str, ...]]:
    for k, one in enumerate(stretches, 1):
        yield f"{k}", f"{one['from_percent']:g} – {one['to_percent']:g} %", one["why"]


def _part(on: OnScan, seen: SeenOnScan) -> ScanPart:
    title = f"On {seen.laid.name}: where no support may press"
    rows = tuple(_row(one) for one in seen.stretches)
    told = seen.answer.outputs if seen.answer else {}
    about = f"scan {on.scan.number}, {seen.laid.name}"
    return ScanPart(
        key=f"seen-{seen.laid.view.number}",
        title=title,
        sentences=() if rows else (NO_MARKS,),
        facts=tuple(_facts(seen)),
        grid=Grid(COLUMNS, rows) if rows else None,
        reasons=tuple(one[:1].upper() + one[1:] for one in seen.notices),
        warnings=tuple(told.get("warnings", ())),
        work=working(seen.answer.run.computation, about, told, seen.answer.stale)
        if seen.answer
        else None,
    )


def _row(one: Stretch) -> tuple[str, ...]:
    stands = one.state if one.state == COUNTS else f"{one.state}: {one.because}"
    return one.drawn.name, one.drawn.kind, one.seen, one.clear, stands


def _facts(seen: SeenOnScan) -> Iterator[tuple[str, str]]:
    laid = seen.laid.laid
    yield "Places picked on both", f"{len(laid.places)}"
    yield "Kept clear beyond the uncertainty", f"{laid.clear_mm:g} mm"
    told = seen.answer.outputs if seen.answer else {}
    if told.get("pick_sd_mm") is None:
        return
    scatter = told["scatter_mm"]
    how = "two places fit always" if scatter is None else f"scatter {scatter:g} mm"
    yield "A place picked is within", f"± {2 * told['pick_sd_mm']:.2g} mm along it (k = 2); {how}"
    yield "Off square, at worst", f"{told['most_tilt_degrees']:g}°"
