"""Copy the browser libraries and the font into the repository, each with licence and SHA-256.

`./run vendor` fetches the published packages with npm, takes the few files named below byte for
byte, and writes a manifest beside them. Nothing is fetched when Softmend runs or is tested.
What a scan page needs of three.js and three-mesh-bvh is bundled once into one module, from the
versions that tools/js/package-lock.json pins. `./run vendor --check` fetches nothing: it compares
the files with the manifests.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import base64
import hashlib
import json
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
STATIC = ROOT / "src" / "softmend" / "web" / "static"
TEST_VENDOR = ROOT / "tests" / "browser" / "vendor"
JS = ROOT / "tools" / "js"
TYPES = JS / "vendor"


@dataclass(frozen=True)
class Package:
    """One published package: which of its files go where, under which licence."""

    name: str
    version: str
    licence: str
    files: dict[str, str] = field(default_factory=dict)  # path in the package -> path in the folder
    bundles: dict[str, str] = field(default_factory=dict)  # our entry in tools/js -> path likewise

    @property
    def paths(self) -> list[str]:
        """Return the paths of its files in the folder, in order."""
        return sorted([*self.files.values(), *self.bundles.values()])


@dataclass(frozen=True)
class Shelf:
    """One manifest and the packages it answers for; paths are relative to `folder`."""

    folder: Path
    manifest: Path
    packages: tuple[Package, ...]


OPENSEADRAGON = "6.1.1"
UPLOT = "1.6.32"
SHELVES = (
    Shelf(
        STATIC,
        STATIC / "vendor" / "manifest.json",
        (
            Package(
                "htmx.org",
                "4.0.1",
                "0BSD",
                {
                    "dist/htmx.min.js": "vendor/htmx/htmx.min.js",
                    "LICENSE": "vendor/htmx/LICENSE",
                },
            ),
            Package(
                "openseadragon",
                OPENSEADRAGON,
                "BSD-3-Clause",
                {
                    "build/openseadragon/openseadragon.min.js": (
                        "vendor/openseadragon/openseadragon.min.js"
                    ),
                    "LICENSE.txt": "vendor/openseadragon/LICENSE.txt",
                },
            ),
            Package(
                "uplot",
                UPLOT,
                "MIT",
                {
                    "dist/uPlot.iife.min.js": "vendor/uplot/uPlot.iife.min.js",
                    "dist/uPlot.min.css": "vendor/uplot/uPlot.min.css",
                    "LICENSE": "vendor/uplot/LICENSE",
                },
            ),
            Package(
                "three",
                "0.187.0",
                "MIT",
                {"LICENSE": "vendor/three/LICENSE"},
                {"scan_bundle.js": "vendor/three/scan_bundle.js"},
            ),
            Package(
                "three-mesh-bvh",
                "0.9.17",
                "MIT",
                {"LICENSE": "vendor/three-mesh-bvh/LICENSE"},
            ),
            Package(
                "source-sans",
                "3.52.0",
                "OFL-1.1",
                {
                    "VF/SourceSans3VF-Upright.ttf": "fonts/SourceSans3VF-Upright.ttf",
                    "LICENSE.md": "fonts/LICENSE.md",
                },
            ),
        ),
    ),
    Shelf(
        TEST_VENDOR,
        TEST_VENDOR / "manifest.json",
        (
            Package(
                "axe-core",
                "4.14.1",
                "MPL-2.0",
                {"axe.min.js": "axe/axe.min.js", "LICENSE": "axe/LICENSE"},
            ),
        ),
    ),
    Shelf(
        TYPES,
        TYPES / "manifest.json",
        (
            Package(
                "openseadragon",
                OPENSEADRAGON,
                "BSD-3-Clause",
                {
                    "types/index.d.ts": "openseadragon/openseadragon.d.ts",
                    "LICENSE.txt": "openseadragon/LICENSE.txt",
                },
            ),
            Package(
                "uplot",
                UPLOT,
                "MIT",
                {"dist/uPlot.d.ts": "uplot/uPlot.d.ts", "LICENSE": "uplot/LICENSE"},
            ),
        ),
    ),
)


def npm() -> str:
    """Return npm's path: the environment's own, else the machine's."""
    beside = shutil.which("npm", path=str(Path(sys.executable).parent))
    found = beside or shutil.which("npm")
    if found is None:
        raise SystemExit("npm is missing; ./run lint sets it up, then run ./run vendor again")
    return found


