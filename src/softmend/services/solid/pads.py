"""Pads under a scanned object: what they carry while they are moved, and what keeps them away."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend.errors import InputError
from softmend.records.canonical import canonical_json
from softmend.services.bench import Bench
from softmend.services.solid.inputs import SUPPORTS, questions_on
from softmend.services.solid.measuring_mesh import scan_folder
from softmend.services.solid.scans import OnScan

if TYPE_CHECKING:
    from softmend.catalogue.solid_hold import OnPads
    from softmend.catalogue.solid_scan import CheckedScan
    from softmend.science.solid.holding import Holding

AXIS_POINTS = 61
BESIDE_DEGREES = 30.0
"""A line counts as touched within this angle beyond the half angle of the support."""


@dataclass(frozen=True)
class Laid:
    """A beam with its weight, ready to be laid on pads, and the stretches that are forbidden."""

    on_pads: OnPads
    forbidden: list[dict[str, Any]]


def keep_beam(inputs: dict[str, Any], scan: CheckedScan, folder: Path) -> None:
    """Keep the beam of an object with its weight, so that pads answer while they are moved."""
    from softmend.catalogue.computation import Asked
    from softmend.catalogue.solid_hold import held
    from softmend.catalogue.solid_standing import SupportsInput
    from softmend.intake.arrays_kept import keep_arrays
    from softmend.science.solid.kept import beam_as_arrays, undersides_as_arrays

    given = SupportsInput.model_validate(inputs)
    try:
        found = held(given, Asked(files={"scan_file": scan}))
    except InputError:
        # It is no long body: the answer of solid.supports says so; there is nothing to keep.
        return
    if isinstance(found, tuple):
        return
    path = _beam_path(folder, inputs)
    keep_arrays(path, {**beam_as_arrays(found.beam), **undersides_as_arrays(found.undersides)})
    told = {
        "weight": found.weight,
        "centre": [float(x) for x in found.centre],
        "down": [float(x) for x in found.down],
        "spread": found.spread,
        "factor": found.factor,
        "forbidden": inputs["forbidden"],
    }
    path.with_suffix(".json").write_text(json.dumps(told), "utf-8")


def with_lines_forbidden(
    inputs: dict[str, Any], lines: list[dict[str, Any]], scan: CheckedScan
) -> dict[str, Any]:
    """Return inputs in which pads stay clear of each crack and join that runs where they touch.

    A line on the side away from the supports is not touched by them; its stress is told apart.
    """
    if not lines:
        return inputs
    from softmend.catalogue.solid_scan import in_metres, unit_of
    from softmend.catalogue.solid_standing import SupportsInput
    from softmend.science.solid.beam import beam_of
    from softmend.science.solid.holding import Holding, direction, vectors

    given = SupportsInput.model_validate(
        {name: value for name, value in inputs.items() if name != "cracks"}
    )
    if given.length is None:
        return inputs
    factor = unit_of(scan.shape, given.length).factor
    try:
        beam = beam_of(in_metres(scan.shape, factor).mesh)
    except InputError:
        return inputs
    holding = Holding(direction(given.down or [0, 0, -1]), vectors([0.0, 0.0, 0.0]), 0.0, beam)
    touched = math.cos(math.radians(min(given.half_angle_degrees + BESIDE_DEGREES, 90.0)))
    stretches = list(inputs["forbidden"])
    for line in lines:
        at = [
            holding.nearest(one)
            for one in vectors(line["picks"], factor)
            if _downward(holding, one) > touched
        ]
        if not at:
            continue
        clear = line["clear_mm"] / 1e3
        low, high = max(min(at) - clear, 0.0), min(max(at) + clear, beam.length)
        stretches.append(
            {
                "from_percent": round(100 * low / beam.length, 1),
                "to_percent": round(100 * high / beam.length, 1),
                "why": f"{line['name']}: {line['clear_mm']:g} mm clear of it"[:500],
            }
        )
    return {**inputs, "forbidden": stretches}


def _downward(holding: Holding, point: Any) -> float:
    """Return how far a point of the surface looks down: 1 straight below, 0 at the side."""
    off = point - holding.beam.place(holding.nearest(point))
    return float(off @ holding.down / max(float((off @ off) ** 0.5), 1e-12))


def pads_now(bench: Bench, on: OnScan, percents: list[float]) -> dict[str, Any]:
    """Return what pads at these places carry, and how far it is from tipping; nothing is kept."""
    from softmend.catalogue.solid_hold import pad_places
    from softmend.catalogue.solid_standing import SupportsInput, standing_on_pads

    laid = laid_of(bench, on)
    if laid is None:
        raise InputError(
            "Pads cannot be tried yet",
            remedy="Give the unit, the matter and how it is held, and let it be computed",
        )
    inputs = {
        **_asked(on),
        "pads": [{"at_percent": at} for at in percents],
        "forbidden": laid.forbidden,
    }
    given = SupportsInput.model_validate(inputs)
    try:
        at = pad_places(given, laid.on_pads)
    except InputError as refused:
        # While a pad is moved this is an answer like any other, not a mistake of the person.
        return {"stands": False, "sentence": refused.sentence(), "pads": [], "notes": []}
    standing = standing_on_pads(given, laid.on_pads, at)
    if isinstance(standing, str):
        return {"stands": False, "sentence": standing, "pads": [], "notes": []}
    told, notes = standing
    return {
        **{name: value for name, value in told.items() if name != "pads"},
        "stands": True,
        "pads": [one.model_dump(mode="json") for one in told["pads"]],
        "notes": notes,
    }


def laid_of(bench: Bench, on: OnScan) -> Laid | None:
    """Return the kept beam of a scan as it is said to be held, or None while there is none."""
    if on.length is None or on.holding is None or not on.has_matter:
        return None
    path = _beam_path(scan_folder(bench, on.scan.original_sha256), _asked(on))
    if not path.with_suffix(".json").is_file():
        return None
    return _laid(str(path), path.stat().st_mtime_ns)


def axis_of(laid: Laid) -> list[dict[str, Any]]:
    """Return the middle line of an object in the file's coordinates, for pads to be drawn on."""
    from softmend.science.solid.holding import vectors

    beam, held = laid.on_pads.beam, laid.on_pads
    radii = held.holding
    found = []
    for k in range(AXIS_POINTS):
        share = k / (AXIS_POINTS - 1)
        at = share * beam.length
        radius = float(radii.radii(vectors([at]))[0])
        found.append(
            {
                "at_percent": round(100 * share, 2),
                "at": held.at(beam.place(at)),
                "under": held.at(
                    max(
                        (one.lowest_at(at) for one in held.undersides),
                        key=lambda place: float(place @ held.down),
                    )
                ),
                "radius_mm": round(1e3 * radius, 1),
            }
        )
    return found


