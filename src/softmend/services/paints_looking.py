"""From where the house looks, and what each person's own eyes notice: kept in its journal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from softmend.errors import InputError, MissingEvidenceError
from softmend.records.entry import Entry
from softmend.records.looking import EyeTest, ShownBar, SightDistances, checked_distances
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.house_journal import HOUSE_ID, house_is_open, record_in_house
from softmend.services.legal_flags import today_at
from softmend.services.recording import current_records
from softmend.services.store import Reader

EYES = "sight.eyes"
GROUND_SRGB = (196, 176, 148)
FIELD_PX, BAR_PX = 240, 160
USUAL_MM, RULER_PX, RULER_MM = 600.0, 300, 79.4
"""How far away one sits, and a line on the screen that is measured with a ruler."""
_WANTED = (1.8, 1.2, 0.9, 0.7, 0.58, 0.48, 0.4, 0.34, 0.28, 0.23, 0.18, 0.14)
_WIDTHS_PX, _STEPS = (1, 2, 3, 5, 8), range(1, 25)
LEFT, RIGHT = "l", "r"


@dataclass(frozen=True)
class Screen:
    """How a test is looked at: the distance of the eye and the size of a pixel."""

    distance_mm: float
    mm_per_px: float

    def __post_init__(self) -> None:
        """Refuse a screen on which the bars would not be what they are said to be."""
        if not 200 <= self.distance_mm <= 5000:
            raise InputError(
                "The eye is too near or too far",
                value=f"{self.distance_mm:g} mm",
                allowed="200 to 5000 mm, usually 600",
            )
        if not 0.03 <= self.mm_per_px <= 1.5:
            raise InputError(
                "That line cannot be so long on a screen",
                value=f"{self.mm_per_px * RULER_PX:.0f} mm",
                allowed=f"{0.03 * RULER_PX:.0f} to {1.5 * RULER_PX:.0f} mm",
                remedy="Lay a ruler on the screen and read its length",
            )


@dataclass(frozen=True)
class DrawnBar:
    """One bar of a test as it is drawn: its width, its shade of grey steps, and its field."""

    width_px: int
    srgb: tuple[int, int, int]
    side: str
    asked: dict[str, Any]


def distances_in(reader: Reader) -> tuple[str, SightDistances]:
    """Return the house's two distances with the entry that says so, "" for common practice."""
    if house_is_open(reader):
        for entry, distances in current_records(reader, HOUSE_ID, "sight_distances"):
            return entry.id, distances
    return "", SightDistances()


def record_distances(
    bench: Bench, author: Author, distances: SightDistances, based_on: str = ""
) -> Entry:
    """Record from where this house looks at its fills."""
    subject = f"{HOUSE_ID}:distances"
    return record_in_house(bench, author, subject, checked_distances(distances), based_on)


def eyes_of(reader: Reader, person_id: str) -> EyeTest | None:
    """Return what a person's own eyes notice, or None where they were not tested."""
    if not house_is_open(reader):
        return None
    tests = [one for _, one in current_records(reader, HOUSE_ID, "eye_test")]
    return next((one for one in tests if one.person_id == person_id), None)


@lru_cache(maxsize=64)
def bars_of_test(test_id: str, screen: Screen) -> tuple[DrawnBar, ...]:
    """Return the bars of a test: the two plainest first, then the others in no order."""
    chosen = [
        DrawnBar(width, srgb, _side(test_id, place), asked)
        for place, (width, srgb, asked) in enumerate(
            _bar(place, screen) for place in range(len(_WANTED))
        )
    ]
    rest = sorted(range(2, len(chosen)), key=lambda place: _drawn_by_lot(test_id, f"order {place}"))
    return tuple(chosen[place] for place in (0, 1, *rest))


def answered_test(test_id: str, screen: Screen, answers: str) -> Outcome:
    """Return what the answers given so far tell; nothing is recorded."""
    bars = bars_of_test(test_id, screen)
    if len(answers) != len(bars) or set(answers) - {LEFT, RIGHT}:
        raise MissingEvidenceError(
            "The test is not finished",
            remedy=f"Point at one of two fields {len(bars)} times",
        )
    rows = [
        {**bar.asked, "was_right": bar.side == said}
        for bar, said in zip(bars, answers, strict=True)
    ]
    return outcome(EYES, {"distance_mm": screen.distance_mm, "bars": rows})


def record_eyes(bench: Bench, author: Author, test_id: str, screen: Screen, answers: str) -> Entry:
    """Record a finished test as that of the person at the bench; a further one replaces it."""
    answer = answered_test(test_id, screen, answers)
    bars = bars_of_test(test_id, screen)
    rows = zip(bars, answers, answer["differences"], strict=True)
    record = EyeTest(
        person_id=author.person_id,
        taken_on=today_at(bench).isoformat(),
        distance_mm=screen.distance_mm,
        bars=tuple(
            ShownBar(round(bar.asked["width_mm"], 3), seen, bar.side == said)
            for bar, said, seen in rows
        ),
        noticed=answer["noticed"],
        low=answer["low"],
        high=answer["high"],
        screen=f"{screen.mm_per_px:.4g} mm a pixel, taken to follow sRGB",
    )
    subject = f"{HOUSE_ID}:eyes:{author.person_id}"
    with bench.store.reading() as reader:
        standing = reader.latest("eye_test", subject)
    return record_in_house(bench, author, subject, record, standing.id if standing else "")


def own_verdict(
    reader: Reader, person_id: str, asked: dict[str, Any]
) -> tuple[EyeTest, str] | None:
    """Return a person's test and the verdict for their own eyes, or None without a test."""
    test = eyes_of(reader, person_id)
    if test is None or not asked:
        return None
    noticed = min(max(test.noticed, 0.05), 20.0)
    return test, str(outcome("sight.verdict", {**asked, "noticed": noticed})["text"])


@lru_cache(maxsize=256)
def _bar(place: int, screen: Screen) -> tuple[int, tuple[int, int, int], dict[str, Any]]:
    """Return the bar whose difference as seen comes nearest to the one wanted there."""
    from softmend.catalogue.sight_eyes import TriedBar, bar_difference

    found = []
    # Widths take turns, so that no test is of one width alone.
    for turn in range(2):
        width = _WIDTHS_PX[(place + turn) % len(_WIDTHS_PX)]
        for step in _STEPS:
            srgb = (GROUND_SRGB[0] - step, GROUND_SRGB[1] - step, GROUND_SRGB[2] - step)
            asked: dict[str, Any] = {
                "width_mm": width * screen.mm_per_px, "length_mm": BAR_PX * screen.mm_per_px,
                "bar": list(_lab(srgb)), "ground": list(_lab(GROUND_SRGB)),
            }  # fmt: skip
            seen = bar_difference(TriedBar(**asked, was_right=True), screen.distance_mm)
            found.append((abs(math.log(seen / _WANTED[place])), width, srgb, asked))
    best = min(found, key=lambda one: one[0])
    return best[1], best[2], best[3]


def _side(test_id: str, place: int) -> str:
    return LEFT if _drawn_by_lot(test_id, f"side {place}") % 2 else RIGHT


def _drawn_by_lot(test_id: str, what: str) -> int:
    """Return a number that nobody can guess and that is always the same for one test."""
    return int.from_bytes(hashlib.sha256(f"{test_id}:{what}".encode()).digest()[:4], "big")


def _lab(srgb: Sequence[int]) -> tuple[float, float, float]:
    from softmend.pictures.tint_colour import lab_of_screen

    return lab_of_screen(srgb)
