"""The wheel holds all that the program needs, so that pipx can install it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.house.sources import PACKAGE, ROOT, files_of_the_project

OURS = {
    path.relative_to(PACKAGE.parent).as_posix()
    for path in files_of_the_project()
    if path.is_relative_to(PACKAGE)
}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dist")
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel"]
    subprocess.run([*build, "--directory", folder], cwd=ROOT, check=True, capture_output=True)
    return next(folder.glob("softmend-*-py3-none-any.whl"))


def test_every_page_font_and_table_is_in_the_wheel(wheel: Path) -> None:
    assert {Path(name).suffix for name in OURS} >= {".py", ".html", ".css", ".js", ".csv", ".ttf"}
    with zipfile.ZipFile(wheel) as archive:
        assert set(archive.namelist()) >= OURS


def test_the_wheel_starts_from_a_folder_of_its_own(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")
    script = (
        f"import sys; sys.path.insert(0, {str(tmp_path / 'site')!r}); sys.argv[1:] = ['--version'];"
        "import softmend.cli.main as cli; print(cli.__file__); cli.main()"
    )
    shown = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    where, version = shown.stdout.split()
    assert Path(where).is_relative_to(tmp_path)
    assert version == "0.1.0"
