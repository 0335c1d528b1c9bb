"""No file names a package registry's host or an address to download a package from."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.house.sources import files_of_the_project, name_of

if TYPE_CHECKING:
    from pathlib import Path

# Written in two pieces, so that this file does not name them either.
HOSTS = tuple(
    left + right
    for left, right in (
        ("py", "pi.org"),
        ("python", "hosted.org"),
        ("npm", "js.org"),
        ("npm", "js.com"),
        ("yarn", "pkg.com"),
        ("crates", ".io"),
        ("proxy.", "golang.org"),
        ("deb.", "debian.org"),
        ("deb.", "nodesource.com"),
        ("repo1.", "maven.org"),
        ("conda.", "anaconda.org"),
        ("un", "pkg.com"),
        ("js", "delivr.net"),
        ("cdn", "js.cloudflare.com"),
    )
)
DOWNLOAD = re.compile(
    r"(?:https?|ftp)://[^\s\"'<>)\]]+\.(?:whl|tgz|tar\.(?:gz|xz|bz2)|zip|deb|rpm|exe|msi|dmg|jar)\b"
)
FILES = [path for path in files_of_the_project() if b"\0" not in path.read_bytes()[:8192]]


def addresses(text: str) -> list[str]:
    """Return the registry hosts and download addresses in a text."""
    lowered = text.lower()
    return [host for host in HOSTS if host in lowered] + DOWNLOAD.findall(text)


def test_there_are_files_to_read() -> None:
    assert len(FILES) > 20


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_no_registry_and_no_download_is_named(path: Path) -> None:
    assert addresses(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "planted",
    [
        f"--index-url https://{HOSTS[0]}/simple",
        f'"resolved": "registry.{HOSTS[2].upper()}/x"',
        "https://example.org/files/softmend-1.0-py3-none-any" + ".whl",
        "see http://example.org/a.tar" + ".gz.",
    ],
)
def test_a_planted_address_is_found(planted: str) -> None:
    assert addresses(planted)


def test_an_ordinary_link_is_let_through() -> None:
    assert addresses("https://example.org/softmend and https://doi.org/10.1000/182.") == []
