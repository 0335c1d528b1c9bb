"""Scans are read whole, or refused in one sentence that says what to do; nothing else is opened."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from softmend.errors import InputError, LimitError, NotFoundError
from softmend.intake.scan import read_scan
from softmend.intake.scan_glb_read import _triangles
from softmend.intake.scan_limits import ScanLimits
from tests.intake.scan_files import CORNERS, FACES, REFUSED, WHOLE, stl, written

ROOT = Path(__file__).parents[2]
MOST_S, MOST_BYTES = 5.0, 1_500_000_000


@pytest.mark.parametrize("name", WHOLE)
def test_a_whole_scan_is_read_as_its_file_has_it(tmp_path: Path, name: str) -> None:
    (path,) = written(tmp_path, {name: WHOLE[name]})
    scan = read_scan(path)
    box = scan.points[scan.faces]
    # The node of the plain GLB doubles x and shifts it.
    x = [5, 25] if name == "box.glb" else [0, 10]
    near = 0.01 if name == "draco.glb" else 1e-6
    assert len(scan.faces) == len(FACES)
    assert box.min(axis=(0, 1)) == pytest.approx([x[0], 0, 0], abs=near)
    assert box.max(axis=(0, 1)) == pytest.approx([x[1], 20, 30], abs=near)


def test_a_mirrored_part_keeps_its_faces_outward(tmp_path: Path) -> None:
    (path,) = written(tmp_path, {"mirrored.glb": WHOLE["mirrored.glb"]})
    scan = read_scan(path)
    a, b, c = np.moveaxis(scan.points[scan.faces], 1, 0)
    assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6 == pytest.approx(10 * 20 * 30)


def test_strips_and_fans_are_triangles() -> None:
    corners = np.arange(5)
    assert _triangles(corners, 5).tolist() == [[0, 1, 2], [3, 2, 1], [2, 3, 4]]
    assert _triangles(corners, 6).tolist() == [[0, 1, 2], [0, 2, 3], [0, 3, 4]]


@pytest.fixture(scope="module")
def readings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    folder = tmp_path_factory.mktemp("hostile")
    paths = written(folder, {name: content for name, (content, _) in REFUSED.items()})
    command = [sys.executable, "-m", "tests.intake.measured_scan", *map(str, paths)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return {one["name"]: one for one in map(json.loads, done.stdout.splitlines())}


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_scan_gets_one_sentence_costs_little_and_leaves_nothing(
    readings: dict[str, dict[str, Any]], name: str
) -> None:
    read = readings[name]
    assert read["error"] in {"InputError", "LimitError"}
    sentence = read["sentence"]
    assert REFUSED[name][1] in sentence
    assert sentence.endswith(".")
    assert ". " not in sentence.replace("..", "")
    assert "Traceback" not in sentence
    assert read["remedy"]
    assert read["left"] == []
    assert read["cpu_s"] < MOST_S
    assert read["largest_child_bytes"] < MOST_BYTES


def test_a_face_may_not_name_a_corner_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "box.ply"
    path.write_bytes(WHOLE["text.ply"].replace(b"3 1 7 3", b"3 1 99 3"))
    with pytest.raises(InputError, match="names a corner that is not there"):
        read_scan(path)


def test_limits_hold(tmp_path: Path) -> None:
    (path,) = written(tmp_path, {"box.stl": stl()})
    with pytest.raises(LimitError, match="larger than Softmend opens"):
        read_scan(path, limits=ScanLimits(faces=5))
    with pytest.raises(LimitError, match="larger than Softmend reads"):
        read_scan(path, limits=ScanLimits(file_bytes=100))
    with pytest.raises(LimitError, match="more memory"):
        read_scan(_large(tmp_path), limits=ScanLimits(memory_bytes=330_000_000, bytes_a_face=0))
    with pytest.raises(NotFoundError, match="no such file"):
        read_scan(tmp_path / "none.ply")
    with pytest.raises(InputError, match="not a file"):
        read_scan(tmp_path)


def _large(folder: Path) -> Path:
    path = folder / "large.stl"
    path.write_bytes(stl(CORNERS, np.tile(FACES, (150_000, 1))))
    return path


def test_a_kept_scan_without_a_name_is_known_by_its_bytes(tmp_path: Path) -> None:
    for name in ("box.stl", "text.stl", "box.ply", "box.glb"):
        path = tmp_path / name.replace(".", "_")
        path.write_bytes(WHOLE[name])
        assert len(read_scan(path).faces) == len(FACES)


def test_a_slow_scan_is_stopped(tmp_path: Path) -> None:
    (path,) = written(tmp_path, {"box.stl": stl()})
    started = time.monotonic()
    with pytest.raises((LimitError, InputError), match=r"too long|give up"):
        read_scan(path, limits=ScanLimits(cpu_s=0.001, cpu_s_a_million_faces=0.0))
    assert time.monotonic() - started < 60
