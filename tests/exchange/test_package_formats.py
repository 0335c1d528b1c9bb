"""Packages as other programs read them: bags, crates, manifests, linked data, tables."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
import json
import zipfile
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import bagit
import cromulent
import iiif_prezi3
import pydantic
import pytest
import rocrate
from PIL import Image
from pyld import jsonld
from rocrate.rocrate import ROCrate

from softmend.exchange.bagit import zip_date
from softmend.exchange.jpeg_size import jpeg_size
from softmend.exchange.tables_csv import cell
from softmend.services.bench import Bench
from softmend.services.deposit.archive import pack
from softmend.services.deposit.outward import Receiver
from softmend.services.fake_store import FakeStore
from tests.services.deposit_sample import author_at, worked_dossier

if TYPE_CHECKING:
    from pathlib import Path

RECEIVERS = {"public": Receiver(), "custodian": Receiver("an archive", with_names=True)}
CRM = "http://www.cidoc-crm.org/cidoc-crm/"


@pytest.fixture(scope="module", params=sorted(RECEIVERS))
def bag(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a package of either kind, taken out of its ZIP file by the standard library."""
    folder = tmp_path_factory.mktemp(request.param)
    bench = Bench(FakeStore())
    dossier_id = worked_dossier(bench, author_at(bench), folder / "letter.pdf")
    made = pack(bench, dossier_id, folder / "package.zip", receiver=RECEIVERS[request.param])
    bench.store.close()
    with zipfile.ZipFile(made.path) as archive:
        archive.extractall(folder)
    return folder / f"softmend-{dossier_id}"


def offline(contexts: dict[str, Any]) -> Any:
    """Return a loader that knows these contexts and never asks a network."""

    def load(url: str, _options: Any) -> dict[str, Any]:
        return {"documentUrl": url, "contextUrl": None, "document": contexts[url]}

    return load


def said_in(path: Path) -> Any:
    return json.loads(path.read_text("utf-8"))


# The library is the reference reader of the format's authors.
def test_the_bag_is_valid_to_an_independent_reader(bag: Path) -> None:
    read = bagit.Bag(str(bag))
    read.validate(processes=1)
    assert read.version_info == (1, 0)
    assert sorted(read.algorithms) == ["sha256", "sha512"]
    told = (bag / "data" / "README.txt").read_bytes()
    (bag / "data" / "README.txt").write_bytes(told.swapcase())
    with pytest.raises(bagit.BagValidationError):
        bagit.Bag(str(bag)).validate(processes=1)
    (bag / "data" / "README.txt").write_bytes(told)


def test_the_zip_has_one_folder_and_one_date_and_nothing_compressed(bag: Path) -> None:
    with zipfile.ZipFile(bag.parent / "package.zip") as archive:
        assert archive.testzip() is None
        assert {part.filename.partition("/")[0] for part in archive.infolist()} == {bag.name}
        assert len({part.date_time for part in archive.infolist()}) == 1
        assert {part.compress_type for part in archive.infolist()} == {zipfile.ZIP_STORED}


@pytest.mark.parametrize(
    ("at", "date"),
    [
        ("2026-03-02T09:15:31.250Z[Europe/Oslo]", (2026, 3, 2, 9, 15, 31)),
        ("1969-07-20T20:17:40.000Z[UTC]", (1980, 7, 20, 20, 17, 40)),
    ],
)
def test_a_zip_is_dated_by_its_newest_entry(at: str, date: tuple[int, ...]) -> None:
    assert zip_date(at) == date


def test_the_crate_is_read_back_and_names_every_part(bag: Path) -> None:
    crate = ROCrate(str(bag / "data"))
    named = {entity.id for entity in crate.data_entities}
    here = {
        path.relative_to(bag / "data").as_posix()
        for path in (bag / "data").rglob("*")
        if path.is_file()
    }
    assert named == here - {"ro-crate-metadata.json"}
    assert crate.metadata["conformsTo"] == "https://w3id.org/ro/crate/1.2"
    for name in ("name", "description", "datePublished", "license", "identifier"):
        assert crate.root_dataset[name]
    for entity in crate.data_entities:
        assert int(entity["contentSize"]) == (bag / "data" / entity.id).stat().st_size


def test_every_word_of_the_crate_is_in_its_context(bag: Path) -> None:
    # The library carries the context of version 1.3; every term of ours is in 1.2 already.
    context = json.loads((files(rocrate) / "data" / "ro-crate.jsonld").read_text("utf-8"))
    said = said_in(bag / "data" / "ro-crate-metadata.json")
    loader = offline({"https://w3id.org/ro/crate/1.2/context": context})
    expanded = jsonld.expand(said, {"documentLoader": loader, "base": "arcp://uuid,x/"})
    assert len(expanded) == len(said["@graph"])
    for entity, plain in zip(
        sorted(expanded, key=lambda each: each["@id"].removeprefix("arcp://uuid,x/")),
        sorted(said["@graph"], key=lambda each: each["@id"].removeprefix("./")),
        strict=True,
    ):
        assert len(entity) == len(plain)
        assert all(name.startswith(("http://", "https://", "@")) for name in entity)


def test_the_manifest_is_read_by_an_independent_model(bag: Path) -> None:
    said = said_in(bag / "data" / "iiif" / "manifest.json")
    read = iiif_prezi3.Manifest(**said)
    assert [canvas.label["en"] for canvas in read.items] == [
        ["View 1: front"],
        ["View 2: front"],
    ]
    assert [canvas.height for canvas in read.items] == [120, 120]
    first = said["items"][0]
    assert [item["type"] for item in first["annotations"][0]["items"]] == ["Annotation"]
    assert first["annotations"][0]["items"][0]["target"]["source"] == first["id"]
    first["height"] = "tall"
    with pytest.raises(pydantic.ValidationError, match=r"items\.0\.height"):
        iiif_prezi3.Manifest(**said)