@lru_cache(maxsize=4)
def _laid(path: str, _changed_ns: int) -> Laid:
    from softmend.catalogue.solid_hold import OnPads
    from softmend.intake.arrays_kept import kept_arrays
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.kept import beam_from_arrays, undersides_from_arrays

    told = json.loads(Path(path).with_suffix(".json").read_text("utf-8"))
    kept = kept_arrays(Path(path))
    beam, undersides = beam_from_arrays(kept), undersides_from_arrays(kept)
    return Laid(
        OnPads(
            beam, undersides, vectors(told["down"]), told["weight"], vectors(told["centre"]),
            told["spread"], told["factor"],
        ),
        told["forbidden"],
    )  # fmt: skip


def _asked(on: OnScan) -> dict[str, Any]:
    return next(one.inputs for one in questions_on(on) if one.computation == SUPPORTS)


def _beam_path(folder: Path, inputs: dict[str, Any]) -> Path:
    """Return where a beam lies: other matter, length, direction down or support have another."""
    own: dict[str, Any] = {"told": "with its underside"} | {
        name: inputs.get(name)
        for name in (
            "length",
            "density_g_per_ml",
            "material",
            "mass_g",
            "hollow",
            "down",
            "support",
            "half_angle_degrees",
        )
    }
    key = hashlib.sha256(canonical_json(own).encode()).hexdigest()
    return folder / f"beam-{key[:32]}.npz"
