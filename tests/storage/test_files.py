"""The folder of files: durable, written once, and clean after those who were cut off."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import os
import stat
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from softmend.errors import InputError, StorageError
from softmend.storage.durable import sync_folder
from softmend.storage.files import FolderFiles
from softmend.storage.lock import locked, try_lock
from tests.storage.small_disk import small_disk

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def files(tmp_path: Path) -> FolderFiles:
    return FolderFiles(tmp_path)


def test_a_file_lies_under_the_beginning_of_its_hash_and_is_read_only(
    files: FolderFiles, tmp_path: Path
) -> None:
    sha256 = files.put(io.BytesIO(b"antler"))
    path = tmp_path / "files" / sha256[:2] / sha256
    assert files.path(sha256) == path
    assert stat.S_IMODE(path.stat().st_mode) == 0o444


def test_file_and_names_are_on_the_disk_before_put_returns(
    files: FolderFiles, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    fsync = os.fsync

    def noted(number: int) -> None:
        order.append("folder" if stat.S_ISDIR(os.fstat(number).st_mode) else "file")
        fsync(number)

    monkeypatch.setattr(os, "fsync", noted)
    files.put(io.BytesIO(b"antler"))
    # The bytes, then the new folder's name in the folder above, then the file's name.
    assert order == ["file", "folder", "folder"]


def test_a_second_put_makes_an_old_file_young_so_that_no_sweep_takes_it(
    files: FolderFiles,
) -> None:
    sha256 = files.put(io.BytesIO(b"antler"))
    os.utime(files.path(sha256), (0, 0))
    files.put(io.BytesIO(b"antler"))
    assert files.sweep((), before=86_400) == []
    os.utime(files.path(sha256), (0, 0))
    assert files.sweep((), before=86_400) == [sha256]


def test_the_sweep_takes_half_arrived_files(files: FolderFiles, tmp_path: Path) -> None:
    old, young = (tmp_path / "files" / f".arriving-{name}" for name in ("old", "young"))
    for path in (old, young):
        path.write_bytes(b"half")
    os.utime(old, (0, 0))
    files.sweep((), before=86_400)
    assert (old.exists(), young.exists()) == (False, True)
    assert list(files.all()) == []


def test_a_working_folder_dies_with_its_program(tmp_path: Path) -> None:
    FolderFiles(tmp_path)
    script = (
        "import os, sys\nfrom pathlib import Path\n"
        "from softmend.storage.files import FolderFiles\n"
        "with FolderFiles(Path(sys.argv[1])).working_folder() as folder:\n"
        "    (folder / 'half').write_bytes(b'x')\n"
        "    os.kill(os.getpid(), 9)\n"
    )
    subprocess.run([sys.executable, "-c", script, tmp_path], env={"PYTHONPATH": "src"}, check=False)
    assert list((tmp_path / "working").rglob("half"))
    files = FolderFiles(tmp_path)
    assert list((tmp_path / "working").iterdir()) == []
    with files.working_folder() as folder:
        (folder / "mine").write_bytes(b"x")
        FolderFiles(tmp_path)
        assert (folder / "mine").exists()


def test_what_is_derived_lies_outside_the_content(files: FolderFiles, tmp_path: Path) -> None:
    folder = files.derived_folder("a" * 64, "tiles-1")
    assert folder == tmp_path / "derived" / ("a" * 64) / "tiles-1"
    with pytest.raises(InputError, match="not the name of a derived folder"):
        files.derived_folder("a" * 64, "../../x")


def test_a_finished_file_from_another_disk_is_copied(files: FolderFiles, tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 1) as disk:
        (disk / "canonical.tif").write_bytes(b"tiff")
        sha256 = files.put_path(disk / "canonical.tif")
    assert files.path(sha256).read_bytes() == b"tiff"


def test_a_lock_waits_and_then_says_so(tmp_path: Path) -> None:
    held = try_lock(tmp_path / "lock")
    assert held is not None
    assert try_lock(tmp_path / "lock") is None
    with (
        pytest.raises(StorageError, match="Close the other Softmend"),
        locked(tmp_path / "lock", 0.1, "Another Softmend is opening this folder"),
    ):
        pytest.fail("the lock was given twice")
    held.close()
    with locked(tmp_path / "lock", 0.1, "Another Softmend is opening this folder"):
        assert try_lock(tmp_path / "lock") is None


def test_a_folder_that_cannot_be_synced_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        sync_folder(tmp_path / "nowhere")