def test_every_address_in_the_manifest_is_the_path_of_a_part_or_stays_within(bag: Path) -> None:
    said = said_in(bag / "data" / "iiif" / "manifest.json")
    base = said["id"].removesuffix("iiif/manifest.json")
    assert base.startswith("https://softmend.invalid/")
    for canvas in said["items"]:
        body = canvas["items"][0]["items"][0]["body"]
        picture = bag / "data" / body["id"].removeprefix(base)
        with Image.open(picture) as shown:
            assert shown.size == (body["width"], body["height"])
        assert "#" not in canvas["id"]
        assert (canvas["width"], canvas["height"]) == (160, 120)


def test_linked_art_expands_to_the_classes_and_properties_of_the_crm(bag: Path) -> None:
    context = json.loads((files(cromulent) / "data" / "linked-art.json").read_text("utf-8"))
    loader = offline({"https://linked.art/ns/v1/linked-art.json": context})
    said = said_in(bag / "data" / "linked-art" / "object.json")
    (expanded,) = jsonld.expand(said, {"documentLoader": loader})
    assert expanded["@type"] == [f"{CRM}E22_Human-Made_Object"]
    assert unknown_words(said, expanded) == []
    assessments = expanded[f"{CRM}P34i_was_assessed_by"]
    assert {each["@type"][0] for each in assessments} == {f"{CRM}E14_Condition_Assessment"}
    states = [each[f"{CRM}P35_has_identified"][0] for each in assessments]
    assert {each["@type"][0] for each in states} == {f"{CRM}E3_Condition_State"}
    (material,) = expanded[f"{CRM}P45_consists_of"]
    assert material["@type"] == [f"{CRM}E57_Material"]
    for each in assessments:
        (who,) = each[f"{CRM}P14_carried_out_by"]
        assert who["@id"].startswith("urn:uuid:")
    done = expanded.get(f"{CRM}P31i_was_modified_by", [])
    # In public too: the log leaves without minutes, so that it tells nobody's speed.
    assert len(done) == 1
    for each in done:
        assert each["@type"] == [f"{CRM}E11_Modification"]
        assert each[f"{CRM}P126_employed"][0]["@type"] == [f"{CRM}E57_Material"]
    quads = jsonld.to_rdf(said, {"documentLoader": loader})["@default"]
    assert len(quads) > 50


def unknown_words(said: Any, expanded: Any) -> list[str]:
    """Return the names that expansion dropped, by counting the texts that are left."""
    left = json.dumps(expanded, ensure_ascii=False)
    return [text for text in texts_in(said) if json.dumps(text, ensure_ascii=False) not in left]


def texts_in(said: Any) -> list[Any]:
    if isinstance(said, dict):
        return [
            text
            for name, value in said.items()
            if name not in {"@context", "type"}
            for text in texts_in(value)
        ]
    if isinstance(said, list):
        return [text for value in said for text in texts_in(value)]
    return [said]


def test_web_annotations_say_what_the_marks_say(bag: Path) -> None:
    page = said_in(bag / "data" / "annotations" / "view-001.json")
    assert len(iiif_prezi3.AnnotationPage(**page).items) == 1
    (item,) = page["items"]
    words = {body["purpose"]: body["value"] for body in item["body"]}
    assert (words["identifying"], words["classifying"]) == ("1", "crack")
    named = item["target"]["source"]["digest_sha256"]
    assert (bag / "data" / "files" / named).is_file()


def test_tables_are_read_back_by_the_standard_library(bag: Path) -> None:
    tables = {}
    for path in (bag / "data" / "tables").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as rows:
            tables[path.stem] = list(csv.DictReader(rows, strict=True))
        assert all(None not in row and None not in row.values() for row in tables[path.stem])
    crack, lost = tables["mark"]
    assert crack["note_observed"] == "'=2+3 is no formula\nand “quotes”, commas"
    assert json.loads(crack["sightings"])[0]["geometry"]["shape"] == "LineString"
    assert (lost["number"], lost["term_id"]) == ("2", "loss")
    # 80.6 px at 2 px/mm, worked by hand from the two clicks and the line of the sample.
    length = next(row for row in tables["quantities"] if row["quantity"] == "length")
    assert float(length["value"]) == pytest.approx((70**2 + 40**2) ** 0.5 / 2, abs=0.6)
    assert (length["of"], length["unit"], length["kind"]) == ("mark 1", "mm", "derived")
    numbers = [int(row["number"]) for row in tables["journal"]]
    assert numbers == list(range(1, 18))
    assert {row["content"] for row in tables["journal"]} <= {"here", "withheld", "withdrawn"}


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "true"),
        (-0.5, "-0.5"),
        (1e21, "1e+21"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("plain", "plain"),
        (("a", {"b": 1}), '["a",{"b":1}]'),
    ],
)
def test_a_cell_never_runs_in_a_spreadsheet(value: object, text: str) -> None:
    assert cell(value) == text


@pytest.mark.parametrize(("width", "height"), [(1, 1), (321, 77), (4000, 3)])
@pytest.mark.parametrize("progressive", [True, False])
def test_the_size_of_a_jpeg_is_the_one_that_another_reader_sees(
    width: int, height: int, progressive: bool
) -> None:
    made = io.BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "x" * 3000
    picture = Image.new("RGB", (width, height))
    picture.save(made, "JPEG", progressive=progressive, exif=exif)
    made.seek(0)
    assert jpeg_size(made) == (width, height)
