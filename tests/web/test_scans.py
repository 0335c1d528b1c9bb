"""The scan pages: brought in, confirmed, computed, picked, refused; without script as with it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

from tests.intake.scan_files import ply_of
from tests.science.solid.bodies import path, turned
from tests.services.scanned import on_bone, write_bone

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi.testclient import TestClient

JSON = {"X-Softmend": "1"}


def bring_in(client: TestClient, dossier_id: str, file: Path) -> str:
    """Bring a scan in as a browser without script does; return the address of its page."""
    base = f"/dossiers/{dossier_id}/scans"
    with file.open("rb") as stream:
        sent = client.post(base, files={"scan": ("bone.ply", stream)})
    assert sent.status_code == 303, sent.text
    page = client.get(sent.headers["location"])
    original = re.search(r'name="original" value="([0-9a-f]{64})"', page.text)
    assert original is not None
    taken = client.post(
        f"{base}/taken", data={"original": original[1], "name": "bone.ply", "shows": "<b>bone</b>"}
    )
    assert taken.status_code == 303
    return settled(client, taken)[0]


def settled(client: TestClient, sent: Any) -> tuple[str, str]:
    """Return a scan's address and page; without jobs what was asked is computed at once."""
    assert sent.status_code == 303, sent.text
    address = sent.headers["location"].partition("?")[0]
    page = client.get(address).text
    assert "Compute</button>" not in page
    return address, page


