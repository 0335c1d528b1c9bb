"""Views and papers: photographs brought in, described, shown; other files kept but never opened."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.intake.decode import import_picture
from softmend.intake.facts import CameraFacts, PictureFacts
from softmend.intake.layout import CANONICAL_NAME
from softmend.intake.limits import STANDARD
from softmend.intake.tiles import TILE_PX, tile_name, tile_plan, write_remaining_levels
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.view import Paper, View
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import (
    append_record,
    current_record,
    current_records,
    record_one,
)
from softmend.services.store import Files, Reader

Progress = Callable[[str, float], None]

MOST_FILE_BYTES = STANDARD.file_bytes
TILE_SIDE_PX = TILE_PX

_TILES = "tiles"
_TILE_NAME = re.compile(r"\d{1,2}/\d{1,4}_\d{1,4}\.jpg")
_LONGEST_NAME = 200

# A viewer asks for many tiles at once; a level is made once, by the first who asks.
_one_pyramid_at_a_time = threading.Lock()


def import_photograph(
    bench: Bench,
    author: Author,
    dossier_id: str,
    source: Path,
    original_name: str,
    *,
    progress: Progress | None = None,
    cancel: threading.Event | None = None,
) -> Entry:
    """Bring in one photograph: original, canonical copy and first tiles; then one entry.

    Whatever stops it before the entry leaves no trace in the dossier; files without an entry
    are swept after a day.
    """
    files = bench.store.files
    with bench.store.reading() as reader:
        reader.head(dossier_id)
    with files.working_folder() as folder:
        facts = import_picture(source, folder / "picture", progress=progress, cancel=cancel)
        with source.open("rb") as original:
            original_sha256 = files.put(original)
        canonical_sha256 = files.put_path(folder / "picture" / CANONICAL_NAME)
        _keep_tiles(files, canonical_sha256, folder / "picture" / "tiles")
    view = _view(facts, original_name, original_sha256, source.stat().st_size, canonical_sha256)
    with bench.store.writing() as writer:
        _refuse_twice(writer, dossier_id, original_sha256)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=bench.fresh_id(),
            record=replace(view, number=writer.next_number(dossier_id, "view")),
            based_on="",
        )
        writer.commit()
    return entry


def _refuse_twice(reader: Reader, dossier_id: str, original_sha256: str) -> None:
    for _, view in current_records(reader, dossier_id, "view"):
        if view.original_sha256 == original_sha256:
            raise ConflictError(
                f"This photograph is in the dossier already, as view {view.number}",
                theirs=view.original_name,
                remedy="Open that view",
            )


def _camera(camera: CameraFacts) -> str:
    """Return maker and model once: many models begin with their maker's name."""
    maker, model = camera.maker or "", camera.model or ""
    if model.casefold().startswith(maker.casefold()):
        return model
    return f"{maker} {model}".strip()


def _view(
    facts: PictureFacts, name: str, original_sha256: str, original_bytes: int, canonical: str
) -> View:
    camera = _camera(facts.camera)
    notes = (*facts.notes, *((f"camera: {camera}",) if camera else ()))
    return View(
        number=0,
        original_name=name.strip()[-_LONGEST_NAME:] or "photograph",
        original_sha256=original_sha256,
        original_bytes=original_bytes,
        canonical_sha256=canonical,
        width_px=facts.width,
        height_px=facts.height,
        bits=facts.bits,
        colour_profile=facts.profile_name or "none: sRGB assumed",
        taken_on=(facts.camera.taken_at or NOT_KNOWN)[:10].replace(":", "-"),
        intake_notes=notes,
        carries_location=facts.camera.has_location,
    )


def _keep_tiles(files: Files, canonical_sha256: str, made: Path) -> None:
    kept = files.derived_folder(canonical_sha256, _TILES)
    kept.parent.mkdir(parents=True, exist_ok=True)
    if not kept.exists() or not any(kept.iterdir()):
        shutil.copytree(made, kept, dirs_exist_ok=True)


