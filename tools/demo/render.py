"""Render the demo's pictures and write what is true of them.

    python tools/demo/render.py --out src/softmend/demo

rebuilds everything, in about ten minutes of two idle processors. It runs in an environment of its
own (requirements.txt beside this file) and needs the LLVM library, version 16 or newer; where the
machine has an older one too, DRJIT_LIBLLVM_PATH names the right file. For a draft:
`--share 0.4 --samples 8 --coarse 2`, and `--only` with a part of a file's name. `--truth-only`
leaves the pictures as they are and writes truth.json anew.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import argparse
import json
import re
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tools.demo.antler import Antler
from tools.demo.develop import developed, exposure_for, write
from tools.demo.figurehead import Figurehead
from tools.demo.proof import dots_error_px, marker_errors_px
from tools.demo.scene import Stage
from tools.demo.truth import area_truth, crack_truth, picture_truth, sightings
from tools.demo.views import ANTLER_VIEWS, WOOD_VIEWS, View

SAMPLES = 12
SPACING_MM, FINE_MM, COARSE_MM = 0.25, 0.15, 0.6
"""The net's step: everywhere, in the window of a detail, and beside that window."""

THINGS = ((Antler(), ANTLER_VIEWS), (Figurehead(), WOOD_VIEWS))
Thing = Antler | Figurehead


def rows_of(thing: Thing, view: View, coarse: float) -> tuple[np.ndarray, float]:
    """Return the rows of the net for a view and the step across them."""
    low, high = thing.rows
    if view.row_window is None:
        step = SPACING_MM * coarse
        return np.linspace(low, high, int((high - low) / step) + 1), step
    start, end = view.row_window
    parts = (
        np.arange(low, start, COARSE_MM),
        np.arange(start, end, FINE_MM),
        np.arange(end, high, COARSE_MM),
        [high],
    )
    return np.concatenate(parts), FINE_MM


def taken(thing: Thing, view: View, arguments: argparse.Namespace, seed: int) -> dict[str, Any]:
    """Take one picture, write it, and return its truth."""
    began = time.monotonic()
    stage = Stage(thing.pieces(*rows_of(thing, view, arguments.coarse), view.state), view)
    path = arguments.out / view.file
    if not arguments.truth_only:
        camera = view.camera.scaled(arguments.share)
        linear = stage.picture(camera, arguments.samples, seed)
        exposure = exposure_for(linear, view, arguments.share)
        write(developed(linear, exposure, seed), view, path)
    truth = picture_truth(view) | {"cylinder": thing.cylinder(view)}
    if arguments.share == 1.0:
        truth["proof"] = {
            **marker_errors_px(view, path),
            "dots_worst_px": dots_error_px(view),
        }
    truth["sightings"] = sightings(thing, view, stage.is_visible)
    print(f"{view.file}: {time.monotonic() - began:.0f} s, {truth.get('proof')}", flush=True)
    return truth


def written(truth: dict[str, Any]) -> str:
    """Return JSON with one line for each list of numbers."""
    text = json.dumps(truth, indent=1, ensure_ascii=False)
    numbers = re.compile(r"\[[\s\d.,\-\[\]e]*\]")
    return numbers.sub(lambda found: re.sub(r"\s+", " ", found[0]), text) + "\n"


def main() -> None:
    """Read the command line, render, and write truth.json."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--share", type=float, default=1.0, help="picture size, for a draft")
    parser.add_argument("--samples", type=int, default=SAMPLES, help="rays to a pixel")
    parser.add_argument("--only", default="", help="part of the file's name")
    parser.add_argument("--coarse", type=float, default=1.0, help="net's step, for a draft")
    parser.add_argument("--truth-only", action="store_true")
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    pictures, seed = [], 100
    for thing, views in THINGS:
        for view in views:
            seed += 1
            if arguments.only in view.file:
                pictures.append(taken(thing, view, arguments, seed))
    whole = {
        "invented": "Nothing here exists: objects, chart and pictures are made by a script.",
        "pixel_convention": "origin at the top left corner of the picture, x right, y down; "
        "pixel (0, 0) covers 0 to 1, centres at .5",
        "objects": [
            {
                "name": thing.name,
                "title": thing.title,
                "features": [crack_truth(thing, groove) for groove in thing.grooves]
                + [area_truth(thing, blob) for blob in thing.blobs],
            }
            for thing, _ in THINGS
        ],
        "pictures": pictures,
    }
    if not arguments.only:
        (arguments.out / "truth.json").write_text(written(whole), encoding="utf-8")


if __name__ == "__main__":
    main()
