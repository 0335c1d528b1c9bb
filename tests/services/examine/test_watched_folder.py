"""The watched folder: shown, never touched; nothing half written, linked or foreign is taken."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import io
import os
import re
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.services.bench import Author, Bench
from softmend.services.examine import watched_folder
from softmend.services.examine.folder_watch import Watch
from softmend.services.examine.views import views_in
from softmend.services.examine.watched_folder import (
    Found,
    Lies,
    bring_in_lying,
    bring_in_next,
    house_folder,
    lying_in_folder,
    watch_folder,
    watch_nothing,
)


class Place:
    """A watched folder, and a clock that runs ahead of the disk's by as much as is said."""

    def __init__(self, bench: Bench, author: Author, dossier_id: str, folder: Path) -> None:
        self.ahead = timedelta(minutes=5)
        self.bench = replace(bench, clock=lambda: datetime.now(UTC) + self.ahead)
        self.author, self.dossier_id, self.folder = author, dossier_id, folder
        self.watch = Watch()
        folder.mkdir()
        watch_folder(self.bench, author, str(folder), "")

    def put(self, name: str, content: bytes, age_s: float = 600) -> Path:
        path = self.folder / name
        path.write_bytes(content)
        os.utime(path, (time.time() - age_s,) * 2)
        return path

    def look(self) -> Found:
        return lying_in_folder(self.bench, self.dossier_id, self.watch)

    def lies(self) -> dict[str, Lies]:
        return {one.name: one.lies for one in self.look().files}

    def take(self, name: str) -> None:
        bring_in_lying(self.bench, self.author, self.dossier_id, self.watch, name)


@pytest.fixture
def place(bench: Bench, author: Author, dossier_id: str, tmp_path: Path) -> Place:
    return Place(bench, author, dossier_id, tmp_path / "camera")


def jpeg(grey: int) -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (80, 60), (grey, grey, grey)).save(kept, "JPEG")
    return kept.getvalue()


def state_of(folder: Path) -> dict[str, tuple[bytes, int, int]]:
    return {
        each.name: (each.read_bytes(), each.stat().st_mtime_ns, each.stat().st_ino)
        for each in folder.iterdir()
    }


def test_a_photograph_is_offered_brought_in_as_an_upload_is_and_then_known(place: Place) -> None:
    content = jpeg(120)
    place.put("DSC_0001.JPG", content)
    before = state_of(place.folder)
    assert place.lies() == {"DSC_0001.JPG": Lies.READY}
    place.take("DSC_0001.JPG")
    with place.bench.store.reading() as reader:
        [(_, view)] = views_in(reader, place.dossier_id)
    assert view.original_name == "DSC_0001.JPG"
    assert view.original_sha256 == hashlib.sha256(content).hexdigest()
    assert (view.width_px, view.height_px) == (80, 60)
    # The same bytes under another name are known too; other bytes as long are not.
    place.put("copy.jpg", content)
    place.put("as-long.jpg", content[:-3] + b"\x00" + content[-2:])
    assert place.lies() == {
        "DSC_0001.JPG": Lies.HERE, "copy.jpg": Lies.HERE, "as-long.jpg": Lies.READY,
    }  # fmt: skip
    assert next(one for one in place.look().files if one.name == "copy.jpg").because == "as view 1"
    with pytest.raises(ConflictError, match="is brought in already, as view 1"):
        place.take("copy.jpg")
    assert {name: state_of(place.folder)[name] for name in before} == before


