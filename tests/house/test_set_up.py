"""The set-up itself: both databases answer, nothing is skipped, the lock names no host."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from typing import TYPE_CHECKING

import pytest
import sqlalchemy

from tests.house.sources import ROOT, name_of, python_files, run_script, tree_of
from tests.house.test_layers import imports_of
from tests.parts import NOT_TESTS, PARTS, TESTS

if TYPE_CHECKING:
    from pathlib import Path

HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")
NOT_RUN = """
import warnings
import pytest

@pytest.fixture
def nothing(): pytest.skip("no")

@pytest.mark.skip
def test_marked(): pass

def test_called(): pytest.skip("no")

def test_skipped_by_a_fixture(nothing): pass

@pytest.mark.xfail
def test_expected_to_fail(): assert False

@pytest.mark.xfail
def test_expected_to_fail_but_passing(): pass

def test_warning(): warnings.warn("old", DeprecationWarning)

def test_honest(): pass
"""
FILE_NOT_RUN = "import pytest\npytest.importorskip('nothing_of_that_name')\n"


def test_a_database_of_either_kind_keeps_a_row(database_url: str) -> None:
    engine = sqlalchemy.create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(sqlalchemy.text("CREATE TABLE mark (number INTEGER)"))
        connection.execute(sqlalchemy.text("INSERT INTO mark VALUES (7)"))
    with engine.connect() as connection:
        assert connection.scalar(sqlalchemy.text("SELECT number FROM mark")) == 7
    engine.dispose()


def closing_line(folder: Path, planted: str, *workers: str) -> tuple[int, str]:
    """Run our own conftest over a planted test file; return the exit status and the last line."""
    tests = folder / "tests"
    tests.mkdir()
    for name in ("conftest.py", "parts.py"):
        shutil.copy(TESTS / name, tests / name)
    shutil.copy(ROOT / "pyproject.toml", folder)
    (tests / "test_planted.py").write_text(planted)
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-q", *workers],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout.splitlines()[-1]


def test_a_test_that_does_not_run_fails_and_so_does_a_warning(tmp_path: Path) -> None:
    status, last = closing_line(tmp_path, NOT_RUN)
    assert status == 1
    assert last.startswith("4 failed, 1 passed, 2 errors in")


def test_nothing_is_skipped_by_two_workers_either(tmp_path: Path) -> None:
    status, last = closing_line(tmp_path, NOT_RUN, *run_script().TWO_WORKERS)
    assert status == 1
    assert last.startswith("4 failed, 1 passed, 2 errors in")


def test_a_file_that_skips_itself_fails(tmp_path: Path) -> None:
    for number, workers in enumerate([(), run_script().TWO_WORKERS]):
        folder = tmp_path / str(number)
        folder.mkdir()
        status, last = closing_line(folder, FILE_NOT_RUN, *workers)
        assert status != 0
        assert "1 error" in last


def test_every_folder_of_tests_belongs_to_a_part() -> None:
    folders = {entry.name for entry in TESTS.iterdir() if entry.is_dir()} - NOT_TESTS
    assert folders <= {folder for part in PARTS.values() for folder in part}


def pins(name: str) -> set[str]:
    """Return the lines of a locked set that name a package and its version."""
    lines = (ROOT / "requirements" / f"{name}.txt").read_text().splitlines()
    return {line.split("\\")[0].strip() for line in lines if re.match(r"\w", line)}


@pytest.mark.parametrize("name", ["uv", "app", "test"])
def test_every_locked_package_is_pinned_and_hashed(name: str) -> None:
    text = (ROOT / "requirements" / f"{name}.txt").read_text()
    packages = [block for block in re.split(r"\n(?=\S)", text) if not block.startswith("#")]
    assert packages
    for block in packages:
        assert re.match(r"[a-z0-9-]+(\[[a-z,]+\])?==\S+", block), block
        assert HASH.search(block), block


def test_the_lock_holds_every_package_that_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    groups = project["dependency-groups"]
    asked = {
        "app": project["project"]["dependencies"] + groups["build"],
        "test": groups["test"] + groups["lint"],
        "uv": groups["tools"],
    }
    for name, lines in asked.items():
        locked = (ROOT / "requirements" / f"{name}.txt").read_text()
        for line in lines:
            package = re.split(r"[\[><=;]", line)[0].strip().lower()
            assert re.search(rf"^{re.escape(package)}(\[.*?\])?==", locked, re.MULTILINE), line


EXTRAS = {"psycopg", "onnxruntime"}
# A benchmark runs as a script from its folder, where `drawn` lies.
OURS = {"softmend", "tests", "tools", "benchmarks", "drawn", "?"}


@pytest.mark.parametrize(
    ("folders", "name"), [(("src",), "app"), (("tests", "benchmarks"), "test")]
)
def test_every_package_that_is_imported_is_locked(folders: tuple[str, ...], name: str) -> None:
    # An extra is imported where it is installed, as it is for the tests.
    extra = EXTRAS & {pin.split("[")[0].split("==")[0] for pin in pins("test")}
    locked = {pin.split("[")[0].split("==")[0] for pin in pins(name)} | extra
    known = packages_distributions()
    for path in python_files(*folders):
        package = path.name == "__init__.py"
        for line, module in imports_of(tree_of(path), "tests.x", package=package):
            top = module.split(".")[0]
            if top in sys.stdlib_module_names or top in OURS:
                continue
            brought = {re.sub(r"[-_.]+", "-", one).lower() for one in known.get(top, [top])}
            assert brought & locked, f"{name_of(path)}, line {line}: {top} is not in {name}.txt"


def test_the_app_and_the_tests_are_locked_to_the_same_versions() -> None:
    assert pins("app") - pins("test") == set()


def test_run_needs_nothing_but_the_standard_library() -> None:
    done = subprocess.run(
        [sys.executable, "-I", "-S", str(ROOT / "run")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "./run demo" in done.stdout


def test_run_tells_a_user_who_is_not_root_the_one_line_to_type(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    run = run_script()
    monkeypatch.setattr(run, "may_install", lambda: False)
    with pytest.raises(run.SetUpError) as caught:
        run.need_system_packages(["chromium", "libatomic1"], "the browser tests")
    assert str(caught.value) == (
        "for the browser tests, chromium libatomic1 must be installed. Type: "
        "sudo apt-get install -y --no-install-recommends chromium libatomic1"
    )
