"""Stills of what changed between two scans: drawn in the comparison's job, kept with its answer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import json
import sys
from array import array
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.scan import Place3, ScanStill
from softmend.services.bench import Author, Bench
from softmend.services.numbered import record_numbered
from softmend.services.solid.asking import answered
from softmend.services.solid.measuring_mesh import display_mesh, scan_folder
from softmend.services.solid.pair import COLOURS, COMPARE, Pair, compared_folder
from softmend.services.solid.stills import SIZE_PX, Look, framed

if TYPE_CHECKING:
    from softmend.science.solid.mesh import Mesh

DRAWN = "stills.json"
FIRST_WORDS = "what changed, seen from where most went"


@dataclass(frozen=True)
class Wanted:
    """A still of a change that the job is to draw; `look` is None where the job chooses it.

    `still_id` is "" for one that is not recorded yet.
    """

    still_id: str
    shows: str
    look: Look | None


def colour_range(
    noise_mm: float, level_mm: float | None, outputs: dict[str, Any]
) -> tuple[float, float]:
    """Return below which distance nothing is coloured, and from which in full [mm]."""
    level = 3 * noise_mm if level_mm is None else level_mm
    deepest = [abs(one["deepest_mm"]) for one in outputs.get("patches", ())]
    most = max(4 * level, *deepest, outputs.get("most_mm") or 0.0)
    return round(level, 4), float(f"{most:.2g}")


def wanted_stills(pair: Pair) -> list[Wanted]:
    """Return the stills of a pair that are to be drawn anew; where there is none, a first one."""
    found = [
        Wanted(entry.subject_id, still.shows, _look_of(still))
        for entry, still in pair.earlier.stills
        if still.later_scan_id == pair.later.scan_id
    ]  # fmt: skip
    return found or [Wanted("", FIRST_WORDS, None)]


def draw_change(
    folder: Path, copy: Mesh, mm: Iterable[float], inputs: dict[str, Any], outputs: dict[str, Any],
    task: dict[str, Any],
) -> None:  # fmt: skip
    """Draw every still that is wanted into a folder, and write down how each was taken."""
    levels = colour_range(inputs["noise_mm"], inputs["level_mm"], outputs)
    patches = [one["middle"] for one in outputs["patches"]]
    place = (patches or [outputs["largest_loss_at"]])[0]
    told = []
    for k, one in enumerate(task["stills"]):
        look = Look(**one["look"]) if one["look"] else look_onto(copy, place, task["down"])
        png, look = change_picture(copy, mm, look, *levels)
        (folder / f"still-{k}.png").write_bytes(png)
        told.append({**one, "look": asdict(look), "file": f"still-{k}.png"})
    (folder / DRAWN).write_text(json.dumps({"levels": levels, "stills": told}), "utf-8")


def change_picture(
    copy: Mesh, mm: Iterable[float], look: Look, level_mm: float, full_mm: float
) -> tuple[bytes, Look]:
    """Return one still of a change as PNG, and the look with its middle and width."""
    from softmend.pictures.scan_still import FOOT, change_png
    from softmend.science.solid.display import frame_of_look
    from softmend.science.solid.painted import painted_look

    frame = frame_of_look(look.toward, look.up)
    look = framed(copy, frame, look, foot_px=round(FOOT * SIZE_PX[1]))
    middle, span = look.middle or (0.0, 0.0, 0.0), look.span or 1.0
    bright, seen = painted_look(copy, [1e-3 * one for one in mm], frame, middle, span, SIZE_PX)
    return change_png(bright, 1e3 * seen, level_mm, full_mm), look


def look_onto(copy: Mesh, place: list[float], down: list[float]) -> Look:
    """Return the look that faces the surface at a place, the object as upright as can be."""
    from softmend.science.solid.display import look_facing

    toward, up = look_facing(copy, place, down)
    return Look(_place(toward), _place(up))


def keep_stills(bench: Bench, author: Author, dossier_id: str, pair: Pair, folder: Path,
                run_id: str) -> None:  # fmt: skip
    """Keep the pictures that the job drew, each as the still of the answer that was just kept."""
    path = folder / DRAWN
    if not path.is_file():
        return
    told = json.loads(path.read_text("utf-8"))
    standing = {entry.subject_id: entry.id for entry, _still in pair.earlier.stills}
    for one in told["stills"]:
        if one["still_id"] and one["still_id"] not in standing:
            continue  # It was taken out while it was drawn.
        how = one["look"]
        look = Look(
            _place(how["toward"]), _place(how["up"]), _place(how["middle"]), float(how["span"])
        )
        still = change_still(pair, one["shows"], look, tuple(told["levels"]), run_id)
        sha256 = bench.store.files.put(io.BytesIO((folder / one["file"]).read_bytes()))
        still = replace(still, picture_sha256=sha256)
        record_numbered(
            bench, author, dossier_id, still, subject_id=one["still_id"],
            based_on=standing.get(one["still_id"], ""),
        )  # fmt: skip


def take_change_still(
    bench: Bench, author: Author, dossier_id: str, pair: Pair, shows: str, look: Look
) -> Entry:
    """Draw a still of what changed as it is looked at, keep the picture and record it."""
    with bench.store.reading() as reader:
        found = answered(reader, dossier_id, COMPARE, pair.subject)
    colours = compared_folder(bench, pair) / COLOURS
    if found is None or found.stale or not colours.is_file():
        raise InputError(
            "These scans were not compared as things stand now", remedy="Compare them again"
        )
    if not shows.strip():
        raise InputError("A still needs words", remedy="For example: the chip, from the left")
    copy = display_mesh(scan_folder(bench, pair.earlier.scan.original_sha256))
    mm = array("f", colours.read_bytes())
    if sys.byteorder == "big":
        mm.byteswap()
    inputs = found.run.inputs
    levels = colour_range(inputs["noise_mm"], inputs["level_mm"], found.outputs)
    png, look = change_picture(copy, mm, look, *levels)
    still = change_still(pair, shows.strip(), look, levels, found.entry.id)
    sha256 = bench.store.files.put(io.BytesIO(png))
    return record_numbered(bench, author, dossier_id, replace(still, picture_sha256=sha256))


def change_still(
    pair: Pair, shows: str, look: Look, levels: tuple[float, float], run_id: str
) -> ScanStill:
    """Return the record of a still of a change, without its picture."""
    return ScanStill(
        number=0,
        scan_id=pair.earlier.scan_id,
        shows=shows,
        picture_sha256="",
        width_px=SIZE_PX[0],
        height_px=SIZE_PX[1],
        toward=look.toward,
        up=look.up,
        middle=look.middle or (0.0, 0.0, 0.0),
        span=look.span or 1.0,
        for_mount_maker=False,
        later_scan_id=pair.later.scan_id,
        change_run_id=run_id,
        level_mm=levels[0],
        full_mm=levels[1],
    )


def _look_of(still: ScanStill) -> Look:
    return Look(still.toward, still.up, still.middle, still.span)


def _place(at: Any) -> Place3:
    x, y, z = (float(f"{one:.9g}") for one in at)
    return x, y, z
