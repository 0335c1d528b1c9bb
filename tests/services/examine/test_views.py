"""A photograph's finer tiles are made once, however many of them are asked for at a time."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from PIL import ExifTags, Image

from softmend.intake.tiles import tile_name, write_remaining_levels
from softmend.services.examine import views
from softmend.services.examine.views import import_photograph, tile_path
from softmend.services.recording import current_record

AT_ONCE = 5


def test_a_picture_is_read_once_for_all_tiles_that_a_page_asks_for(
    bench, author, dossier_id, tmp_path, monkeypatch
) -> None:
    path = tmp_path / "plain.png"
    Image.new("RGB", (2400, 1600), (120, 110, 90)).save(path)
    entry = import_photograph(bench, author, dossier_id, path, "plain.png")
    with bench.store.reading() as reader:
        view = current_record(reader, dossier_id, "view", entry.subject_id)[1]
    read = []

    def counted(canonical, folder):
        read.append(canonical)
        return write_remaining_levels(canonical, folder)

    monkeypatch.setattr(views, "write_remaining_levels", counted)
    together = Barrier(AT_ONCE)

    def ask(column: int) -> bool:
        together.wait()
        return tile_path(bench, view.canonical_sha256, tile_name(12, column, 0)).is_file()

    with ThreadPoolExecutor(AT_ONCE) as pool:
        assert all(pool.map(ask, range(AT_ONCE)))
    assert len(read) == 1


@pytest.mark.parametrize(
    ("maker", "model", "told"),
    [
        ("Inventa", "Inventa M2", "camera: Inventa M2"),
        ("INVENTA", "Inventa M2", "camera: Inventa M2"),
        ("Inventa", "M2", "camera: Inventa M2"),
        ("Inventa", "", "camera: Inventa"),
        ("", "M2", "camera: M2"),
    ],
)
def test_a_camera_is_named_once(
    bench, author, dossier_id, tmp_path, maker: str, model: str, told: str
) -> None:
    path = tmp_path / "shot.jpg"
    exif = Image.Exif()
    exif.update({ExifTags.Base.Make: maker, ExifTags.Base.Model: model})
    Image.new("RGB", (64, 48), (120, 110, 90)).save(path, exif=exif)
    entry = import_photograph(bench, author, dossier_id, path, "shot.jpg")
    with bench.store.reading() as reader:
        view = current_record(reader, dossier_id, "view", entry.subject_id)[1]
    assert told in view.intake_notes
