"""Widths of a crack from a photograph: measured along its line, kept as a run, put on its mark."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Shape, Sighting, WidthStation
from softmend.records.width_profile import SecondTracing, checked_tracing
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.examine.quantities import measured_drawing, scales_in
from softmend.services.recording import append_record, current_record
from softmend.services.runs import record_run, run_subject, stale_because
from softmend.services.store import Reader

COMPUTATION = "photo.width"
VERSION = "1"
MEASURED_WITH = f"photograph, slab and blur in linear light, version {VERSION}"


@dataclass(frozen=True)
class BlurWay:
    """How the blur of the photograph is known: its markers, an edge of four numbers, or not."""

    is_by_markers: bool = True
    edge_px: tuple[float, float, float, float] | None = None

    def inputs(self) -> dict[str, Any] | None:
        """Return the blur as photo.width takes it."""
        if self.edge_px is not None:
            x, y, u, v = self.edge_px
            return {"method": "edge", "edge_px": [[x, y], [u, v]]}
        return {"method": "markers"} if self.is_by_markers else None


@dataclass(frozen=True)
class WidthKept:
    """The widths that stand for a mark on a view, and why they are stale, "" while they hold."""

    entry: Entry
    run: Run
    stale: str


def line_on(mark: Mark, view_id: str) -> Sighting:
    """Return the first line of a mark on a view; NotFoundError when there is none."""
    for seen in mark.sightings:
        if seen.view_id == view_id and seen.geometry.shape is Shape.LINE:
            return seen
    raise NotFoundError(f"Mark {mark.number} is not drawn as a line on this view")


def measure_width(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    view_id: str,
    blur: BlurWay,
    *,
    assume_depth: bool = False,
) -> Entry:
    """Measure the width of a crack along its line on a view, and keep all of it as a run."""
    from softmend.intake.canonical import read_canonical

    with bench.store.reading() as reader:
        mark_entry, mark = current_record(reader, dossier_id, "mark", mark_id)
        view_entry, view = current_record(reader, dossier_id, "view", view_id)
        scale = scales_in(reader, dossier_id).get(view_id)
    inputs: dict[str, Any] = {
        "picture_file": view.canonical_sha256,
        "line_px": [list(at) for at in line_on(mark, view_id).geometry.parts[0]],
        "blur": blur.inputs(),
        "scale": scale.inputs if scale else None,
        "assume_depth": assume_depth,
    }
    pixels = read_canonical(bench.store.files.path(view.canonical_sha256))
    outputs = catalogue.run(COMPUTATION, inputs, files={"picture_file": pixels})
    read = [mark_entry.id, view_entry.id, *([scale.entry_id] if scale else [])]
    return _keep(bench, author, dossier_id, mark_id, view_id, inputs, outputs, tuple(read))


def width_kept(reader: Reader, dossier_id: str, mark_id: str, view_id: str) -> WidthKept | None:
    """Return the widths that were measured of a mark on a view, or None."""
    subject = run_subject(dossier_id, COMPUTATION, _about(mark_id, view_id))
    entry = reader.latest("run", subject)
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    run: Run = record_in(entry)
    return WidthKept(entry, run, stale_because(reader, run))


def put_on_mark(
    bench: Bench, author: Author, dossier_id: str, mark_id: str, view_id: str, based_on: str
) -> Entry:
    """Record the measured stretches as widths of the mark, in place of earlier ones of this view.

    Stretches that are only "narrower than" stay with the run: they are no widths.
    """
    with bench.store.reading() as reader:
        _, mark = current_record(reader, dossier_id, "mark", mark_id)
        kept = width_kept(reader, dossier_id, mark_id, view_id)
        _, view = current_record(reader, dossier_id, "view", view_id)
        scale = scales_in(reader, dossier_id).get(view_id)
    if kept is None or kept.stale:
        raise InputError(
            "There are no widths that still hold",
            value=kept.stale if kept else "not measured",
            remedy="Measure the width again",
        )
    length = measured_drawing(line_on(mark, view_id).geometry, scale).mean
    how = f"{MEASURED_WITH}, view {view.number}"
    stations = tuple(
        WidthStation(round(along, 1), one["width_mm"]["mean"], one["width_mm"]["expanded"], how)
        for along, one in stretches_along(kept.run.outputs, length)
        if one["width_mm"]
    )
    if not stations:
        raise InputError(
            "No stretch is wide enough to be a number in millimetres",
            allowed="at least one stretch wider than twice the blur, on a view with a scale",
            remedy="Leave it as “narrower than”, or take a closer photograph",
        )
    others = tuple(one for one in mark.widths if one.measured_with != how)
    entry = record_mark(
        bench,
        author,
        dossier_id,
        replace(mark, widths=(*others, *stations)),
        subject_id=mark_id,
        based_on=based_on,
    )
    # The line that was measured still stands: the run goes on to hold for the mark as it is now.
    read = (entry.id, *kept.run.read_entry_ids[1:])
    _keep(
        bench, author, dossier_id, mark_id, view_id, kept.run.inputs, kept.run.outputs, read
    )  # fmt: skip
    return entry


def stretches_along(
    outputs: dict[str, Any], length_mm: float | None
) -> list[tuple[float, dict[str, Any]]]:
    """Return each stretch with the place of its middle: in mm, or in px without a length."""
    stretches = outputs["stretches"]
    whole = stretches[-1]["to_px"] + stretches[0]["from_px"] if stretches else 1.0
    each = (length_mm / whole) if length_mm else 1.0
    return [((one["from_px"] + one["to_px"]) / 2 * each, one) for one in stretches]


def trace_again(
    bench: Bench, author: Author, dossier_id: str, mark_id: str, view_id: str, drawn: Geometry
) -> Entry:
    """Record a second tracing of a mark on a view, and the spread of the hand that it shows."""
    from softmend.science.photo.hand import hand_spread

    subject_id = f"{mark_id}:again:{view_id}"
    with bench.store.writing() as writer:
        _, mark = current_record(writer, dossier_id, "mark", mark_id)
        first = line_on(mark, view_id).geometry.parts[0]
        found = hand_spread([list(at) for at in first], [list(at) for at in drawn.parts[0]])
        standing = writer.latest("second_tracing", subject_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=checked_tracing(
                SecondTracing(
                    mark.number,
                    view_id,
                    drawn.parts[0],
                    round(found.sideways_sd_px, 2),
                    round(found.furthest_px, 2),
                    round(found.length_difference_px, 2),
                    round(found.start_apart_px, 2),
                    round(found.end_apart_px, 2),
                )
            ),
            based_on=standing.id if standing else "",
        )
        writer.commit()
    return entry


def second_tracing(reader: Reader, mark_id: str, view_id: str) -> SecondTracing | None:
    """Return the second tracing of a mark on a view, or None while there is none."""
    entry = reader.latest("second_tracing", f"{mark_id}:again:{view_id}")
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    found: SecondTracing = record_in(entry)
    return found


def _keep(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    view_id: str,
    inputs: dict[str, Any],
    outputs: dict[str, Any],
    read: tuple[str, ...],
) -> Entry:
    return record_run(
        bench,
        author,
        dossier_id,
        computation=COMPUTATION,
        inputs=inputs,
        outputs=outputs,
        read_entry_ids=read,
        about=_about(mark_id, view_id),
    )


def _about(mark_id: str, view_id: str) -> str:
    return f"{mark_id}:{view_id}"
