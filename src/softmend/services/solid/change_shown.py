"""What changed between two scans in words, the same for the page and the prints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from softmend.pictures.scan_still import DrawnLine, still_svg
from softmend.records.scan import ScanComparison, ScanStill
from softmend.report.scan_shown import ChangeShown, Grid, ScanPart, StillShown
from softmend.services.solid.asking import Answered, answered
from softmend.services.solid.pair import COMPARE, Pair, pairs_asked
from softmend.services.solid.scans import OnScan
from softmend.services.solid.shown import scan_name
from softmend.services.solid.stills import Onto, mm_per_unit, scale_bar, still_picture
from softmend.services.store import Files, Reader
from softmend.services.workings import working

KEY = "change"
TITLE = "What changed"
NOTHING_ABOVE = "Nothing is above the level of {level:g} mm in what was asked about."
NO_LEVEL = (
    "The level below which nothing may be claimed is not known: numbers are told, and nothing is "
    "called a change. Two scans of one state, compared, tell it."
)
NO_PATCH = "No patch was chosen: no loss is told, and the whole surface was fitted on."
NOT_YET = "It is asked for, and not computed yet."
OLD_STILL = "the picture was drawn from an answer that no longer holds"
_COLUMNS = ("Patch", "Radius", "Gone, less come", "Deepest", "Highest", "Against the level")
_AROUND = 48


def change_shown(
    reader: Reader, dossier_id: str, pair: Pair, files: Files | None = None
) -> ChangeShown:
    """Return everything that is said of a pair; with files, stills hold their pictures."""
    numbers = (pair.earlier.scan.number, pair.later.scan.number)
    found = answered(reader, dossier_id, COMPARE, pair.subject)
    stills = tuple(
        _still(pair, still, found, files)
        for _entry, still in pair.earlier.stills
        if still.later_scan_id == pair.later.scan_id
    )
    return ChangeShown(
        title=f"Scan {numbers[0]}, earlier, and scan {numbers[1]}, later",
        about=(("Earlier", _scan_words(pair.earlier)), ("Later", _scan_words(pair.later))),
        part=change_part(found, "scans {} and {}".format(*numbers)),
        stills=stills,
    )


def levels_of_others(reader: Reader, dossier_id: str, pair: Pair) -> list[tuple[int, int, float]]:
    """Return what 95 % of the surface lies within [mm] for every other pair, with both numbers.

    Where such a pair is of one state, that is the level of its scanner and object.
    """
    told = []
    for other in pairs_asked(reader, dossier_id):
        found = answered(reader, dossier_id, COMPARE, other.subject)
        if other.subject == pair.subject or found is None or found.stale:
            continue
        if found.outputs["most_mm"] is not None:
            numbers = (other.earlier.scan.number, other.later.scan.number)
            told.append((*numbers, float(found.outputs["most_mm"])))
    return told


def change_part(found: Answered | None, about: str) -> ScanPart:
    """Return what a kept comparison says, or that there is none yet."""
    if found is None:
        return ScanPart(KEY, TITLE, reasons=(NOT_YET,))
    outputs, inputs = found.outputs, found.run.inputs
    is_told = outputs["most_mm"] is not None
    rows = tuple(
        _patch_row(k, one, told)
        for k, (one, told) in enumerate(zip(inputs["changed"], outputs["patches"], strict=False), 1)
    )
    return ScanPart(
        key=KEY,
        title=TITLE,
        sentences=tuple(_sentences(inputs, outputs)) if is_told else (),
        facts=tuple(_facts(inputs, outputs)),
        grid=Grid(_COLUMNS, rows) if rows else None,
        reasons=tuple(outputs["reasons"]),
        warnings=tuple(outputs["warnings"]),
        work=working(COMPARE, about, outputs, found.stale),
        stale_because=found.stale,
    )


def _sentences(inputs: dict[str, Any], outputs: dict[str, Any]) -> Iterator[str]:
    patches, level = outputs["patches"], inputs["level_mm"]
    if level is None:
        yield NO_LEVEL
    elif patches:
        above = [str(k) for k, one in enumerate(patches, 1) if one["is_above_level"]]
        if not above:
            yield NOTHING_ABOVE.format(level=level)
        elif len(above) == len(patches) == 1:
            yield f"The patch changed: it lies beyond the level of {level:g} mm."
        else:
            yield f"Beyond the level of {level:g} mm: patch {', '.join(above)}; no other."
    if not patches:
        yield NO_PATCH


def _facts(inputs: dict[str, Any], outputs: dict[str, Any]) -> Iterator[tuple[str, str]]:
    count = len(inputs["changed"])
    left_out = (
        "all of the earlier scan" if not count else
        f"all of the earlier scan but the {'patch' if count == 1 else f'{count} patches'} below, "
        "left out of the fit"
    )  # fmt: skip
    yield "Believed unchanged", left_out
    if outputs["fit_mm"] is not None:
        yield (
            "Fit residual, half of it within",
            f"{outputs['fit_mm']:g} mm, where noise and mesh let {outputs['expected_fit_mm']:g} mm "
            "be expected",
        )
    level = inputs["level_mm"]
    yield (
        "Detection level",
        f"not known; colours begin at {3 * inputs['noise_mm']:g} mm, three times the noise"
        if level is None
        else f"{level:g} mm, from two scans of one state",
    )
    if outputs["most_mm"] is not None:
        yield (
            "Whole surface",
            f"half of it within {outputs['median_mm']:g} mm, 95 % within {outputs['most_mm']:g} mm",
        )
        yield (
            "Beyond the level" if level is not None else "Beyond three times the noise",
            f"gone {outputs['gone_percent']:g} %, come {outputs['come_percent']:g} % of the "
            "surface; noise alone puts some of it there",
        )
    if outputs["fitted_scale_percent"] is not None:
        yield (
            "Fitted scale, shown apart",
            f"{_signed(outputs['fitted_scale_percent'])} %: possible shrinkage or an error of "
            "scale, not taken out of anything above",
        )


def _patch_row(number: int, asked: dict[str, Any], told: dict[str, Any]) -> tuple[str, ...]:
    verdict = {None: "no level is known", True: "above: it changed",
               False: "below: nothing is claimed"}[told["is_above_level"]]  # fmt: skip
    # An answer of an earlier version has no means over neighbours.
    depth, rise = (told.get(name) for name in ("steady_depth_mm", "steady_rise_mm"))
    return (
        f"{number}",
        f"{asked['radius_mm']:g} mm",
        told["lost_mm3"]["text"],
        f"{told['deepest_mm']:g} mm" if depth is None else f"{depth:g} mm",
        "not told" if rise is None else f"{rise:g} mm",
        verdict,
    )


def _still(pair: Pair, still: ScanStill, found: Answered | None, files: Files | None) -> StillShown:
    said = pair.asked[1] if pair.asked else ScanComparison("", "")
    scale = mm_per_unit(pair.earlier)
    onto = Onto(still)
    lines = [] if scale is None else [
        _ring(f"patch {k}", onto(one.middle), one.radius_mm / scale * still.width_px / still.span)
        for k, one in enumerate(said.changed, 1)
    ]  # fmt: skip
    level, full = still.level_mm or 0.0, still.full_mm or 1.0
    png = b"" if files is None else still_picture(files, still.picture_sha256)
    size = (still.width_px, still.height_px)
    names = ", ".join(one.name for one in lines) or "no patch"
    words = (
        f"{still.shows}: still {still.number} of scan {pair.earlier.scan.number}, coloured by what "
        f"changed up to scan {pair.later.scan.number}"
    )
    holds = found is not None and not found.stale and found.entry.id == still.change_run_id
    return StillShown(
        number=still.number,
        svg=still_svg(size, lines, (), scale_bar(still, scale), png, (level, full)),
        width_px=still.width_px,
        height_px=still.height_px,
        caption=f"Still {still.number} · {still.shows}",
        alternative=f"{words}: gone up to −{full:.2g} mm, come up to {full:.2g} mm, nothing "
        f"within ± {level:.2g} mm; drawn on it: {names}",
        sha256=still.picture_sha256,
        for_mount_maker=False,
        stale_because="" if holds else OLD_STILL,
    )


def _ring(name: str, middle: tuple[float, float], radius: float) -> DrawnLine:
    turns = [2 * math.pi * k / _AROUND - math.pi / 4 for k in range(_AROUND)]
    x, y = middle
    points = tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)
    return DrawnLine(name, (*points[1:], points[0]), is_closed=True)


def _scan_words(on: OnScan) -> str:
    length = (
        "unit not confirmed" if on.length is None
        else f"confirmed by {on.length[1].text()}"
    )  # fmt: skip
    return f"scan {on.scan.number}, {scan_name(on)}; made: {on.scan.made_on}; {length}"


def _signed(value: float) -> str:
    return f"{value:+g}".replace("-", "−")