def test_a_scan_is_brought_in_confirmed_weighed_and_held(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    address = bring_in(client, dossier_id, write_bone(tmp_path))
    page = client.get(address).text
    assert "&lt;b&gt;bone&lt;/b&gt;" in page
    assert "no millimetre and no gram before" in page
    sent = client.post(f"{address}/length", data={"length_mm": "340", "expanded_mm": "1"})
    page = settled(client, sent)[1]
    assert "Two independent volumes agree" in page
    assert "Show the working of Volume and area" in page
    sent = client.post(f"{address}/matter", data={"material": "antler (compact)"})
    assert "Mass, computed" in settled(client, sent)[1]
    sent = client.post(f"{address}/holding", data={"down": "0 1 0", "pad_length_mm": "20"})
    page = settled(client, sent)[1]
    assert "Try the pads" in page
    assert "Not a lifting calculation" in page
    assert "never to rebuild a missing end" in page
    glb = client.get(f"{address}/display.glb")
    assert glb.content[:4] == b"glTF"
    cut = client.post(f"/api/v1{address}/section", json={"plane_mm": 170}, headers=JSON).json()
    assert cut["answer"] == "answer"
    assert cut["area"].endswith("mm²")
    assert cut["greatest_width"].endswith("mm")
    assert len(cut["outlines"]) == 1
    moved = client.post(f"/api/v1{address}/pads", json={"at_percent": [15, 80]}, headers=JSON)
    assert moved.status_code == 200
    assert moved.json()["stands"]
    still = client.post(f"{address}/stills", data={"shows": "left", "look": "along +x"})
    assert still.status_code == 303
    shown = re.search(r'src="([^"]+\.svg)"', client.get(address).text)
    assert shown is not None
    assert client.get(shown[1]).text.startswith("<svg")
    listed = client.get(f"/dossiers/{dossier_id}/scans").text
    assert "closed, every face the same way" in listed


def test_old_fills_are_typed_into_the_mass_and_stand_in_its_answer_and_working(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    address = bring_in(client, dossier_id, write_bone(tmp_path))
    client.post(f"{address}/length", data={"length_mm": "340", "expanded_mm": "1"})
    form: dict[str, Any] = {
        "material": "antler (compact)",
        "fill_volume_ml": ["", "20", "5"],
        "fill_volume_expanded_ml": ["", "4", "1"],
        "fill_density_g_per_ml": ["", "1.15", "1.7"],
        "fill_density_expanded_g_per_ml": ["", "0.05", "0.2"],
        "fill_at": ["", "0 0 300", "0 0 60"],
    }
    page = settled(client, client.post(f"{address}/matter", data=form))[1]
    told = re.sub(r"<[^>]+>", " ", page)
    assert re.search(r"Old fill 1, at 0, 0, 300: volume\s+20.0 ± 4.0 mL", told)
    assert re.search(r"Old fill 2: density\s+1.70 ± 0.20 g/mL", told)
    assert "old fill 2, at 0, 0, 60: volume" in told
    assert re.search(r'name="fill_at"[^>]*>0 0 300</textarea>', page)
    based_on = re.search(r'action="[^"]+/matter".*?name="based_on" value="([^"]+)"', page, re.S)
    assert based_on is not None
    form["based_on"] = based_on[1]
    for column, wrong, sentence in (
        ("fill_at", "", "is one place"),
        ("fill_volume_expanded_ml", "30", "outside what is possible"),
        ("fill_density_g_per_ml", "", "The density of old fill 2"),
    ):
        refused = client.post(
            f"{address}/matter", data={**form, column: ["", wrong, form[column][2]]}
        )
        assert refused.status_code == 422
        assert sentence in refused.text


def test_a_void_stands_among_the_fills_of_the_proposal_with_its_scan(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    address = bring_in(client, dossier_id, write_bone(tmp_path))
    client.post(f"{address}/length", data={"length_mm": "340", "expanded_mm": "1"})
    rim = "\n".join(" ".join(str(x) for x in on_bone(170 + 6 * k)) for k in range(6))
    sent = client.post(f"{address}/voids", data={"what": "pit", "rim": rim, "inside": "0 -14 170"})
    settled(client, sent)
    page = client.get(f"/dossiers/{dossier_id}/propose/fills").text
    assert "Void 1: pit" in page
    assert f'href="{address}?at=voids"' in page
    assert "never to rebuild a missing end" in page


def test_a_void_is_summed_planned_and_linked_on_the_pages(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    corners = [(0, 0), (60, 0), (60, 50), (10, 50), (10, 35), (0, 35)]
    block = turned(path([(float(r), float(z)) for r, z in corners], 2.5), 72)
    file = tmp_path / "block.ply"
    file.write_bytes(ply_of(block.points, block.faces))
    address = bring_in(client, dossier_id, file)
    client.post(f"{address}/length", data={"length_mm": "130", "expanded_mm": "0.5", "unit": "mm"})
    turns = [0.02 + k * math.pi / 4 for k in range(8)]
    rim = "\n".join(f"{10.3 * math.cos(t):.4f} {10.3 * math.sin(t):.4f} 50" for t in turns)
    void = {"what": "old dowel hole", "rim": rim, "inside": "0 0 35", "layer_mm": "4",
            "mouth": "a hole in the surface", "low": "0.2", "typical": "0.3", "high": "0.5",
            "material": "tissue or pulp + PVAc dispersion"}  # fmt: skip
    page = settled(client, client.post(f"{address}/voids", data=void))[1]
    assert "Link this void with its mark to ask which gives first." in page
    linked = re.search(r'action="([^"]+/voids/[^"]+/mark)"', page)
    assert linked is not None
    refused = client.post(linked[1], data={"mark_id": "no-such-mark"})
    assert refused.status_code == 404
    fills = client.get(f"/dossiers/{dossier_id}/propose/fills").text
    assert re.search(r"All cracks and voids together, to fill: 4\.\d+", fills)
    assert "Link this void with its mark to ask which gives first." in fills
    quantities = client.get(f"/dossiers/{dossier_id}/quantities").text
    assert '<td class="number">V1</td><td>void 1 of scan 1</td>' in quantities
    hours = client.get(f"/dossiers/{dossier_id}/propose/hours/new").text
    assert "0.8 to 2 h, likely 1.2 h" in hours
    assert "void of scan 1: 4 layers of 0.2 to 0.5 h (estimated)" in hours
    assert "then waits for drying, about 8 days" in hours


def test_picks_are_snapped_and_nonsense_is_refused_in_a_sentence(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    address = bring_in(client, dossier_id, write_bone(tmp_path))
    x, y, z = on_bone(170)
    snap = f"/api/v1{address}/snap"
    found = client.post(snap, json={"places": [[x, y - 1, z]]}, headers=JSON)
    assert abs(found.json()["places"][0][1] - y) < 0.2
    far = client.post(snap, json={"places": [[1e9, 0, 0]]}, headers=JSON)
    assert far.status_code == 422
    assert "far from the scan" in far.json()["error"]["sentence"]
    pads = client.post(f"/api/v1{address}/pads", json={"at_percent": [10]}, headers=JSON)
    assert pads.status_code == 422
    wrong = client.post(f"{address}/lines", data={"what": "crack", "picks": "1 2 three"})
    assert wrong.status_code == 422
    assert "a line is no place" in wrong.text
    belied = client.post(
        f"{address}/length", data={"length_mm": "340", "expanded_mm": "1", "unit": "inch"}
    )
    assert belied.status_code == 422
    assert "does not fit a scan in inch" in belied.text
    look = client.post(f"{address}/stills", data={"shows": "left"})
    assert look.status_code == 422
    assert "Choose a look along an axis" in look.text


def test_a_hostile_scan_says_why_and_stays_out(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    base = f"/dossiers/{dossier_id}/scans"
    sent = client.post(base, files={"scan": ("x.stl", b"solid nothing\n" * 40)})
    assert sent.status_code == 422
    assert "STL" in sent.text
    assert "No scan yet" in client.get(base).text


def test_two_scans_are_compared_on_a_page_that_asks_for_their_lengths_first(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    first = bring_in(client, dossier_id, write_bone(tmp_path))
    other = tmp_path / "later.ply"
    other.write_bytes(write_bone(tmp_path).read_bytes() + b" ")
    later = bring_in(client, dossier_id, other)
    pair = {"earlier": first.rpartition("/")[2], "later": later.rpartition("/")[2]}
    address = f"/dossiers/{dossier_id}/scans/compare"
    assert "Both scans need their measured length" in client.get(address, params=pair).text
    for one in (first, later):
        client.post(f"{one}/length", data={"length_mm": "340", "expanded_mm": "1"})
    sent = client.post(address, data={**pair, "level_mm": "0.2", "changed": "0 -14 170"})
    assert sent.status_code == 303, sent.text
    page = client.get(address, params=pair).text
    assert "below: nothing is claimed" in page
    assert "Nothing is above the level of 0.2 mm" in page
    shown = re.search(r'src="([^"]+\.svg)"', page)
    assert shown is not None
    assert "nothing is claimed" in client.get(shown[1]).text
    looked = {**pair, "shows": "along it", "look": "along +x"}
    assert client.post(f"{address}/still", data=looked).status_code == 303
    assert "2 · along it" in client.get(address, params=pair).text
    assert client.post(f"{address}/still", data={**looked, "shows": ""}).status_code == 422
    # A changed length opens the pair's question again; one button answers all that is open.
    listing = f"/dossiers/{dossier_id}/scans"
    assert "Compute what is open" not in client.get(listing).text
    based_on = re.search(r'action="[^"]+/length".*?name="based_on" value="([^"]+)"',
                         client.get(later).text, re.S)  # fmt: skip
    assert based_on is not None
    longer = {"length_mm": "340.1", "expanded_mm": "1", "based_on": based_on[1]}
    client.post(f"{later}/length", data=longer)
    stale = client.get(address, params=pair).text
    assert "Stale, because the scan length changed on" in stale
    assert "the picture was drawn from an answer that no longer holds" in stale.lower()
    assert "Compute what is open" in client.get(listing).text
    assert client.post(f"{listing}/compute").status_code == 303
    assert "Compute what is open" not in client.get(listing).text
    assert "Stale, because" not in client.get(address, params=pair).text
    colours = client.get(f"{address}/colours.f32", params=pair)
    assert colours.status_code == 200
    assert len(colours.content) % 4 == 0
    wrong = client.post(address, data={**pair, "earlier_picks": "1 2 3"})
    assert wrong.status_code == 422
    assert "one for one" in wrong.text
