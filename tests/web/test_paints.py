"""The paints of the house: empty states, a file guessed and confirmed, bottles, lamps, exports."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING

import pytest

from softmend.services.demo.tinting import stock_the_paints
from softmend.services.paints import charts_in, lamps_in, paint_named

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

NM = range(400, 701, 50)
HEAD = "name," + ",".join(f"{nm} nm" for nm in NM)


def line(name: str, share: float) -> str:
    return f"{name}," + ",".join(f"{share + (nm - 400) / 3000:.3f}" for nm in NM)


FILE = "\n".join(
    [HEAD, line("ochre over black", 0.1), line("ochre over white", 0.5), line("bare black", 0.04),
     line("bare white", 0.8)]
)  # fmt: skip


def said(client: TestClient, address: str) -> str:
    return html.unescape(client.get(address).text)


def opened(client: TestClient, text: str, holds: str = "readings") -> str:
    answer = client.post(
        "/paints/file", files={"readings": ("ours.csv", text)}, data={"holds": holds}
    )
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def confirmed(client: TestClient, address: str, **more: object) -> dict:
    file = address.partition("file=")[2].partition("&")[0]
    form = {
        "file_sha256": file, "file_name": "ours.csv", "place": ["0", "1", "2", "3"],
        "paint": ["ochre", "ochre", "", ""], "unit": "as read", "thickness_um": "60",
        "paint_percent": "15", "geometry": "45/0",
        "of": ["film over black", "film over white", "bare black", "bare white"], **more,
    }  # fmt: skip
    return form


def test_an_empty_house_teaches_and_ships_no_paint(client: TestClient) -> None:
    page = said(client, "/paints")
    assert "No paint has been read yet" in page
    assert "The program ships with no paints" in page
    assert "no instrument is needed" in page


def test_a_file_is_shown_on_one_screen_and_recorded_only_when_confirmed(
    client: TestClient, bench
) -> None:
    address = opened(client, FILE)
    page = said(client, address)
    assert "Nothing is recorded yet" in page
    assert page.count('value="ochre"') == 2
    assert "geometry not known" in page
    assert "No paint has been read yet" in said(client, "/paints")
    answer = client.post("/paints/guess", data=confirmed(client, address))
    assert answer.status_code == 303
    with bench.store.reading() as reader:
        kept = paint_named(reader, "ochre")
    assert kept.lacks == ""
    assert kept.paint.readings[0].geometry == "45/0"
    page = said(client, "/paints/of?name=ochre")
    assert "K and S are known at" in page
    assert "The specular of the readings is not known." in page
    assert "ours.csv" in page


def test_a_reading_can_be_left_out(client: TestClient, bench) -> None:
    address = opened(client, FILE)
    kinds = ["film over black", "leave out", "leave out", "leave out"]
    client.post("/paints/guess", data=confirmed(client, address, of=kinds))
    with bench.store.reading() as reader:
        kept = paint_named(reader, "ochre")
    assert [one.of.value for one in kept.paint.readings] == ["film over black"]
    assert "readings: film over white" in said(client, "/paints")


def test_bottles_and_films_are_typed_and_a_wrong_one_is_refused(
    client: TestClient, bench, author
) -> None:
    stock_the_paints(bench, author)
    with bench.store.reading() as reader:
        kept = paint_named(reader, "black")
    form = {
        "name": "black", "based_on": kept.entry_id, "role": "paint", "fades": "no",
        "thickness_um": "55", "paint_percent": "12",
        "stock_name": ["1:20", "", ""], "stock_paint": ["2.5", "", ""],
        "stock_binder": ["17,5", "", ""], "stock_drop": ["0.03", "", ""],
    }  # fmt: skip
    assert client.post("/paints/of", data=form).status_code == 303
    with bench.store.reading() as reader:
        found = paint_named(reader, "black").paint
    assert (found.thickness_um, found.stocks[0].binder_percent) == (55.0, 17.5)
    assert found.readings == kept.paint.readings
    wrong = client.post("/paints/of", data={**form, "stock_paint": ["2,5 %", "", ""]})
    assert wrong.status_code == 422
    assert client.post("/paints/of", data=form).status_code == 409


@pytest.mark.parametrize(("form", "start"), [("csv", b"name,"), ("cgats", b"CGATS.17"),
                                             ("cxf", b"<?xml")])  # fmt: skip
def test_readings_go_out_in_three_forms(client: TestClient, bench, author, form, start) -> None:
    stock_the_paints(bench, author)
    answer = client.get("/paints/export", params={"form": form})
    assert answer.content.startswith(start)
    assert "attachment" in answer.headers["content-disposition"]


def test_lamps_are_named_from_the_set_or_a_file(client: TestClient, bench) -> None:
    named = {"name": "gallery 2", "place": "gallery", "standard": "LED-B3"}
    assert client.post("/paints/lamps", data=named).status_code == 303
    unknown = client.post("/paints/lamps", data={**named, "standard": "moon"})
    assert unknown.status_code == 404
    text = "nm,power own led\n" + "\n".join(f"{nm},{nm - 350}" for nm in range(380, 781, 20))
    address = opened(client, text, "lamp")
    assert "which lamp is it?" in said(client, address)
    file = address.partition("file=")[2].partition("&")[0]
    with bench.store.reading() as reader:
        assert [one.lamp.name for one in lamps_in(reader)] == ["gallery 2"]
    sample = said(client, address).partition('<option value="')[2].partition('"')[0]
    own = {"file_sha256": file, "file_name": "led.csv", "sample": sample, "name": "own",
           "place": "bench"}  # fmt: skip
    assert client.post("/paints/lamps/file", data=own).status_code == 303
    with bench.store.reading() as reader:
        lamp = lamps_in(reader)[1]
    struck = {"kind": "lamp", "subject_id": lamp.subject_id, "based_on": lamp.entry_id,
              "because": "taken down"}  # fmt: skip
    assert client.post("/paints/strike", data=struck).status_code == 303


def test_a_chart_of_ones_own_comes_from_a_file(client: TestClient, bench) -> None:
    rows = "\n".join(line(f"p{n}", 0.1 + 0.1 * n) for n in range(6))
    address = opened(client, f"{HEAD}\n{rows}\n", "chart")
    assert "a chart of 6 patches?" in said(client, address)
    file = address.partition("file=")[2].partition("&")[0]
    form = {"file_sha256": file, "name": "ours", "rows": "2", "columns": "3"}
    assert client.post("/paints/charts", data=form).status_code == 303
    with bench.store.reading() as reader:
        chart = charts_in(reader)[0].chart
    assert len(chart.patches_lab) == 6
    assert client.post("/paints/charts", data={**form, "rows": "4"}).status_code == 422


def test_a_file_that_is_none_is_refused_in_one_sentence(client: TestClient) -> None:
    answer = client.post(
        "/paints/file", files={"readings": ("x.csv", b"\x00\x01\x02")}, data={"holds": "readings"}
    )
    assert answer.status_code == 422
    assert "no text and no XML" in html.unescape(answer.text)


def test_the_house_sets_from_where_a_fill_is_looked_at(client: TestClient) -> None:
    assert "1829 mm, the visitor" in said(client, "/paints")
    assert "common practice, no source" in said(client, "/paints")
    form = {"far_mm": "1200", "near_mm": "200", "note": "the barrier stands at 1.2 m"}
    assert client.post("/paints/distances", data=form).status_code == 303
    assert "the barrier stands at 1.2 m" in said(client, "/paints")
    wrong = client.post("/paints/distances", data={**form, "near_mm": "2000"})
    assert wrong.status_code == 422
    assert "not nearer than the visitor's" in html.unescape(wrong.text)


def test_a_test_of_the_eyes_runs_by_its_own_links_and_is_kept_for_the_person(
    client: TestClient,
) -> None:
    page = said(client, "/paints/eyes")
    assert "How small a difference do your own eyes notice?" in page
    asked = {"test": "0a1b", "distance_mm": "600", "ruler_mm": "79.4"}
    first = client.get("/paints/eyes/look", params={**asked, "answers": "", "said": ""}).text
    assert "1 of 12" in first
    assert first.count("<rect") == 3
    last = client.get("/paints/eyes/look", params={**asked, "answers": "l" * 11, "said": "r"}).text
    assert "bars were found" in last
    kept = client.post("/paints/eyes", data={**asked, "answers": "l" * 11 + "r"})
    assert kept.status_code == 303
    assert "draws this person's eye" in said(client, "/paints/eyes")
    assert "draws this person's eye" in said(client, "/paints")
    refused = client.get("/paints/eyes/look", params={**asked, "distance_mm": "5"})
    assert refused.status_code == 422


def test_the_colour_of_a_lamp_s_light_stands_beside_it(client: TestClient) -> None:
    rows = "\n".join(f"{nm},{2.0 + nm / 100}" for nm in range(360, 781, 5))
    page = said(client, opened(client, f"nm,power warm\n{rows}\n", "lamp"))
    assert re.search(r"power warm: \d{4} K, Ra 9\d", page)
    assert "A high Ra is no promise for a match" in page
    named = {"name": "gallery 2", "place": "gallery", "standard": "LED-B3"}
    assert client.post("/paints/lamps", data=named).status_code == 303
    assert re.search(
        r"gallery · 41\d\d K, Ra 85 · as LED-B3 of the CIE's set", said(client, "/paints")
    )