def test_a_file_still_being_written_waits_whatever_time_it_bears(place: Place) -> None:
    place.ahead = timedelta()
    growing = place.put("DSC_0002.JPG", jpeg(90)[:200])
    # Its own time is ten minutes old, as a copying program sets it; it was written just now.
    assert place.lies() == {"DSC_0002.JPG": Lies.WRITTEN}
    with pytest.raises(InputError, match=r"DSC_0002\.JPG is still being written"):
        place.take("DSC_0002.JPG")
    place.ahead = timedelta(minutes=5)
    assert place.lies() == {"DSC_0002.JPG": Lies.READY}
    growing.write_bytes(jpeg(90))
    assert place.lies() == {"DSC_0002.JPG": Lies.WRITTEN}
    place.ahead += timedelta(seconds=1.5)
    assert place.lies() == {"DSC_0002.JPG": Lies.WRITTEN}
    place.ahead += timedelta(seconds=1)
    assert place.lies() == {"DSC_0002.JPG": Lies.READY}


def test_a_clock_that_runs_ahead_holds_a_file_up_for_one_look_only(place: Place) -> None:
    place.put("DSC_0003.JPG", jpeg(80), age_s=-86_400)
    assert place.lies() == {"DSC_0003.JPG": Lies.WRITTEN}
    place.ahead += timedelta(seconds=3)
    assert place.lies() == {"DSC_0003.JPG": Lies.READY}


def test_a_file_that_cannot_be_opened_yet_counts_as_being_written(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: object) -> bytes:
        raise PermissionError

    place.put("DSC_0004.JPG", jpeg(70))
    with monkeypatch.context() as held:
        held.setattr(watched_folder, "head_of", locked)
        [one] = place.look().files
        assert (one.lies, one.because) == (Lies.WRITTEN, "it cannot be read yet")
    assert place.lies() == {"DSC_0004.JPG": Lies.READY}


def test_half_a_photograph_is_refused_in_one_sentence_until_it_changes(place: Place) -> None:
    place.put("half.jpg", jpeg(60)[:-200])
    with pytest.raises(InputError) as refused:
        place.take("half.jpg")
    [one] = place.look().files
    assert (one.lies, one.because) == (Lies.NOT_READ, refused.value.sentence())
    place.put("half.jpg", jpeg(60))
    place.look()
    place.ahead += timedelta(seconds=3)
    assert place.lies() == {"half.jpg": Lies.READY}


def test_links_hidden_and_unfinished_names_and_folders_are_passed_over(
    place: Place, tmp_path: Path
) -> None:
    secret = tmp_path / "elsewhere.jpg"
    secret.write_bytes(jpeg(50))
    (place.folder / "link.jpg").symlink_to(secret)
    (place.folder / "inside").mkdir()
    (place.folder / "inside" / "deep.jpg").write_bytes(jpeg(50))
    (place.folder / "folder.jpg").symlink_to(tmp_path)
    if hasattr(os, "mkfifo"):
        os.mkfifo(place.folder / "pipe.jpg")
    for name in (".hidden.jpg", "a.jpg.part", "a.TMP", "a.jpg~", "~lock.jpg", "a.crdownload"):
        place.put(name, jpeg(50))
    assert place.lies() == {}
    for name in ("link.jpg", "../elsewhere.jpg", str(secret), "inside/deep.jpg", ".hidden.jpg"):
        with pytest.raises(NotFoundError, match="no longer lies in the watched folder"):
            place.take(name)


def test_a_link_put_in_a_files_place_after_the_look_is_not_followed(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "elsewhere.jpg").write_bytes(jpeg(50))
    path = place.put("DSC_0005.JPG", jpeg(40))
    found = place.look()
    path.unlink()
    path.symlink_to(tmp_path / "elsewhere.jpg")
    monkeypatch.setattr(watched_folder, "lying_in_folder", lambda *_: found)
    with pytest.raises(InputError, match="The file cannot be read"):
        place.take("DSC_0005.JPG")


def test_what_is_no_photograph_is_said_with_its_reason(place: Place) -> None:
    place.put("film.mp4", b"\x00\x00\x00\x18ftypisom" + b"\x00" * 50)
    place.put("empty.jpg", b"")
    told = {one.name: (one.lies, one.because) for one in place.look().files}
    assert {lies for lies, _ in told.values()} == {Lies.NOT_READ}
    assert told["film.mp4"][1].startswith("the file is a film or sound file; allowed: JPEG, PNG")
    assert told["empty.jpg"][1].startswith("the file is empty;")


