"""Paints, lamps, trial cards, recipes and colours: what each must say, and what never mixes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.colour_reading import (
    ColourChart,
    ColourReading,
    ReadHow,
    ReadPlace,
    checked_chart,
    checked_colours,
)
from softmend.records.kinds import KINDS, kind_of
from softmend.records.lamp import Lamp, LampPlace, checked_lamp
from softmend.records.paint import (
    Paint,
    PaintRole,
    PaintStock,
    Reading,
    ReadingOf,
    checked_paint,
    ways_in_words,
)
from softmend.records.payload import as_plain, from_plain
from softmend.records.tint_recipe import TintRecipe, TintWay, checked_recipe
from softmend.records.trial_card import Beside, Dryness, Seen, TrialCard, Way, checked_card

CURVE = Reading(
    "yellow earth", ReadingOf.OVER_WHITE, (400.0, 550.0, 700.0), (0.1, 0.4, 0.6), "d/8", "included"
)
PAINT = Paint("yellow earth", PaintRole.PAINT, (CURVE,), 60.0, 15.0)
CARD = TrialCard(0, 5, "5 g binder, 12 drops yellow earth", dryness=Dryness.DRY)
EYE = TintRecipe(
    5, TintWay.BY_EYE, ("12 drops yellow earth",), found_again="hatch", trial_card_number=1
)


@pytest.mark.parametrize(
    "record",
    [
        PAINT,
        Lamp("gallery 2", LampPlace.GALLERY, "LED-B2"),
        CARD,
        EYE,
        ColourReading(0, ReadHow.INSTRUMENT, (ReadPlace("beam", "curve", reading=CURVE),)),
        ColourChart("ours", 2, 3, ((50.0, 0.0, 0.0),) * 6),
    ],
)
def test_a_record_comes_back_from_its_payload_as_it_was(record: object) -> None:
    kind = KINDS[kind_of(record)]
    assert from_plain(kind.record, as_plain(record)) == record


def test_readings_with_and_without_the_surface_light_never_mix() -> None:
    other = replace(CURVE, name="another", specular="excluded")
    with pytest.raises(InputError, match="specular part are mixed"):
        checked_paint(replace(PAINT, readings=(CURVE, other)))


def test_unlike_geometries_are_told_and_kept() -> None:
    other = replace(CURVE, geometry="45/0")
    both = checked_paint(replace(PAINT, readings=(CURVE, other)))
    assert "The readings differ in geometry: 45/0, d/8." in ways_in_words(both.readings)
    assert "The UV setting of the readings is not known." in ways_in_words(both.readings)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (replace(PAINT, name=" "), "needs a name"),
        (replace(PAINT, stocks=(PaintStock("neat", 80.0, 30.0),)), "impossible share"),
        (replace(PAINT, stocks=(PaintStock("neat", 5.0, 15.0, 3.0),)), "impossible mass"),
        (replace(PAINT, readings=(replace(CURVE, values=(0.1, 40.0, 60.0)),)), "out of range"),
        (replace(PAINT, readings=(replace(CURVE, values=(0.1,)),)), "no curve"),
    ],
)
def test_an_impossible_paint_is_refused_in_one_sentence(wrong: Paint, words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_paint(wrong)


def test_the_newest_reading_of_something_counts() -> None:
    newer = replace(CURVE, name="again")
    found = replace(PAINT, readings=(CURVE, newer)).reading(ReadingOf.OVER_WHITE)
    assert found == newer
    assert PAINT.reading(ReadingOf.OVER_BLACK) is None


def test_a_lamp_is_of_the_set_or_of_a_file_and_never_of_both_or_none() -> None:
    with pytest.raises(InputError, match="not told, or told twice"):
        checked_lamp(Lamp("gallery", LampPlace.GALLERY))
    with pytest.raises(InputError, match="not told, or told twice"):
        checked_lamp(Lamp("gallery", LampPlace.GALLERY, "LED-B2", "led", "l.csv", "a" * 64))
    own = checked_lamp(Lamp("gallery", LampPlace.GALLERY, "", "led", "l.csv", "a" * 64))
    assert own.asked_as == "led"


def test_a_trial_is_judged_dry_and_keeps_what_was_mixed() -> None:
    assert checked_card(CARD) is CARD
    with pytest.raises(InputError, match="judged dry"):
        checked_card(replace(CARD, dryness=Dryness.WET, beside=Beside.SAME))
    with pytest.raises(InputError, match="judged dry"):
        checked_card(
            replace(CARD, dryness=Dryness.NOT_KNOWN, from_far=Seen.NOT_SEEN, from_near=Seen.SEEN)
        )
    with pytest.raises(InputError, match="keeps what was mixed"):
        checked_card(replace(CARD, mixed="not known"))
    with pytest.raises(InputError, match="differs in some way"):
        checked_card(replace(CARD, beside=Beside.CLEAR))
    assert checked_card(replace(CARD, beside=Beside.CLEAR, way=Way.REDDER)).way is Way.REDDER
    with pytest.raises(InputError, match="nearer than the visitor"):
        checked_card(replace(CARD, near_mm=2000.0))


def test_a_tone_that_nobody_can_find_again_is_not_recorded() -> None:
    assert checked_recipe(EYE) is EYE
    with pytest.raises(RuleError, match="find again"):
        checked_recipe(replace(EYE, found_again="not known"))
    with pytest.raises(InputError, match="names its trial card"):
        checked_recipe(replace(EYE, trial_card_number=0))
    with pytest.raises(InputError, match="what is mixed"):
        checked_recipe(replace(EYE, lines=("",)))


def test_colours_of_the_object_have_a_name_and_a_colour_and_go_together() -> None:
    place = ReadPlace("beam", "curve", reading=CURVE)
    other = ReadPlace("tine", "curve", reading=replace(CURVE, specular="excluded"))
    reading = ColourReading(0, ReadHow.INSTRUMENT, (place,))
    assert checked_colours(reading) is reading
    with pytest.raises(InputError, match="mixed"):
        checked_colours(replace(reading, places=(place, other)))
    with pytest.raises(InputError, match="No place"):
        checked_colours(replace(reading, places=()))
    with pytest.raises(InputError, match="a name and a colour"):
        checked_colours(replace(reading, places=(ReadPlace("beam", "not known"),)))
    with pytest.raises(InputError, match="another number of colours"):
        checked_chart(ColourChart("ours", 3, 6, ((50.0, 0.0, 0.0),) * 6))
