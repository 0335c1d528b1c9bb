"""Scans in a dossier: brought in or refused, no mm before a length, computed, held, filled."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from softmend.errors import ConflictError, InputError
from softmend.intake.scan import read_scan
from softmend.records.crack_model import Told
from softmend.records.scan import (
    ChangedPatch,
    ForbiddenStretch,
    OldFill,
    ScanComparison,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanUnitName,
    ScanVoid,
    VoidMouth,
    checked_matter,
)
from softmend.report.content import Audience
from softmend.report.one_page import Page
from softmend.report.text import as_text
from softmend.services.bench import Author, Bench
from softmend.services.deposit.plain_copy import dossier_json
from softmend.services.examine.printing import print_report, report_of
from softmend.services.fake_store import FakeStore
from softmend.services.hand_over.outputs import page_as_text, page_for, print_page
from softmend.services.jobs import Jobs
from softmend.services.people import come_to_the_bench
from softmend.services.solid.asking import answered, keep_answers, measure_later, open_questions
from softmend.services.solid.attaching import AboutScan, begin_reading, take_in
from softmend.services.solid.change_shown import change_shown, levels_of_others
from softmend.services.solid.change_stills import take_change_still
from softmend.services.solid.comparing import (
    colours_path,
    compare_scans_later,
    compared,
    keep_comparison,
    record_scan_comparison,
)
from softmend.services.solid.inputs import LENGTH, MASS, SUPPORTS, VOID, VOLUME
from softmend.services.solid.measuring_mesh import (
    MEASURING,
    display_mesh,
    scan_folder,
    snapped,
)
from softmend.services.solid.pads import axis_of, laid_of, pads_now
from softmend.services.solid.pair import pair_of
from softmend.services.solid.scans import (
    OnScan,
    confirm_length,
    on_scan,
    record_line,
    record_void,
    say_holding,
    say_matter,
    scans_in,
    strike_on_scan,
)
from softmend.services.solid.shown import scan_shown
from softmend.services.solid.stills import LOOKS, Look, stills_shown, take_still
from tests.intake.scan_files import ply, ply_of, stl
from tests.science.solid.bodies import path, turned
from tests.services.scanned import BONE, BONE_MM, on_bone, with_scan, write_bone

LENGTH_SAID = ScanLength(340, 1, ScanUnitName.MM)
HELD = ScanHolding(
    down=(0.0, 1.0, 0.0), pad_length_mm=20, forbidden=(ForbiddenStretch(80, 84, "old number"),)
)


@pytest.fixture
def bench() -> Iterator[Bench]:
    store = FakeStore()
    yield Bench(store, zone="Europe/Oslo")
    store.close()


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "Ida Invented").id, "examination")


def standing(bench: Bench, dossier_id: str, scan_id: str) -> OnScan:
    with bench.store.reading() as reader:
        return on_scan(reader, dossier_id, scan_id)


def compute(bench: Bench, author: Author, dossier_id: str, scan_id: str) -> int:
    measure_later(bench, None, dossier_id, scan_id)
    return keep_answers(bench, author, dossier_id, scan_id)


def outputs(bench: Bench, dossier_id: str, computation: str, about: str) -> dict[str, object]:
    with bench.store.reading() as reader:
        found = answered(reader, dossier_id, computation, about)
    assert found is not None
    assert found.stale == ""
    return found.outputs


def test_the_original_is_kept_and_the_same_scan_is_not_taken_twice(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = with_scan(bench, author, tmp_path)
    scan = standing(bench, dossier_id, scan_id).scan
    kept = bench.store.files.path(scan.original_sha256).read_bytes()
    assert kept == write_bone(tmp_path).read_bytes()
    assert (scan.form, scan.faces, scan.greatest_length) == ("PLY", len(BONE.faces), 340.0)
    with pytest.raises(ConflictError, match="as scan 1"):
        begin_reading(bench, None, dossier_id, write_bone(tmp_path), "again.ply")


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("long.stl", stl(count=4_000_000_000), "STL"),
        ("short.ply", ply(points=4_000_000_000), "PLY"),
        ("empty.ply", b"", "empty"),
        ("picture.ply", b"\x89PNG\r\n\x1a\n" + b"\0" * 500, ""),
    ],
)
def test_a_broken_scan_is_refused_in_one_sentence_and_nothing_is_in_the_dossier(
    bench: Bench, author: Author, tmp_path: Path, name: str, content: bytes, sentence: str
) -> None:
    dossier_id, _ = with_scan(bench, author, tmp_path)
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as refused:
        begin_reading(bench, None, dossier_id, path, name)
    assert sentence in str(refused.value)
    with bench.store.reading() as reader:
        assert len(scans_in(reader, dossier_id)) == 1


def test_a_scan_is_read_in_a_job_that_ends_as_done_or_says_why(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, _ = with_scan(bench, author, tmp_path)
    jobs = Jobs(bench)
    path = tmp_path / "odd.stl"
    path.write_bytes(stl(count=7))
    begun = begin_reading(bench, jobs, dossier_id, path, "odd.stl")
    row = jobs.wait(begun.job_id, 60)
    assert row.state == "failed"
    assert "STL" in row.message
    with pytest.raises(InputError, match="not read"):
        take_in(bench, author, dossier_id, begun.original_sha256, "odd.stl", AboutScan())
    jobs.close()


def test_no_mm_and_no_g_before_a_length_and_a_belied_unit_is_refused(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = with_scan(bench, author, tmp_path)
    assert compute(bench, author, dossier_id, scan_id) == 1
    with bench.store.reading() as reader:
        shown = scan_shown(reader, dossier_id, on_scan(reader, dossier_id, scan_id))
    told = [text for part in shown.parts for _name, text in part.facts]
    assert told
    assert not any(unit in text.split() for text in told for unit in ("mm", "g", "mL", "cm²"))
    with pytest.raises(InputError, match="does not fit a scan in m"):
        confirm_length(bench, author, dossier_id, scan_id, ScanLength(340, 1, ScanUnitName.M), "")
    assert standing(bench, dossier_id, scan_id).length is None


def held(bench: Bench, author: Author, folder: Path) -> tuple[str, str]:
    dossier_id, scan_id = with_scan(bench, author, folder)
    confirm_length(bench, author, dossier_id, scan_id, LENGTH_SAID, "")
    say_matter(bench, author, dossier_id, scan_id, ScanMatter("antler (compact)"), "")
    say_holding(bench, author, dossier_id, scan_id, HELD, "")
    below = (0.0, 1.0)
    picks = (on_bone(160, below), on_bone(190, below))
    line = ScanLine(0, scan_id, "crack", picks, depth_mm=3, clear_mm=10)
    record_line(bench, author, dossier_id, line)
    # Away from the supports: nothing touches it.
    above = ScanLine(0, scan_id, "scratch", (on_bone(100), on_bone(120)))
    record_line(bench, author, dossier_id, above)
    compute(bench, author, dossier_id, scan_id)
    return dossier_id, scan_id


def test_everything_that_is_asked_is_answered_once_and_kept_with_what_it_read(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = held(bench, author, tmp_path)
    on = standing(bench, dossier_id, scan_id)
    with bench.store.reading() as reader:
        assert open_questions(reader, dossier_id, on) == []
    volume = outputs(bench, dossier_id, VOLUME, scan_id)["volume_ml"]
    assert isinstance(volume, dict)
    assert volume["typical"] == pytest.approx(1e6 * _volume(), rel=0.01)
    assert outputs(bench, dossier_id, MASS, scan_id)["computed_mass_g"]
    length = outputs(bench, dossier_id, LENGTH, on.lines[0][0].subject_id)["length_mm"]
    assert isinstance(length, dict)
    straight = np.linalg.norm(np.subtract(*on.lines[0][1].picks))
    assert straight <= length["typical"] + 1e-6 < 1.02 * straight


def test_old_fills_make_it_lighter_and_move_its_centre(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = with_scan(bench, author, tmp_path)
    confirm_length(bench, author, dossier_id, scan_id, LENGTH_SAID, "")
    resin = OldFill(20, 4, 1.15, 0.05, (0.0, 0.0, 300.0))
    told: list[Any] = []
    based_on = ""
    for fills in ((), (resin,)):
        matter = ScanMatter("antler (compact)", fills=fills)
        based_on = say_matter(bench, author, dossier_id, scan_id, matter, based_on).id
        compute(bench, author, dossier_id, scan_id)
        told.append(outputs(bench, dossier_id, MASS, scan_id))
    bare, filled = told
    own = bare["computed_mass_g"]["typical"] / bare["volume_ml"]["typical"]
    lighter = bare["computed_mass_g"]["typical"] - filled["computed_mass_g"]["typical"]
    assert lighter == pytest.approx(20 * (own - 1.15), rel=1e-3)
    assert filled["centre"][2] < bare["centre"][2]
    with pytest.raises(InputError, match="The ± of an old fill's volume"):
        checked_matter(ScanMatter(fills=(replace(resin, volume_expanded_ml=21),)))
    with pytest.raises(InputError, match="Too many old fills"):
        checked_matter(ScanMatter(fills=(resin,) * 4))


def _volume() -> float:
    a, b, c = np.moveaxis(BONE.corners, 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_a_new_length_makes_every_answer_stale_until_it_is_computed_again(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = held(bench, author, tmp_path)
    on = standing(bench, dossier_id, scan_id)
    assert on.length is not None
    again = ScanLength(341, 1, ScanUnitName.BY_LENGTH)
    confirm_length(bench, author, dossier_id, scan_id, again, on.length[0].id)
    with bench.store.reading() as reader:
        found = answered(reader, dossier_id, SUPPORTS, scan_id)
        shown = scan_shown(reader, dossier_id, on_scan(reader, dossier_id, scan_id))
    assert found is not None
    assert found.stale.startswith("stale, because the scan length changed on")
    volume = shown.part("volume")
    assert volume is not None
    assert volume.stale_because.startswith("stale, because")


def test_pads_answer_while_they_are_moved_and_stay_off_a_crack_and_an_old_number(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = held(bench, author, tmp_path)
    on = standing(bench, dossier_id, scan_id)
    laid = laid_of(bench, on)
    assert laid is not None
    assert [one["why"] for one in laid.forbidden] == [
        "old number", "line 1, crack: 10 mm clear of it",
    ]  # fmt: skip
    pads_now(bench, on, [15, 70])
    begun = time.process_time()
    told = pads_now(bench, on, [15, 70])
    assert time.process_time() - begun < 0.3
    assert told["stands"]
    assert sum(one["force_n"] for one in told["pads"]) == pytest.approx(
        laid.on_pads.weight, rel=0.01
    )
    assert not pads_now(bench, on, [5, 20])["stands"]
    for at, why in ((49.0, "crack"), (82.0, "old number")):
        refused = pads_now(bench, on, [15, at])
        assert not refused["stands"]
        assert why in refused["sentence"]
    placed = outputs(bench, dossier_id, SUPPORTS, scan_id)["pads"]
    assert isinstance(placed, list)
    assert pads_now(bench, on, [pad["at_percent"] for pad in placed])["stands"]
    assert len(axis_of(laid)) == 61


def test_picks_are_taken_to_the_measuring_mesh(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = with_scan(bench, author, tmp_path)
    folder = scan_folder(bench, standing(bench, dossier_id, scan_id).scan.original_sha256)
    x, y, z = on_bone(170)
    assert snapped(folder, [[x, y - 2, z]])[0] == pytest.approx([x, y, z], abs=0.2)
    assert (folder / MEASURING).is_file()


def with_socket(bench: Bench, author: Author, folder: Path) -> tuple[str, str, ScanVoid]:
    """A round block with a socket of radius 10 and depth 15 mm in its top, in mm."""
    corners = [(0, 0), (60, 0), (60, 50), (10, 50), (10, 35), (0, 35)]
    block = turned(path([(float(r), float(z)) for r, z in corners], 2.5), 72)
    file = folder / "block.ply"
    file.write_bytes(ply_of(block.points, block.faces))
    dossier_id, _ = with_scan(bench, author, folder)
    begun = begin_reading(bench, None, dossier_id, file, file.name)
    entry = take_in(bench, author, dossier_id, begun.original_sha256, file.name, AboutScan())
    confirm_length(
        bench, author, dossier_id, entry.subject_id, ScanLength(130, 0.5, ScanUnitName.MM), ""
    )
    turn = np.arange(8) * np.pi / 4 + 0.02
    rim = tuple((10.3 * float(np.cos(t)), 10.3 * float(np.sin(t)), 50.0) for t in turn)
    void = ScanVoid(0, entry.subject_id, "old dowel hole", rim, (0.0, 0.0, 35.0), VoidMouth.HOLE)
    return dossier_id, entry.subject_id, void


def test_a_void_is_a_fill_in_grams_layers_and_hours(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id, void = with_socket(bench, author, tmp_path)
    void = replace(
        void,
        material="tissue or pulp + PVAc dispersion",
        layer_mm=4,
        hours_a_layer=Told(0.2, 0.3, 0.5),
    )
    entry = record_void(bench, author, dossier_id, void)
    compute(bench, author, dossier_id, scan_id)
    told = outputs(bench, dossier_id, VOID, entry.subject_id)
    volume = told["volume_ml"]
    assert isinstance(volume, dict)
    # softmend-solids, section 5a: a socket in a flat face, pi r^2 h; 72 sides are 0.13 % light.
    assert volume["typical"] == pytest.approx(np.pi * 10**2 * 15 / 1000, rel=0.01)
    with bench.store.reading() as reader:
        shown = scan_shown(reader, dossier_id, on_scan(reader, dossier_id, scan_id))
    part = shown.part("void-1")
    assert part is not None
    assert "never to rebuild a missing end" in part.sentences[0]
    facts = dict(part.facts)
    assert facts["Layers"] == "4, of at most 4 mm"
    assert facts["Hours"].startswith("0.8 – 2 h, likely 1.2 h")
    # 350 to 850 kg/m3 by the table of materials.
    low, high = 0.35 * volume["low"], 0.85 * volume["high"]
    words = f"{low:.2g} – {high:.2g} g of tissue or pulp + PVAc dispersion (estimated"
    assert facts["Grams of fill"].startswith(words)
    strike_on_scan(bench, author, dossier_id, "scan_void", entry.subject_id, "picked wrongly")
    assert standing(bench, dossier_id, scan_id).voids == ()


def test_a_void_that_leaks_says_so_and_has_no_volume(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id, void = with_socket(bench, author, tmp_path)
    entry = record_void(bench, author, dossier_id, replace(void, inside=(0.0, 0.0, 0.0)))
    compute(bench, author, dossier_id, scan_id)
    told = outputs(bench, dossier_id, VOID, entry.subject_id)
    assert told["answer"] == "cannot say"
    assert told["volume_ml"] is None
    with bench.store.reading() as reader:
        shown = scan_shown(reader, dossier_id, on_scan(reader, dossier_id, scan_id))
    part = shown.part("void-1")
    assert part is not None
    assert part.reasons[0].startswith("The rim does not close round a part of the surface")
    assert "97 % of the scan" in part.reasons[0]


def test_a_still_is_a_kept_picture_with_pads_centre_and_crack_on_it(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = held(bench, author, tmp_path)
    take_still(bench, author, dossier_id, scan_id, "from the side", Look(*LOOKS["along +x"]))
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        (shown,) = stills_shown(reader, dossier_id, on)
    png = bench.store.files.path(shown.sha256).read_bytes()
    assert png.startswith(b"\x89PNG")
    assert shown.alternative.endswith("drawn on it: 1, 2, G, P1, P2, P3")
    assert ">50 mm</text>" in shown.svg or ">100 mm</text>" in shown.svg
    with pytest.raises(InputError, match="another one upward"):
        take_still(bench, author, dossier_id, scan_id, "x", Look((0, 0, 1), (0, 0, 1)))


def test_the_mass_is_on_the_registrars_copy_and_at_the_mount_makers_only_when_told(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, scan_id = held(bench, author, tmp_path)
    take_still(bench, author, dossier_id, scan_id, "on its pads", Look(*LOOKS["along +x"]))
    mass = outputs(bench, dossier_id, MASS, scan_id)["computed_mass_g"]
    assert isinstance(mass, dict)
    told_to = {who: as_text(report_of(bench, dossier_id, who)) for who in Audience}
    assert mass["text"] not in str(told_to[Audience.BENCH])
    assert mass["text"] in str(told_to[Audience.REGISTRAR])
    pads = outputs(bench, dossier_id, SUPPORTS, scan_id)["pads"]
    assert isinstance(pads, list)
    for pad in pads:
        assert f"{pad['force_n']:.3g} N" not in str(told_to[Audience.BENCH])
    with bench.store.reading() as reader:
        copies = [dossier_json(reader, dossier_id, for_registrar=who) for who in (False, True)]
    assert [mass["text"] in one for one in copies] == [False, True]
    (scan,) = report_of(bench, dossier_id).scans
    assert [one.caption for one in scan.stills] == ["Still 1 · on its pads"]
    page = page_as_text(page_for(bench, dossier_id, Page.MOUNT_MAKER))
    assert mass["text"] not in page
    assert "Of the weight" in page
    assert "No contact, no load" in page
    assert "Line 1: crack" in page
    on = standing(bench, dossier_id, scan_id)
    assert on.holding is not None
    told = replace(HELD, is_told_to_mount_maker=True)
    say_holding(bench, author, dossier_id, scan_id, told, on.holding[0].id)
    compute(bench, author, dossier_id, scan_id)
    assert mass["text"] in page_as_text(page_for(bench, dossier_id, Page.MOUNT_MAKER))
    assert print_page(page_for(bench, dossier_id, Page.MOUNT_MAKER)).startswith(b"%PDF")
    assert print_report(bench, dossier_id).startswith(b"%PDF")


def dented(folder: Path) -> Path:
    """Write the bone as it was scanned later: moved, and dented by 1.5 mm at one place."""
    points = BONE_MM.copy()
    middle = np.array(on_bone(170))
    near = np.linalg.norm(points - middle, axis=1)
    points[:, 1] += 1.5 * np.clip(1 - (near / 15) ** 2, 0, None)
    turn = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    path = folder / "later.ply"
    path.write_bytes(ply_of((points @ turn.T + [5.0, 8.0, 2.0]) / 1e3, BONE.faces))
    return path


def test_what_went_between_two_scans_is_told_in_a_patch_and_in_colours(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id, earlier = with_scan(bench, author, tmp_path)
    begun = begin_reading(bench, None, dossier_id, dented(tmp_path), "later.ply")
    later = take_in(
        bench, author, dossier_id, begun.original_sha256, "later.ply", AboutScan()
    ).subject_id
    for scan_id in (earlier, later):
        confirm_length(bench, author, dossier_id, scan_id, ScanLength(340, 0.5), "")
    asked = ScanComparison(
        earlier, later, level_mm=0.3, changed=(ChangedPatch(on_bone(170), 20.0),)
    )
    record_scan_comparison(bench, author, dossier_id, asked)
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, earlier, later)
    compare_scans_later(bench, None, dossier_id, pair)
    assert keep_comparison(bench, author, dossier_id, pair)
    with bench.store.reading() as reader:
        found = compared(reader, dossier_id, pair)
    assert found is not None
    assert found.stale == ""
    (patch,) = found.outputs["patches"]
    assert patch["is_above_level"]
    # The dent by divergence: the difference of the two bodies' exact volumes.
    dent = 1e9 * _volume() - _mm3(dented(tmp_path))
    assert patch["lost_mm3"]["typical"] == pytest.approx(dent, rel=0.1)
    path = colours_path(bench, pair)
    assert path is not None
    mm = np.frombuffer(path.read_bytes(), dtype="<f4")
    assert len(mm) == len(
        display_mesh(scan_folder(bench, pair.earlier.scan.original_sha256)).points
    )
    assert mm.min() == pytest.approx(-1.5, abs=0.3)
    assert float(np.median(np.abs(mm))) < 0.05
    with pytest.raises(InputError, match="compared with itself"), bench.store.reading() as reader:
        pair_of(reader, dossier_id, earlier, earlier)
    printed_as_found(bench, dossier_id, patch["lost_mm3"]["text"])
    drawn_in_its_colours(bench, author, dossier_id, (earlier, later))
    nothing_above_a_high_level_and_stale_until_compared_again(
        bench, author, dossier_id, replace(asked, level_mm=3.0)
    )


def printed_as_found(bench: Bench, dossier_id: str, loss: str) -> None:
    report = report_of(bench, dossier_id)
    told = as_text(report)["scan_changes"]
    for words in (
        "but the patch below, left out of the fit",
        "Fit residual, half of it within: ",
        "Detection level: 0.3 mm, from two scans of one state",
        "Fitted scale, shown apart: ",
        f"Gone, less come: {loss}",
        "above: it changed",
        "The patch changed: it lies beyond the level of 0.3 mm.",
        "coloured by what changed up to scan 2: gone up to −",
        "drawn on it: patch 1",
    ):
        assert words in told
    assert "solid.compare" in [one.computation for one in report.workings]
    assert print_report(bench, dossier_id).startswith(b"%PDF")


def drawn_in_its_colours(
    bench: Bench, author: Author, dossier_id: str, ids: tuple[str, str]
) -> None:
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, *ids)
        shown = change_shown(reader, dossier_id, pair, bench.store.files)
    (still,) = shown.stills
    assert "gone, up to" in still.svg
    assert "come, up to" in still.svg
    assert "nothing is claimed" in still.svg
    with Image.open(io.BytesIO(bench.store.files.path(still.sha256).read_bytes())) as picture:
        red, _green, blue = np.moveaxis(np.asarray(picture.convert("RGB"), dtype=int), 2, 0)
    # The dent alone is orange-brown; nothing came.
    assert 200 < (red - blue > 60).sum() < 0.05 * red.size
    assert (blue - red > 20).sum() == 0
    take_change_still(bench, author, dossier_id, pair, "along it", Look(*LOOKS["along +x"]))
    with bench.store.reading() as reader:
        again = pair_of(reader, dossier_id, *ids)
        captions = [one.caption for one in change_shown(reader, dossier_id, again).stills]
        on = on_scan(reader, dossier_id, ids[0])
        assert stills_shown(reader, dossier_id, on) == ()
    assert captions == ["Still 1 · what changed, seen from where most went", "Still 2 · along it"]


def nothing_above_a_high_level_and_stale_until_compared_again(
    bench: Bench, author: Author, dossier_id: str, asked: ScanComparison
) -> None:
    record_scan_comparison(bench, author, dossier_id, asked)
    told = as_text(report_of(bench, dossier_id))["scan_changes"]
    assert "stale, because the scan comparison changed on" in told
    assert told.count("the picture was drawn from an answer that no longer holds") == 2
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, asked.earlier_scan_id, asked.later_scan_id)
    compare_scans_later(bench, None, dossier_id, pair)
    assert keep_comparison(bench, author, dossier_id, pair)
    told = as_text(report_of(bench, dossier_id))["scan_changes"]
    assert "Nothing is above the level of 3 mm in what was asked about." in told
    assert "below: nothing is claimed" in told
    assert "no longer holds" not in told
    assert "within ± 3 mm; drawn on it: patch 1" in told
    assert told.count("coloured by what changed") == 2
    with bench.store.reading() as reader:
        back = pair_of(reader, dossier_id, asked.later_scan_id, asked.earlier_scan_id)
        ((earlier, later, most),) = levels_of_others(reader, dossier_id, back)
        found = compared(reader, dossier_id, pair)
        assert levels_of_others(reader, dossier_id, pair) == []
    assert found is not None
    assert (earlier, later, most) == (1, 2, found.outputs["most_mm"])


def _mm3(path: Path) -> float:
    scan = read_scan(path)
    a, b, c = np.moveaxis(1e3 * scan.points[scan.faces], 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
