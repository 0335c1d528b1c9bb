"""Stretches along a scanned object on which nothing may press, taken from its photographs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.records.scan_seen import (
    ScanView,
    StretchSetAside,
    checked_scan_view,
    checked_set_aside,
)
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import scales_in
from softmend.services.recording import current_record, current_records, record_one, strike
from softmend.services.solid.asking import Answered, answered
from softmend.services.solid.inputs import SEEN
from softmend.services.solid.scans import OnScan, on_scan
from softmend.services.solid.seen import Drawn, LaidView, aside_rests_on
from softmend.services.store import Reader

NOT_COMPUTED = "it is not computed yet"
NOT_LAID = "the photograph could not be laid along the scan"
ASIDE, AGAIN, COUNTS, NO_PLACE = "set aside", "counts again", "counts", "not placed"


@dataclass(frozen=True)
class Stretch:
    """What one mark or zone on a photograph forbids along the object.

    `state` is one of counts, set aside, counts again (it was set aside, and something changed
    since) and not placed; `because` says why for all but the first.
    """

    drawn: Drawn
    laid: LaidView
    state: str
    because: str = ""
    told: dict[str, Any] | None = None
    aside: Entry | None = None

    @property
    def seen(self) -> str:
        """Return where it was seen, with its uncertainty."""
        if self.told is None:
            return "not told"
        one = self.told
        return (
            f"{one['seen_from_percent']:g} – {one['seen_to_percent']:g} % ± "
            f"{one['expanded_mm']:g} mm"
        )

    @property
    def clear(self) -> str:
        """Return the stretch that it keeps clear."""
        if self.told is None or self.state == ASIDE:
            return "none"
        return f"{self.told['from_percent']:g} – {self.told['to_percent']:g} %"


@dataclass(frozen=True)
class SeenOnScan:
    """A photograph laid along a scan, its kept answer, and what stands on it."""

    laid: LaidView
    answer: Answered | None
    stretches: tuple[Stretch, ...]

    @property
    def notices(self) -> tuple[str, ...]:
        """Return why it keeps no support away, or why what it says may be out of date."""
        if self.laid.scale is None:
            return (f"{self.laid.name} has no scale now: its marks keep no support away.",)
        if self.answer is None:
            return (f"{self.laid.name} is not computed yet: its marks keep no support away.",)
        stale = (self.answer.stale,) if self.answer.stale else ()
        return (*stale, *self.answer.outputs["reasons"])


def seen_on_scan(reader: Reader, dossier_id: str, on: OnScan) -> tuple[SeenOnScan, ...]:
    """Return the photographs laid along a scan with the stretches found from them."""
    found = []
    for laid in on.seen:
        kept = answered(reader, dossier_id, SEEN, laid.entry.subject_id)
        outputs = kept.outputs if kept and laid.scale else None
        found.append(SeenOnScan(laid, kept, tuple(_stretches(laid, outputs))))
    return tuple(found)


def _stretches(laid: LaidView, outputs: dict[str, Any] | None) -> Iterator[Stretch]:
    told = {one["name"]: one for one in outputs["stretches"]} if outputs else {}
    missed = {one["name"]: one["why"] for one in outputs["not_placed"]} if outputs else {}
    refused = outputs is not None and not outputs["places"]
    for drawn in laid.drawn:
        here = laid.aside.get(drawn.entry.subject_id)
        entry, aside, holds = here or (None, None, False)
        if aside is not None and holds:
            yield Stretch(drawn, laid, ASIDE, aside.because, told.get(drawn.name), entry)
        elif drawn.name not in told:
            why = NOT_LAID if refused else missed.get(drawn.name, NOT_COMPUTED)
            yield Stretch(drawn, laid, NO_PLACE, why, None, entry)
        elif aside is not None:
            words = (
                f"was set aside ({aside.because}); the drawing, the places or down changed since"
            )
            yield Stretch(drawn, laid, AGAIN, words, told[drawn.name], entry)
        else:
            yield Stretch(drawn, laid, COUNTS, "", told[drawn.name])


def with_seen_forbidden(
    inputs: dict[str, Any], seen: list[dict[str, Any]], told: list[dict[str, Any]]
) -> dict[str, Any]:
    """Return inputs in which pads stay clear of what is drawn on photographs laid along the scan.

    `told` are answers of this job, which come before those that were kept.
    """
    new = {one["about"]: one["outputs"] for one in told}
    stretches = list(inputs["forbidden"])
    for one in seen:
        outputs = new.get(one["about"], one["outputs"])
        for stretch in outputs["stretches"] if outputs else ():
            if stretch["name"] not in one["aside"]:
                stretches.append(_forbidden(stretch, one["view"]))
    return {**inputs, "forbidden": stretches}


def _forbidden(stretch: dict[str, Any], view: str) -> dict[str, Any]:
    words = f"{stretch['name']}, on {view} ({stretch['kind']}, ± {stretch['expanded_mm']:g} mm)"
    return {
        "from_percent": stretch["from_percent"],
        "to_percent": stretch["to_percent"],
        "why": words[:500],
    }


def lay_photograph(
    bench: Bench, author: Author, dossier_id: str, laid: ScanView, based_on: str
) -> Entry:
    """Record how a photograph lies along a scan; its scale is needed, since that tells its tilt."""
    checked = checked_scan_view(laid)
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "scan", laid.scan_id)
        _, view = current_record(reader, dossier_id, "view", laid.view_id)
        has_scale = laid.view_id in scales_in(reader, dossier_id)
        standing = laid_entry(reader, dossier_id, laid.scan_id, laid.view_id)
    if not has_scale:
        raise NotFoundError(
            f"View {view.number} has no scale",
            remedy="Set its scale first: nothing else tells whether it was taken from the side",
        )
    return record_one(
        bench, author, dossier_id=dossier_id, record=checked, based_on=based_on,
        subject_id=standing.subject_id if standing else bench.fresh_id(),
    )  # fmt: skip


def laid_entry(reader: Reader, dossier_id: str, scan_id: str, view_id: str) -> Entry | None:
    """Return the entry that lays a photograph along a scan, or None."""
    for entry, one in current_records(reader, dossier_id, "scan_view"):
        if (one.scan_id, one.view_id) == (scan_id, view_id):
            return entry
    return None


def set_stretch_aside(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, view_id: str, drawn_id: str,
    because: str,
) -> Entry:  # fmt: skip
    """Record that a stretch keeps no support away, and why; it counts again once things change."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    laid, drawn = _drawn_in(on, view_id, drawn_id)
    standing = laid.aside.get(drawn_id)
    record = StretchSetAside(
        scan_id, view_id, drawn_id, because.strip(), on.held.down, aside_rests_on(laid, drawn)
    )
    return record_one(
        bench, author, dossier_id=dossier_id, record=checked_set_aside(record),
        subject_id=standing[0].subject_id if standing else bench.fresh_id(),
        based_on=standing[0].id if standing else "",
    )  # fmt: skip


