"""Packages: packed, unpacked, packed again; what is withheld is nowhere in them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import io
import json
import zipfile
from dataclasses import replace
from typing import TYPE_CHECKING

import pikepdf
import pypdfium2
import pytest
from PIL import Image

from softmend.errors import ConflictError, InputError, NoSpaceError, RuleError, StorageError
from softmend.house import opened_house
from softmend.records.dossier import Material, ObjectHead
from softmend.records.handover import HandOver
from softmend.records.view import NotExamined
from softmend.services.deposit.archive import look_into, pack, record_hand_over, unpack
from softmend.services.deposit.outward import NAME_WITHHELD, OPEN_KINDS, Receiver
from softmend.services.dossiers import describe_object
from softmend.services.examine.grades import record_not_examined
from softmend.services.examine.views import import_photograph
from softmend.services.fake_store import FakeStore
from softmend.services.keeping import verify
from softmend.services.people import come_to_the_bench, erase_name
from tests.services.deposit_sample import SECRETS, opened_dossier, worked_dossier

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from softmend.services.bench import Author, Bench

CUSTODIAN = Receiver("The archive of an invented house")
NAMED = replace(CUSTODIAN, with_names=True)


@pytest.fixture
def worked(bench: Bench, author: Author, tmp_path: Path) -> str:
    """A dossier with something of everything, by somebody called Konservator."""
    named = replace(author, person_id=come_to_the_bench(bench, "Ö. Konservator").id)
    return worked_dossier(bench, named, tmp_path / "letter.pdf")


@pytest.fixture
def other_bench(bench: Bench) -> Iterator[Bench]:
    """Another house, empty, on the same clock."""
    store = FakeStore()
    yield replace(bench, store=store)
    store.close()


def parts_of(package: Path) -> dict[str, bytes]:
    """Return the payload of a package."""
    with zipfile.ZipFile(package) as archive:
        return {
            name.partition("/data/")[2]: archive.read(name)
            for name in archive.namelist()
            if "/data/" in name
        }


def everything_readable(package: Path) -> Iterator[tuple[str, str]]:
    """Yield every name and text in a package, those within the PDF and its attachments too."""
    with zipfile.ZipFile(package) as archive:
        for name in archive.namelist():
            yield name, name
            data = archive.read(name)
            yield name, data.decode("latin-1")
            yield name, data.decode("utf-8", "replace")
            if name.endswith(".pdf"):
                for page in pypdfium2.PdfDocument(data):
                    yield name, page.get_textpage().get_text_range()
                with pikepdf.open(io.BytesIO(data)) as pdf:
                    for attached in pdf.attachments.values():
                        yield name, attached.get_file().read_bytes().decode()


@pytest.mark.parametrize("receiver", [CUSTODIAN, NAMED], ids=["unnamed", "named"])
def test_pack_unpack_pack_gives_the_same_bytes(
    bench: Bench, other_bench: Bench, worked: str, tmp_path: Path, receiver: Receiver
) -> None:
    first = pack(bench, worked, tmp_path / "first.zip", receiver=receiver)
    unpack(other_bench, first.path)
    second = pack(other_bench, worked, tmp_path / "second.zip", receiver=receiver)
    assert second.path.read_bytes() == first.path.read_bytes()


def test_every_entry_and_file_comes_back_and_verifies_on_both_databases(
    bench: Bench, worked: str, tmp_path: Path, database_url: str
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=NAMED)
    with opened_house(database_url, tmp_path / "files") as house:
        done = unpack(house.bench, packed.path)
        verified = verify(house.store)
        assert verified.is_sound
        assert verified.file_count == done.file_count == 5
        with house.store.reading() as there, bench.store.reading() as here:
            assert there.entries(worked) == here.entries(worked)
            assert there.projection(worked) == here.projection(worked)
        assert unpack(house.bench, packed.path).was_here


def test_a_public_package_is_the_same_when_packed_twice(
    bench: Bench, worked: str, tmp_path: Path
) -> None:
    first = pack(bench, worked, tmp_path / "first.zip")
    assert pack(bench, worked, tmp_path / "second.zip").sha256 == first.sha256


def test_place_mass_dates_names_originals_and_papers_are_nowhere_in_a_public_package(
    bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip")
    for name, text in everything_readable(packed.path):
        for secret in SECRETS:
            assert secret not in text, name
    whole = pack(bench, worked, tmp_path / "whole.zip", receiver=NAMED)
    found = {
        secret
        for _, text in everything_readable(whole.path)
        for secret in SECRETS
        if secret in text
    }
    assert found == set(SECRETS)


def test_what_a_camera_wrote_into_a_photograph_stays_in_the_house(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    exif = Image.Exif()
    exif[0x013B] = exif[0x010E] = "a secret place"
    exif.get_ifd(0x8825).update({1: "N", 2: (59.0, 54.0, 30.0)})
    original = tmp_path / "secret-name.jpg"
    Image.effect_noise((300, 200), 80).convert("RGB").save(original, exif=exif)
    dossier_id = opened_dossier(bench, author)
    import_photograph(bench, author, dossier_id, original, original.name)
    packed = pack(bench, dossier_id, tmp_path / "package.zip")
    assert not [name for name, text in everything_readable(packed.path) if "secret" in text]
    whole = parts_of(pack(bench, dossier_id, tmp_path / "whole.zip", receiver=CUSTODIAN).path)
    assert original.read_bytes() in whole.values()


def test_a_public_package_names_people_only_when_that_is_asked_for(
    bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=Receiver(with_names=True))
    assert "Konservator" in parts_of(packed.path)["journal/people.jsonl"].decode()
    assert "store nine" not in parts_of(packed.path)["tables/object_head.csv"].decode()


def test_an_erased_name_does_not_come_back(
    bench: Bench, other_bench: Bench, worked: str, tmp_path: Path
) -> None:
    before = pack(bench, worked, tmp_path / "before.zip", receiver=NAMED)
    with bench.store.reading() as reader:
        author_id = reader.entries(worked)[0].author_id
    erase_name(bench, author_id)
    after = pack(bench, worked, tmp_path / "after.zip", receiver=NAMED)
    people = parts_of(after.path)["journal/people.jsonl"].decode()
    assert f'{{"id":"{author_id}","name":null}}\n' in people
    unpack(other_bench, after.path)
    with pytest.raises(ConflictError, match="This file is there already"):
        pack(bench, worked, before.path)
    with other_bench.store.reading() as reader:
        names = {person.id: person.name for person in reader.people()}
    assert names.pop(author_id) is None
    assert list(names.values()) == ["H. Konservator"]


def test_a_withheld_entry_keeps_its_hash_and_is_said_to_be_withheld(
    bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip")
    lines = [
        json.loads(line) for line in parts_of(packed.path)["journal/journal.jsonl"].splitlines()
    ]
    with bench.store.reading() as reader:
        kept = reader.entries(worked)
    assert [line["hash"] for line in lines] == [entry.hash for entry in kept]
    for line, entry in zip(lines, kept, strict=True):
        is_open = entry.kind in OPEN_KINDS
        assert line.get("withheld", False) == (not is_open and entry.payload is not None)
        assert line["payload"] == (entry.payload if is_open else None)
    looked = look_into(packed.path)
    said = [finding.what for finding in looked.findings]
    assert (said.count("withheld"), said.count("withdrawn")) == (packed.withheld_count, 1)
    assert not any(finding.is_damage for finding in looked.findings)


def test_a_public_package_cannot_be_brought_in(
    bench: Bench, other_bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip")
    with pytest.raises(InputError, match="made for the public and cannot be brought in"):
        unpack(other_bench, packed.path)
    with other_bench.store.reading() as reader:
        assert reader.dossier_ids() == []


def test_an_entry_that_stands_in_another_dossier_stops_everything(
    bench: Bench, other_bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=NAMED)
    other = "01900000-0000-7000-8000-000000000000"
    with bench.store.reading() as reader:
        opening = replace(reader.entries(worked)[0], dossier_id=other, subject_id=other)
    with other_bench.store.writing() as writer:
        writer.keep_chain([opening])
        writer.commit()
    with pytest.raises(ConflictError, match="is here in another dossier; nothing was unpacked"):
        unpack(other_bench, packed.path)
    with other_bench.store.reading() as reader:
        assert reader.dossier_ids() == [other]
        assert reader.people() == []


def test_a_dossier_that_went_on_since_is_refused(
    bench: Bench, author: Author, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=CUSTODIAN)
    record_not_examined(bench, author, worked, NotExamined("inside", "no X-ray"))
    with pytest.raises(ConflictError, match="18 entries here, 17 in the package"):
        unpack(bench, packed.path)


def test_a_missing_or_changed_file_stops_the_packing_and_leaves_nothing(
    bench: Bench, worked: str, tmp_path: Path
) -> None:
    with bench.store.reading() as reader:
        sha256 = next(
            entry
            for entry in map(json.loads, filter(None, (e.payload for e in reader.entries(worked))))
            if "original_sha256" in entry
        )["original_sha256"]
    path = bench.store.files.path(sha256)
    path.chmod(0o600)
    path.write_bytes(b"x" * path.stat().st_size)
    with pytest.raises(StorageError, match="A file was changed; nothing was packed"):
        pack(bench, worked, tmp_path / "package.zip", receiver=CUSTODIAN)
    path.unlink()
    with pytest.raises(StorageError, match="A file is missing; nothing was packed"):
        pack(bench, worked, tmp_path / "package.zip", receiver=CUSTODIAN)
    assert [each.name for each in tmp_path.iterdir()] == ["letter.pdf"]


def test_a_folder_that_is_not_there_is_said_so(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id = opened_dossier(bench, author)
    with pytest.raises(StorageError, match="The package could not be written; nothing was packed"):
        pack(bench, dossier_id, tmp_path / "no" / "package.zip")


def test_a_full_disk_leaves_no_package(
    bench: Bench, author: Author, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dossier_id = opened_dossier(bench, author)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("softmend.services.deposit.archive.os.fsync", full)
    with pytest.raises(NoSpaceError, match="The disk is full; nothing was packed"):
        pack(bench, dossier_id, tmp_path / "package.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_dossier_without_any_photograph_packs(
    bench: Bench, other_bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id = opened_dossier(bench, author)
    packed = pack(bench, dossier_id, tmp_path / "package.zip", receiver=CUSTODIAN)
    assert unpack(other_bench, packed.path).head == packed.head


def test_rule_16_possibly_human_no_public_export_but_a_deposit_to_the_named_custodian(
    bench: Bench, other_bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id = opened_dossier(bench, author)
    head = ObjectHead("a long bone", materials=(Material("shaft", "bone"),))
    describe_object(bench, author, dossier_id, head, based_on="")
    with pytest.raises(RuleError, match="The remains may be human") as refused:
        pack(bench, dossier_id, tmp_path / "public.zip")
    assert refused.value.rule == 16
    assert not (tmp_path / "public.zip").exists()
    packed = pack(bench, dossier_id, tmp_path / "whole.zip", receiver=CUSTODIAN)
    assert unpack(other_bench, packed.path).head.count == 2


def test_a_hand_over_is_recorded_and_travels_to_custodians_only(
    bench: Bench, author: Author, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=CUSTODIAN)
    given = HandOver(
        "the owner", packed.sha256, packed.head.count, packed.head.hash, "2026-03-02", "on a disk"
    )
    entry = record_hand_over(bench, author, worked, given)
    assert json.loads(entry.payload or "")["package_hash"] == packed.sha256
    assert verify(bench.store).is_sound
    public = parts_of(pack(bench, worked, tmp_path / "public.zip").path)
    assert not any(b"the owner" in data for data in public.values())
    whole = parts_of(pack(bench, worked, tmp_path / "whole.zip", receiver=CUSTODIAN).path)
    assert b"the owner" in whole["tables/hand_over.csv"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"to_whom": " "}, "A hand-over needs a receiver; Say who has the copy."),
        ({"handed_on": ""}, "A hand-over needs its date; Say when, or “not known”."),
        ({"package_hash": "abc"}, "This is not the hash of a package; got abc; "),
    ],
)
def test_a_hand_over_says_to_whom_what_and_when(
    bench: Bench, author: Author, change: dict[str, str], sentence: str
) -> None:
    dossier_id = opened_dossier(bench, author)
    given = HandOver("the owner", "a" * 64, 1, "b" * 64, "2026-03-02")
    with pytest.raises(InputError) as refused:
        record_hand_over(bench, author, dossier_id, replace(given, **change))
    assert str(refused.value).startswith(sentence)


def test_progress_goes_from_nothing_to_all(bench: Bench, worked: str, tmp_path: Path) -> None:
    told: list[tuple[str, float]] = []
    pack(bench, worked, tmp_path / "package.zip", lambda what, share: told.append((what, share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert told[0] == ("photograph 1 of 2", 0.0)
    assert told[-1] == ("packed", 1.0)


def test_names_that_are_withheld_do_not_become_people(
    bench: Bench, other_bench: Bench, worked: str, tmp_path: Path
) -> None:
    packed = pack(bench, worked, tmp_path / "package.zip", receiver=CUSTODIAN)
    assert NAME_WITHHELD in parts_of(packed.path)["journal/people.jsonl"].decode()
    unpack(other_bench, packed.path)
    with other_bench.store.reading() as reader:
        assert reader.people() == []
