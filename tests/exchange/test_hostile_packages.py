"""Hostile packages are refused whole, each with one clear sentence, and nothing is written."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
import stat
import struct
import zipfile
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from softmend.errors import InputError, LimitError, SoftmendError
from softmend.exchange.bag_reading import STANDARD, Bag
from softmend.records.canonical import sha256_text
from softmend.records.entry import Entry, entry_hash
from softmend.records.payload import from_plain
from softmend.services.bench import Bench
from softmend.services.deposit.archive import look_into, pack, unpack
from softmend.services.deposit.outward import Receiver
from softmend.services.fake_store import FakeStore
from tests.services.deposit_sample import author_at, worked_dossier

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

JOURNAL = "data/journal/journal.jsonl"
Parts = dict[str, bytes]


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a sound package of a custodian."""
    folder = tmp_path_factory.mktemp("package")
    bench = Bench(FakeStore())
    dossier_id = worked_dossier(bench, author_at(bench), folder / "letter.pdf")
    made = pack(bench, dossier_id, folder / "package.zip", receiver=Receiver("an archive"))
    bench.store.close()
    return made.path


@pytest.fixture
def bench() -> Iterator[Bench]:
    """Give an empty house."""
    store = FakeStore()
    yield Bench(store)
    store.close()


def folder_of(package: Path) -> str:
    with zipfile.ZipFile(package) as archive:
        return archive.namelist()[0].partition("/")[0]


def parts_in(package: Path) -> Parts:
    """Return every part of a package, without the folder they are in."""
    with zipfile.ZipFile(package) as archive:
        return {name.partition("/")[2]: archive.read(name) for name in archive.namelist()}


def summed(parts: Parts) -> Parts:
    """Return the parts with every manifest made anew: a forger can do that too."""
    tags = {"bagit.txt", "bag-info.txt"}
    payload = sorted(path for path in parts if path.startswith("data/"))
    kept = {path: parts[path] for path in parts if path in tags or path.startswith("data/")}
    oxum = f"{sum(len(parts[path]) for path in payload)}.{len(payload)}"
    info = kept["bag-info.txt"].decode().splitlines()
    info = [line for line in info if not line.startswith("Payload-Oxum")]
    kept["bag-info.txt"] = "\n".join([*info, f"Payload-Oxum: {oxum}", ""]).encode()
    for name in ("sha256", "sha512"):
        kept[f"manifest-{name}.txt"] = manifest(kept, payload, name)
    listed = [path for path in kept if not path.startswith("data/")]
    for name in ("sha256", "sha512"):
        kept[f"tagmanifest-{name}.txt"] = manifest(kept, listed, name)
    return kept


def manifest(parts: Parts, paths: list[str], algorithm: str) -> bytes:
    return "".join(
        f"{hashlib.new(algorithm, parts[path]).hexdigest()}  {path}\n" for path in paths
    ).encode()


def written(parts: Parts, path: Path, folder: str) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(f"{folder}/{name}", data)
    return path


def entries_in(parts: Parts) -> list[Entry]:
    return [from_plain(Entry, json.loads(line)) for line in parts[JOURNAL].splitlines()]


def chained(entries: list[Entry]) -> list[Entry]:
    """Return entries with every hash made anew."""
    kept: list[Entry] = []
    for entry in entries:
        previous = kept[-1].hash if kept else "0" * 64
        payload_hash = entry.payload_hash if entry.payload is None else sha256_text(entry.payload)
        linked = replace(
            entry, number=len(kept) + 1, previous_hash=previous, payload_hash=payload_hash
        )
        kept.append(replace(linked, hash=entry_hash(linked)))
    return kept


def with_journal(parts: Parts, entries: list[Any]) -> Parts:
    """Return the parts with another journal, its head and every sum made to fit."""
    lines = [json.dumps(vars(entry)) for entry in entries]
    info = [
        f"Softmend-Head: {entries[-1].number}:{entries[-1].hash}"
        if line.startswith("Softmend-Head")
        else line
        for line in parts["bag-info.txt"].decode().splitlines()
    ]
    return summed(
        {
            **parts,
            JOURNAL: "".join(f"{line}\n" for line in lines).encode(),
            "bag-info.txt": "\n".join([*info, ""]).encode(),
        }
    )