def describe_view(
    bench: Bench, author: Author, dossier_id: str, view_id: str, view: View, based_on: str
) -> Entry:
    """Record what a view shows, its light, side and maker; the picture itself cannot change."""
    with bench.store.reading() as reader:
        _, standing = current_record(reader, dossier_id, "view", view_id)
    described = replace(
        standing,
        shows=view.shows,
        side=view.side,
        light=view.light,
        light_from=view.light_from,
        taken_on=view.taken_on,
        made_by=view.made_by,
        stage=view.stage,
        plan_x=_share("plan_x", view.plan_x),
        plan_y=_share("plan_y", view.plan_y),
    )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=view_id,
        record=described,
        based_on=based_on,
    )


def _share(name: str, value: float | None) -> float | None:
    if value is not None and not 0 <= value <= 1:
        raise InputError(f"{name} is a place on the plan", value=value, allowed="0 to 1")
    return value


def attach_paper(
    bench: Bench, author: Author, dossier_id: str, source: Path, paper: Paper
) -> Entry:
    """Keep any other file and its hash; what it says is reported, and Softmend never opens it."""
    if not paper.what.strip():
        raise InputError("Say what this paper is", remedy="For example: report of an earlier owner")
    files = bench.store.files
    with source.open("rb") as original:
        sha256 = files.put(original)
    with bench.store.writing() as writer:
        kept = replace(
            paper,
            number=writer.next_number(dossier_id, "paper"),
            original_name=paper.original_name.strip()[-_LONGEST_NAME:] or "paper",
            original_sha256=sha256,
            original_bytes=files.size(sha256),
        )
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=bench.fresh_id(),
            record=kept,
            based_on="",
        )
        writer.commit()
    return entry


def views_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, View]]:
    """Return the current views of a dossier in order of their numbers."""
    return current_records(reader, dossier_id, "view")


def finish_tiles(bench: Bench, canonical_sha256: str) -> None:
    """Make the tile levels that are not there yet."""
    with _one_pyramid_at_a_time:
        _write_tiles(bench, canonical_sha256)


def _write_tiles(bench: Bench, canonical_sha256: str) -> None:
    files = bench.store.files
    folder = files.derived_folder(canonical_sha256, _TILES)
    for _ in write_remaining_levels(files.path(canonical_sha256), folder):
        pass


def finish_tiles_later(jobs: Jobs, bench: Bench, dossier_id: str, view: View) -> str:
    """Start a job that makes the finer tiles, and return its id; the view opens meanwhile."""
    files = bench.store.files
    return jobs.start(
        "tiles",
        dossier_id,
        tiles_made,
        str(files.path(view.canonical_sha256)),
        str(files.derived_folder(view.canonical_sha256, _TILES)),
    )


def tiles_made(_: Path, report: Report, canonical: str, folder: str) -> str:
    """Make the finer tiles in a process of its own."""
    levels = 0
    for levels, level in enumerate(write_remaining_levels(Path(canonical), Path(folder)), 1):
        report(levels, 0, f"{level.width} x {level.height} px")
    return f"{levels} levels"


def tile_path(bench: Bench, canonical_sha256: str, name: str) -> Path:
    """Return where a tile lies, by its name `level/column_row.jpg`; missing levels are made."""
    if not _TILE_NAME.fullmatch(name):
        raise NotFoundError("There is no tile of that name")
    folder = bench.store.files.derived_folder(canonical_sha256, _TILES)
    tile = folder / name
    if not tile.parent.is_dir():
        # A page asks for many at once: who waited finds them made, and reads the picture no more.
        with _one_pyramid_at_a_time:
            if not tile.parent.is_dir():
                _write_tiles(bench, canonical_sha256)
    if not tile.is_file():
        raise NotFoundError("There is no tile of that name")
    return tile


def overview_path(bench: Bench, view: View) -> Path:
    """Return the whole picture at its smallest, the first tile of its pyramid."""
    coarsest = tile_plan(view.width_px, view.height_px)[0].level
    return tile_path(bench, view.canonical_sha256, tile_name(coarsest, 0, 0))
