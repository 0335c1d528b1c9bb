"""A dossier with a filled loss on a view, the invented paints of the demo, and a colour chart."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import as_file, files
from typing import TYPE_CHECKING

import numpy as np

from softmend.intake.canonical import write_canonical
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.demo.tinting import stock_the_paints
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.zones import record_body_zone, record_on_zone
from softmend.services.paints_files import Said, keep_colour_file
from softmend.services.propose.colour_readings import record_instrument
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.services.bench import Author, Bench

WIDTH, HEIGHT = 700, 400
CHART = "own:the demo's invented chart of 18 patches"
CORNERS = ((400.0, 220.0), (640.0, 220.0), (640.0, 340.0), (400.0, 340.0))
RING = ((100.0, 100.0), (220.0, 100.0), (220.0, 130.0), (100.0, 130.0))
BONE = (150, 122, 92)
SRGB = (
    (243,) * 3, (200,) * 3, (160,) * 3, (122,) * 3, (85,) * 3, (52,) * 3,
    (132, 62, 48), (178, 128, 52), (84, 110, 58), (52, 96, 120), (104, 78, 120), (196, 150, 118),
    (188, 157, 150), (209, 186, 152), (167, 178, 155), (152, 172, 183), (176, 164, 183),
    (217, 196, 182),
)  # fmt: skip


def picture() -> np.ndarray:
    """Return a picture of even bone with a chart of 18 patches of 40 px at CORNERS."""
    made = np.empty((HEIGHT, WIDTH, 3), dtype=np.uint8)
    made[:] = BONE
    for place, colour in enumerate(SRGB):
        row, column = divmod(place, 6)
        left, top = 400 + 40 * column, 220 + 40 * row
        made[top : top + 40, left : left + 40] = colour
    return made


def paints_and_view(bench: Bench, author: Author, dossier_id: str, folder: Path) -> str:
    """Stock the house with the invented paints and record the view; return the view's id."""
    stock_the_paints(bench, author)
    path = folder / "canonical.tif"
    write_canonical(path, picture(), None)
    sha256 = bench.store.files.put_path(path)
    view = View(1, "front.png", sha256, 10, sha256, WIDTH, HEIGHT, 8, "sRGB")
    view_id = bench.fresh_id()
    record_one(bench, author, dossier_id=dossier_id, subject_id=view_id, record=view, based_on="")
    ends = {"end_a_px": [[0.0, 10.0]], "end_b_px": [[500.0, 10.0]]}
    length = {"value": {"value": 100.0, "expanded": 0.1}, "kind": "measured", "origin": "typed"}
    scale = {"method": "two_clicks", **ends, "length_mm": length, "stand": {}}
    set_scale(bench, author, dossier_id, view_id, scale, based_on="")
    return view_id


def add_view(
    bench: Bench, author: Author, dossier_id: str, path: Path, light: np.ndarray, number: int
) -> str:
    """Record a further view from linear light, 0 to 1, and return its id."""
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    pixels = np.round(255 * np.clip(coded, 0, 1)).astype(np.uint8)
    write_canonical(path, pixels, None)
    sha256 = bench.store.files.put_path(path)
    view = View(number, path.name, sha256, 10, sha256, WIDTH, HEIGHT, 8, "sRGB")
    view_id = bench.fresh_id()
    record_one(bench, author, dossier_id=dossier_id, subject_id=view_id, record=view, based_on="")
    return view_id


def filled_loss(bench: Bench, author: Author, dossier_id: str, view_id: str) -> str:
    """Outline a loss, say that it is filled and toned, and return the id of its mark."""
    area = Sighting(view_id, Geometry(Shape.AREA, (RING,)))
    mark_id = record_mark(bench, author, dossier_id, Mark(0, "loss", (area,))).subject_id
    body = BodyZone(0, view_id, Body.NEW_FILL, (RING,), 3.0)
    record_body_zone(bench, author, dossier_id, body)
    inside = tuple((160 + 0.8 * (x - 160), 115 + 0.8 * (y - 115)) for x, y in RING)
    record_on_zone(bench, author, dossier_id, OnZone(0, view_id, OnIt.NEW_TONE, (inside,), 3.0))
    return mark_id


def beam_colour(bench: Bench, author: Author, dossier_id: str) -> None:
    """Record the invented instrument's readings of the beam."""
    name = "invented-antler-colour.csv"
    with as_file(files("softmend") / "demo" / name) as path:
        sha256 = keep_colour_file(bench, path)
    record_instrument(bench, author, dossier_id, sha256, name, "beam beside the fill", Said())