def refused(bench: Bench, path: Path, sentence: str, **limits: int) -> None:
    """Check that a package is refused with this sentence, and that nothing came in."""
    with pytest.raises(InputError) as refusal:
        unpack(bench, path, limits=replace(STANDARD, **limits))
    assert sentence in str(refusal.value)
    with bench.store.reading() as reader:
        assert reader.dossier_ids() == []
        assert reader.people() == []
    assert list(bench.store.files.all()) == []


def test_a_package_written_anew_by_another_tool_is_taken(
    bench: Bench, package: Path, tmp_path: Path
) -> None:
    folder = folder_of(package)
    with zipfile.ZipFile(tmp_path / "again.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.mkdir(folder)
        archive.mkdir(f"{folder}/data")
        for name, data in summed(parts_in(package)).items():
            archive.writestr(f"{folder}/{name}", data)
    assert unpack(bench, tmp_path / "again.zip").file_count == 5


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("../escaped", "A path in the package leads out of it"),
        ("{folder}/data/../../../escaped", "A path in the package leads out of it"),
        ("/etc/escaped", "A path in the package leads out of it"),
        ("{folder}\\..\\escaped", "A path in the package leads out of it"),
        ("C:/escaped", "A path in the package leads out of it"),
        ("{folder}/data/a\nb", "A name in the package cannot be used"),
        ("{folder}/data/\u202egpj.exe", "A name in the package cannot be used"),
        ("{folder}/data//twice", "A name in the package cannot be used"),
        ("{folder}/data/.hidden", "A name in the package cannot be used"),
        ("alone", "A name in the package cannot be used"),
        ("elsewhere/data/x.txt", "A package holds one folder; this one holds several"),
        ("{folder}/DATA/README.txt", "The package holds one name twice"),
        ("{folder}/data/readme.TXT", "The package holds one name twice"),
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(
    bench: Bench, package: Path, tmp_path: Path, name: str, sentence: str
) -> None:
    folder = folder_of(package)
    path = written(parts_in(package), tmp_path / "hostile.zip", folder)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(name.format(folder=folder), b"x")
    refused(bench, path, sentence)
    assert not (tmp_path.parent / "escaped").exists()


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_links_and_devices_are_refused(
    bench: Bench, package: Path, tmp_path: Path, kind: int
) -> None:
    folder = folder_of(package)
    path = written(parts_in(package), tmp_path / "hostile.zip", folder)
    part = zipfile.ZipInfo(f"{folder}/data/files/{'a' * 64}")
    part.create_system, part.external_attr = 3, (kind | 0o777) << 16
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(part, b"/etc/passwd")
    refused(bench, path, "The package holds a link or a device")


def test_one_name_twice_is_refused(bench: Bench, package: Path, tmp_path: Path) -> None:
    folder = folder_of(package)
    path = written(parts_in(package), tmp_path / "hostile.zip", folder)
    with zipfile.ZipFile(path, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr(f"{folder}/{JOURNAL}", b"x")
    refused(bench, path, "The package holds one name twice")


def test_a_bomb_is_refused_by_its_ratio_before_it_is_read(
    bench: Bench, package: Path, tmp_path: Path
) -> None:
    folder = folder_of(package)
    path = written(parts_in(package), tmp_path / "hostile.zip", folder)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(f"{folder}/data/files/{'a' * 64}", b"\0" * (4 << 20))
    refused(bench, path, "The package grows too much when it is unpacked")


def test_parts_that_share_their_bytes_are_held_against_the_size_of_the_whole(
    bench: Bench, package: Path
) -> None:
    limits = {"ratio": 1, "ratio_from_bytes": 1000}
    small = package.stat().st_size // 2
    with zipfile.ZipFile(package) as archive, pytest.raises(LimitError, match="grows too much"):
        Bag(archive, small, replace(STANDARD, **limits))


def test_limits_on_parts_total_and_texts_are_kept(bench: Bench, package: Path) -> None:
    refused(bench, package, "The package has too many parts", parts=10)
    refused(bench, package, "The package is too large", total_bytes=1000)
    refused(bench, package, "A text in the package is too long", text_bytes=100)
    with pytest.raises(LimitError):
        unpack(bench, package, limits=replace(STANDARD, parts=10))


def patched(
    package: Path, tmp_path: Path, name: str, change: Callable[[bytearray, int], None]
) -> Path:
    """Return a copy whose central directory entry of one part is changed."""
    data = bytearray(package.read_bytes())
    wanted = f"{folder_of(package)}/{name}".encode()
    at = data.rindex(wanted) - 46
    assert data[at : at + 4] == b"PK\x01\x02"
    change(data, at)
    path = tmp_path / "patched.zip"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("size", [1, 10, 1_000_000])
def test_a_part_that_lies_about_its_length_is_refused(
    bench: Bench, package: Path, tmp_path: Path, size: int
) -> None:
    def lie(data: bytearray, at: int) -> None:
        struct.pack_into("<II", data, at + 20, size, size)

    path = patched(package, tmp_path, JOURNAL, lie)
    with pytest.raises(InputError, match=r"cannot be read or is not as long|not what its manifest"):
        unpack(bench, path)


def test_a_part_locked_with_a_password_is_refused(
    bench: Bench, package: Path, tmp_path: Path
) -> None:
    def lock(data: bytearray, at: int) -> None:
        data[at + 8] |= 1

    refused(bench, patched(package, tmp_path, JOURNAL, lock), "locked with a password")


def test_an_unknown_way_of_compressing_is_refused(
    bench: Bench, package: Path, tmp_path: Path
) -> None:
    def compress(data: bytearray, at: int) -> None:
        struct.pack_into("<H", data, at + 10, 14)

    path = patched(package, tmp_path, JOURNAL, compress)
    refused(bench, path, "is compressed in a way that is not read here")


def without(name: str) -> Callable[[Parts], Parts]:
    return lambda parts: {path: data for path, data in parts.items() if path != name}


def changed(name: str, data: bytes) -> Callable[[Parts], Parts]:
    return lambda parts: {**parts, name: data}


def info(name: str, value: str) -> Callable[[Parts], Parts]:
    def change(parts: Parts) -> Parts:
        lines = parts["bag-info.txt"].decode().splitlines()
        lines = [f"{name}: {value}" if line.startswith(f"{name}:") else line for line in lines]
        return summed({**parts, "bag-info.txt": "\n".join([*lines, ""]).encode()})

    return change


FOREIGN = [
    (without("bagit.txt"), "This is not a whole package; got no bagit.txt"),
    (without("manifest-sha512.txt"), "This is not a whole package; got no manifest-sha512.txt"),
    (without("data/README.txt"), "A part of the package is missing; got data/README.txt"),
    (changed("data/files/" + "a" * 64, b"x"), "is not in manifest-sha256.txt"),
    (changed("fetch.txt", b"http://example.org/x 1 data/x\n"), "is not in tagmanifest-sha256.txt"),
    (changed("data/README.txt", b"x"), "is not what its manifest says; got data/README.txt"),
    (changed("bag-info.txt", b"Softmend-Package: softmend package 1\n"), "not what its manifest"),
    (changed("manifest-sha256.txt", b"rubbish"), "A line of a manifest cannot be read"),
    (changed("manifest-sha256.txt", b"\xff\xfe"), "A part of the package is not UTF-8"),
    (changed("bagit.txt", b"BagIt-Version: 0.97\n"), "This bag is not of version 1.0 in UTF-8"),
    (info("Softmend-Package", "something else"), "This bag is not a Softmend package"),
    (info("Softmend-Head", "1:abc"), "The journal does not end as the package says"),
    (
        lambda parts: summed({**parts, "data/tools/run.exe": b"MZ"}),
        "The package holds something of an unknown kind; got tools/run.exe",
    ),
    (
        lambda parts: summed({**parts, "data/files/" + "a" * 64: b"x"}),
        "A file of the package is not the one that its name says",
    ),
    (
        lambda parts: summed({**parts, "data/files/" + hashlib.sha256(b"x").hexdigest(): b"x"}),
        "A file of the package is named by no entry",
    ),
    (
        lambda parts: summed(
            without(next(path for path in parts if path.startswith("data/files/")))(parts)
        ),
        "A file of the package is missing",
    ),
    (lambda parts: summed({**parts, JOURNAL: b""}), "The journal of the package is empty"),
    (lambda parts: summed({**parts, JOURNAL: b"{"}), "A line of the package is not JSON"),
    (lambda parts: summed({**parts, JOURNAL: b"[" * 100_000}), "A line of the package is not JSON"),
    (lambda parts: summed({**parts, JOURNAL: b"[]"}), "A line of the package is not an entry"),
    (lambda parts: summed({**parts, JOURNAL: b"{}"}), "An entry cannot be read"),
    (
        lambda parts: summed({**parts, "data/journal/people.jsonl": b'{"id":"x","name":null}\n'}),
        "The package names somebody who has no part in it; got x",
    ),
]


@pytest.mark.parametrize(("change", "sentence"), FOREIGN, ids=[each[1][:60] for each in FOREIGN])
def test_a_package_that_is_not_what_it_says_is_refused(
    bench: Bench,
    package: Path,
    tmp_path: Path,
    change: Callable[[Parts], Parts],
    sentence: str,
) -> None:
    path = written(change(parts_in(package)), tmp_path / "hostile.zip", folder_of(package))
    refused(bench, path, sentence)


def at(index: int, **change: Any) -> Callable[[list[Entry]], list[Entry]]:
    return lambda entries: [
        replace(entry, **change) if place == index % len(entries) else entry
        for place, entry in enumerate(entries)
    ]


FORGED = [
    (at(1, purpose="sale"), "was changed after it was recorded"),
    (at(1, payload="{}"), "The content of an entry cannot be read"),
    (at(1, payload=None), "content is missing and no withdrawal is recorded"),
    (lambda entries: entries[:3] + entries[4:], "entry 4 is missing"),
    (lambda entries: [*entries[:-2], entries[-1], entries[-2]], "is missing"),
    (lambda entries: chained(at(0, dossier_id="../../etc")(entries)), "no sound id"),
    (lambda entries: chained(at(2, id="x")(entries)), "An entry has no sound id"),
    (lambda entries: chained(at(2, id=entries[1].id)(entries)), "holds one entry twice"),
    (lambda entries: chained(at(2, dossier_id=entries[1].id)(entries)), "of several dossiers"),
    (lambda entries: chained(at(2, kind="spell")(entries)), "of a kind that is not known here"),
    (lambda entries: chained(at(2, payload_version=9)(entries)), "written by a newer Softmend"),
    (lambda entries: chained(at(2, payload="[" * 100_000)(entries)), "cannot be read"),
    (lambda entries: chained(at(2, payload='{"number": 1}')(entries)), "cannot be read"),
    (
        lambda entries: chained(at(1, payload=(entries[1].payload or "") + " ")(entries)),
        "The content of an entry is not canonical JSON",
    ),
    (lambda entries: chained(entries[1:]), "does not begin with the opening of a dossier"),
]


@pytest.mark.parametrize(("forge", "sentence"), FORGED, ids=[each[1] for each in FORGED])
def test_a_forged_journal_is_refused_though_every_sum_is_right(
    bench: Bench,
    package: Path,
    tmp_path: Path,
    forge: Callable[[list[Entry]], list[Entry]],
    sentence: str,
) -> None:
    parts = parts_in(package)
    forged = with_journal(parts, forge(entries_in(parts)))
    refused(bench, written(forged, tmp_path / "forged.zip", folder_of(package)), sentence)


@pytest.mark.parametrize("data", [b"", b"PK", b"PK\x05\x06" + b"\0" * 18, b"\x89PNG" * 100])
def test_what_is_no_package_is_refused(bench: Bench, tmp_path: Path, data: bytes) -> None:
    (tmp_path / "no.zip").write_bytes(data)
    with pytest.raises(InputError, match=r"This is not a package|The package is empty"):
        unpack(bench, tmp_path / "no.zip")


def test_a_package_that_is_not_there_is_said_so(bench: Bench, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="This is not a package"):
        unpack(bench, tmp_path / "none.zip")


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(place=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_one_bit_changed_anywhere_is_refused_or_changes_nothing(
    package: Path, tmp_path: Path, place: float, bit: int
) -> None:
    data = bytearray(package.read_bytes())
    data[int(place * len(data))] ^= 1 << bit
    flipped = tmp_path / "flipped.zip"
    flipped.write_bytes(data)
    sound = look_into(package)
    try:
        looked = look_into(flipped)
    except SoftmendError:
        return
    assert looked == sound