def test_all_are_brought_in_in_the_order_they_were_taken(place: Place) -> None:
    place.put("b.jpg", jpeg(30), age_s=300)
    place.put("a.jpg", jpeg(20), age_s=200)
    place.put("half.jpg", jpeg(10)[:-200], age_s=250)
    while bring_in_next(place.bench, place.author, place.dossier_id, place.watch):
        pass
    with place.bench.store.reading() as reader:
        names = [view.original_name for _, view in views_in(reader, place.dossier_id)]
    assert names == ["b.jpg", "a.jpg"]
    assert place.lies()["half.jpg"] is Lies.NOT_READ
    assert sorted(each.name for each in place.folder.iterdir()) == ["a.jpg", "b.jpg", "half.jpg"]


def test_no_more_than_five_hundred_files_are_shown_the_newest_first(place: Place) -> None:
    for number in range(503):
        place.put(f"{number:03}.txt", b"x", age_s=100 + number)
    found = place.look()
    assert (len(found.files), found.more) == (500, 3)
    assert [found.files[0].name, found.files[-1].name] == ["000.txt", "499.txt"]


def test_little_is_read_at_one_look_and_the_rest_at_the_next(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = jpeg(120)
    place.put("1.jpg", content)
    place.take("1.jpg")
    monkeypatch.setattr(watched_folder, "HASHED_AT_ONE_LOOK_BYTES", 1)
    place.watch = Watch()
    place.put("2.jpg", content, age_s=900)
    assert place.lies() == {"1.jpg": Lies.HERE, "2.jpg": Lies.COMPARED}
    assert place.lies() == {"1.jpg": Lies.HERE, "2.jpg": Lies.HERE}


def test_a_folder_that_cannot_be_watched_is_refused_in_one_sentence(
    place: Place, bench: Bench, author: Author, tmp_path: Path
) -> None:
    (tmp_path / "file.txt").write_bytes(b"x")
    with bench.store.files.working_folder() as own:
        (tmp_path / "to-own").symlink_to(own)
        for typed, sentence in {
            "": "This is not a whole folder name",
            "camera": "This is not a whole folder name; got camera; Name a folder",
            str(tmp_path / "none"): "The folder is not there",
            str(tmp_path / "file.txt"): "This is not a folder",
            "/a\x00b": "The folder is not there",
            str(own): "This is the folder in which Softmend keeps its own files",
            str(own.parent): "This is the folder in which Softmend keeps its own files",
            str(tmp_path / "to-own"): "This is the folder in which Softmend keeps its own files",
        }.items():
            with pytest.raises(InputError, match=re.escape(sentence)):
                watch_folder(bench, author, typed, "")


def test_a_folder_that_went_or_became_a_link_shows_nothing_and_says_so(
    place: Place, tmp_path: Path
) -> None:
    place.folder.rmdir()
    assert place.look().files == ()
    assert place.look().problem.startswith(f"The folder is not there; got {place.folder};")
    (tmp_path / "private").mkdir()
    (tmp_path / "private" / "a.jpg").write_bytes(jpeg(50))
    place.folder.symlink_to(tmp_path / "private")
    assert place.look().files == ()
    assert place.look().problem.startswith("The folder that is watched now leads elsewhere")


def test_the_folder_is_the_houses_and_the_dossier_says_nothing_of_it(place: Place) -> None:
    with place.bench.store.reading() as reader:
        entry_id, folder = house_folder(reader)
        kinds = {entry.kind for entry in reader.entries(place.dossier_id)}
    assert folder == str(place.folder)
    assert "watched_folder" not in kinds
    with pytest.raises(ConflictError):
        watch_nothing(place.bench, place.author, "")
    watch_nothing(place.bench, place.author, entry_id)
    assert place.look() == Found("")
