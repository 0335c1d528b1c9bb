"""A photograph laid along a scan on its page: picked as text, listed, set aside, linked back."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.services.scanned import on_bone
from tests.services.seen import at_px, crack_at, photographed, protected_at

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

from softmend.records.scan import ScanLength
from softmend.services.examine.views import import_photograph
from softmend.services.solid.asking import keep_answers, measure_later
from softmend.services.solid.scans import confirm_length
from tests.services.scanned import with_scan

PLACES = (20, 170, 320)
PIXELS = "\n".join(f"{x:g}, {y:g}" for x, y in (at_px(z, on_bone(z)[0]) for z in PLACES))
POINTS = "\n".join(" ".join(f"{x:.6g}" for x in on_bone(z)) for z in PLACES)


class There:
    """A dossier with the bone scanned, its unit confirmed, photographed and drawn on."""

    def __init__(self, bench: Bench, author: Author, folder: Path) -> None:
        self.dossier_id, self.scan_id = with_scan(bench, author, folder)
        here = (bench, author, self.dossier_id)
        self.view_id = photographed(*here, folder)
        self.crack_id = crack_at(*here, self.view_id, 120, 160)
        self.zone_id = protected_at(*here, self.view_id, 230)
        confirm_length(*here, self.scan_id, ScanLength(340, 1), "")
        measure_later(bench, None, self.dossier_id, self.scan_id)
        keep_answers(*here, self.scan_id)
        self.scan = f"/dossiers/{self.dossier_id}/scans/{self.scan_id}"
        self.photograph = f"{self.scan}/photographs/{self.view_id}"


@pytest.fixture
def there(bench: Bench, author: Author, tmp_path: Path) -> There:
    return There(bench, author, tmp_path)


def lay(client: TestClient, there: There) -> str:
    """Lay the photograph along the scan; return the scan's page."""
    sent = client.post(there.photograph, data={"on_photograph": PIXELS, "on_scan": POINTS})
    assert sent.status_code == 303, sent.text
    return client.get(f"{there.scan}?at=supports").text


def test_a_photograph_is_laid_along_a_scan_and_its_marks_are_listed(
    client: TestClient, there: There
) -> None:
    page = client.get(there.scan).text
    assert "No photograph is laid along this scan yet" in page
    assert f'href="{there.photograph}">Lay view 1 along it</a>' in page
    picking = client.get(there.photograph).text
    assert "mark 1, crack" in picking
    tile = re.search(r'<image href="([^"]+)"', picking)
    assert tile is not None
    assert client.get(tile[1]).headers["content-type"] == "image/jpeg"
    page = lay(client, there)
    assert "Lay view 1 along it" not in page
    assert f'/marks/{there.crack_id}"><strong>mark 1, crack</strong>' in page
    assert f'/zones/{there.zone_id}"><strong>SZ1, protected evidence</strong>' in page
    assert re.search(r"seen 3\d(\.\d)? – 4\d(\.\d)? % ± \d+(\.\d)? mm; kept clear: ", page) or (
        re.search(r"seen 5\d(\.\d)? – 6\d(\.\d)? % ± \d+(\.\d)? mm; kept clear: ", page)
    )
    assert "A stretch counts all round the object" in page
    assert "Show the working of On view 1: where no support may press" in page
    for kind, subject in (("marks", there.crack_id), ("zones", there.zone_id)):
        on_view = f"/dossiers/{there.dossier_id}/views/{there.view_id}/{kind}/{subject}"
        for told_at in (f"/dossiers/{there.dossier_id}/{kind}/{subject}", on_view):
            told = client.get(told_at).text
            assert "Also on the scan:" in told
            assert f'href="{there.scan}?at=supports"' in told
    new = client.get(f"/dossiers/{there.dossier_id}/views/{there.view_id}/marks/new").text
    assert "Also on the scan:" not in new


def test_a_stretch_or_all_of_a_photograph_is_set_aside_with_a_reason(
    client: TestClient, there: There
) -> None:
    lay(client, there)
    aside = f"{there.scan}/stretches/aside"
    one = {"view_id": there.view_id, "drawn_id": there.crack_id}
    refused = client.post(aside, data=one)
    assert refused.status_code == 422
    assert "set aside for a reason" in refused.text
    sent = client.post(aside, data={**one, "because": "it lies <b>on top</b>"})
    assert sent.status_code == 303
    page = client.get(there.scan).text
    assert "Set aside: it lies &lt;b&gt;on top&lt;/b&gt;" in page
    assert "kept clear: none" in page
    sent = client.post(aside, data={"view_id": there.view_id, "because": "taken from above"})
    assert sent.status_code == 303
    page = client.get(there.scan).text
    assert page.count("kept clear: none") == 2
    assert "Set aside: taken from above" in page
    again = client.post(f"{there.scan}/stretches/again", data={**one, "because": "turned over"})
    assert again.status_code == 303
    assert client.get(there.scan).text.count("kept clear: none") == 1


def test_what_is_wrong_with_the_places_is_said_in_a_sentence(
    client: TestClient, there: There, bench: Bench, author: Author, tmp_path: Path
) -> None:
    for pixels, points, sentence in (
        (PIXELS, POINTS.rpartition("\n")[0], "3 on the photograph, 2 on the scan"),
        ("100 200 300\n1 2", POINTS, "Places on the photograph: a line is no place"),
        ("100 200", POINTS.partition("\n")[0], "2 to 20, along the object"),
        ("100 north", POINTS, "A place on the photograph"),
    ):
        refused = client.post(there.photograph, data={"on_photograph": pixels, "on_scan": points})
        assert refused.status_code == 422
        assert sentence in refused.text
    path = tmp_path / "bare.png"
    Image.new("RGB", (500, 400), (90, 90, 90)).save(path)
    bare = import_photograph(bench, author, there.dossier_id, path, "bare.png").subject_id
    page = client.get(f"{there.scan}/photographs/{bare}").text
    assert "This view has no scale. Set its scale first" in page
    assert "Nothing is drawn on this photograph" in page
    lay(client, there)
    off = client.post(f"{there.photograph}/off", data={"because": "of another object"})
    assert off.status_code == 303
    assert "No photograph is laid along this scan yet" in client.get(there.scan).text
