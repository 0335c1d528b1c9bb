"""Vendored files are byte for byte those that were published, and name nothing to fetch from."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path

import pytest

from tools.vendor import SHELVES, Shelf, differences

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "softmend" / "web" / "static"


@pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.manifest.parent.parent.name)
def test_every_vendored_file_is_as_published(shelf: Shelf) -> None:
    assert differences(shelf) == []


@pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.manifest.parent.parent.name)
def test_nothing_stands_beside_the_manifest_that_it_does_not_name(shelf: Shelf) -> None:
    packages = json.loads(shelf.manifest.read_text(encoding="utf-8"))["packages"]
    named = {shelf.folder / path for package in packages for path in package["files"]}
    folders = {path.parent for path in named}
    there = {file for folder in folders for file in folder.iterdir() if file.is_file()}
    assert there - named - {shelf.manifest} == set()


@pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.manifest.parent.parent.name)
def test_every_package_carries_its_licence(shelf: Shelf) -> None:
    for package in json.loads(shelf.manifest.read_text(encoding="utf-8"))["packages"]:
        assert package["licence"]
        assert any("LICENSE" in path for path in package["files"]), package["name"]


def test_what_is_bundled_is_of_the_versions_that_the_lock_pins() -> None:
    lock = json.loads((ROOT / "tools" / "js" / "package-lock.json").read_text(encoding="utf-8"))
    pinned = {name: one["version"] for name, one in lock["packages"].items() if "version" in one}
    packages = {one.name: one.version for shelf in SHELVES for one in shelf.packages}
    for name in ("three", "three-mesh-bvh"):
        assert pinned[f"node_modules/{name}"] == packages[name]


def test_a_changed_file_is_found(tmp_path: Path) -> None:
    (tmp_path / "x.js").write_text("changed")
    entry = {"name": "x", "version": "1", "licence": "MIT", "files": {"x.js": "0" * 64, "y.js": ""}}
    manifest = tmp_path / "manifest.json"
    manifest.write_text(json.dumps({"packages": [entry]}))
    found = differences(Shelf(tmp_path, manifest, ()))
    assert found == [
        f"{manifest}: packages differ from tools/vendor.py",
        "x.js: changed since it was copied",
        "y.js: missing",
    ]


def test_the_policy_allows_exactly_the_style_that_the_picture_library_adds() -> None:
    """The text is written out here as a person reads it in the library's documented source."""
    text = (
        "@media (hover: none) {    .openseadragon-canvas:focus {"
        "        outline: none !important;    }}"
    )
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    packages = json.loads((STATIC / "vendor" / "manifest.json").read_text())["packages"]
    sources = [p["csp_style_source"] for p in packages if "csp_style_source" in p]
    assert sources == [f"'sha256-{digest}'"]


def test_our_scripts_and_sheets_fetch_from_nowhere_else() -> None:
    ours = [*STATIC.glob("js/**/*.js"), *STATIC.glob("css/*.css")]
    assert ours
    for file in ours:
        text = file.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert "http:" not in text, file.name
        assert "https:" not in text, file.name
        assert "//cdn" not in text, file.name