def set_view_aside(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, view_id: str, because: str
) -> list[Entry]:
    """Set aside each stretch of one photograph that counts now, all for the same reason."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    return [
        set_stretch_aside(
            bench, author, dossier_id, scan_id, view_id, one.entry.subject_id, because
        )
        for laid in on.seen
        if laid.laid.view_id == view_id
        for one in laid.drawn
        if one.name not in laid.set_aside
    ]


def count_stretch_again(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, view_id: str, drawn_id: str,
    because: str,
) -> Entry:  # fmt: skip
    """Let a stretch that was set aside count again."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    laid, drawn = _drawn_in(on, view_id, drawn_id)
    standing = laid.aside.get(drawn_id)
    if standing is None:
        raise NotFoundError("This stretch is not set aside", value=drawn.name)
    return strike(
        bench, author, dossier_id=dossier_id, kind="stretch_set_aside",
        subject_id=standing[0].subject_id, because=because, based_on=standing[0].id,
    )  # fmt: skip


def _drawn_in(on: OnScan, view_id: str, drawn_id: str) -> tuple[LaidView, Drawn]:
    for laid in on.seen:
        for drawn in laid.drawn if laid.laid.view_id == view_id else ():
            if drawn.entry.subject_id == drawn_id:
                return laid, drawn
    raise NotFoundError(
        "There is no such mark on a photograph laid along this scan", remedy="Open the scan again"
    )


@dataclass(frozen=True)
class OnAScan:
    """Where a mark or zone also stands: a scan, what of it there, and the part of its page."""

    scan_id: str
    number: int
    words: str
    part: str


def also_on_scans(reader: Reader, dossier_id: str, drawn_id: str) -> tuple[OnAScan, ...]:
    """Return the scans on which a mark or zone stands too: drawn, picked, or laid along."""
    scans = {entry.subject_id: one for entry, one in current_records(reader, dossier_id, "scan")}
    found = []
    for kind, word, part in (("scan_line", "line", "lines"), ("scan_void", "void", "voids")):
        for _entry, one in current_records(reader, dossier_id, kind):
            if one.mark_id == drawn_id and one.scan_id in scans:
                words = f"{word} {one.number}, {one.what}"
                found.append(OnAScan(one.scan_id, scans[one.scan_id].number, words, part))
    laid = {one.scan_id for _entry, one in current_records(reader, dossier_id, "scan_view")}
    for scan_id in sorted(laid & scans.keys(), key=lambda one: scans[one].number):
        for seen in seen_on_scan(reader, dossier_id, on_scan(reader, dossier_id, scan_id)):
            for one in seen.stretches:
                if one.drawn.entry.subject_id == drawn_id and one.told:
                    words = f"{one.seen} along it, by {one.laid.name}"
                    found.append(OnAScan(scan_id, scans[scan_id].number, words, "supports"))
    return tuple(found)