def unpack(package: Package, into: Path) -> Path:
    """Fetch one package and return the folder of its files."""
    spec = f"{package.name}@{package.version}"
    subprocess.run([npm(), "pack", "--silent", spec], cwd=into, check=True, stdout=sys.stderr)
    archive = into / f"{package.name}-{package.version}.tgz"
    with tarfile.open(archive) as packed:
        packed.extractall(into / package.name, filter="data")
    return into / package.name / "package"


def bundle(entry: str, target: Path) -> None:
    """Bundle one of our entries with what it names, as pinned, into one module."""
    subprocess.run([npm(), "ci", "--prefix", str(JS), "--ignore-scripts", "--silent"], check=True)
    tool = JS / "node_modules" / "@esbuild"
    binary = next(path for path in sorted(tool.glob("*/bin/esbuild*")) if path.is_file())
    order = [str(binary), entry, "--bundle", "--format=esm", "--minify", "--target=es2022"]
    order += ["--legal-comments=inline", "--log-level=warning", f"--outfile={target}"]
    subprocess.run(order, cwd=JS, check=True)


def sha256(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hex."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def injected_style_source(script: Path) -> str:
    """Return the CSP source that allows the one style element OpenSeadragon adds to a page.

    The minifier folds the style into one string literal; a new version that adds another style,
    or words it otherwise, stops here rather than in front of a user.
    """
    text = script.read_text(encoding="utf-8")
    found = re.findall(r"\.textContent=(['\"])(@media.*?)\1", text)
    if len(found) != 1:
        raise SystemExit(f"expected one injected style in {script.name}, found {len(found)}")
    digest = hashlib.sha256(found[0][1].encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def stock(shelf: Shelf) -> None:
    """Fill one shelf and write its manifest."""
    entries = []
    for package in shelf.packages:
        with tempfile.TemporaryDirectory() as scratch:
            source = unpack(package, Path(scratch))
            for inside, outside in package.files.items():
                target = shelf.folder / outside
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(source / inside, target)
            for ours, outside in package.bundles.items():
                bundle(ours, shelf.folder / outside)
        entry: dict[str, object] = {
            "name": package.name,
            "version": package.version,
            "licence": package.licence,
            "files": {path: sha256(shelf.folder / path) for path in package.paths},
        }
        scripts = [p for p in package.files.values() if p.endswith("openseadragon.min.js")]
        if scripts:
            entry["csp_style_source"] = injected_style_source(shelf.folder / scripts[0])
        entries.append(entry)
    text = json.dumps({"packages": entries}, indent=2, ensure_ascii=False)
    shelf.manifest.write_text(text + "\n", encoding="utf-8")


def differences(shelf: Shelf) -> list[str]:
    """Return what stands in a shelf otherwise than its manifest says, one sentence each."""
    written = json.loads(shelf.manifest.read_text(encoding="utf-8"))["packages"]
    wanted = [(p.name, p.version, p.paths) for p in shelf.packages]
    listed = [(p["name"], p["version"], sorted(p["files"])) for p in written]
    found = [] if wanted == listed else [f"{shelf.manifest}: packages differ from tools/vendor.py"]
    for package in written:
        for path, digest in package["files"].items():
            file = shelf.folder / path
            if not file.is_file():
                found.append(f"{path}: missing")
            elif sha256(file) != digest:
                found.append(f"{path}: changed since it was copied")
    return found


def main(arguments: list[str]) -> int:
    """Stock every shelf, or with --check only compare."""
    if arguments == ["--check"]:
        found = [line for shelf in SHELVES for line in differences(shelf)]
        print("\n".join(found) or "vendored files are as published")
        return 1 if found else 0
    for shelf in SHELVES:
        stock(shelf)
        print(f"{shelf.manifest.relative_to(ROOT)} written")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
