"""What is refused is told in one sentence: the field, what came, what is allowed, what to do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from softmend import catalogue
from softmend.catalogue.refusal import refused
from softmend.errors import InputError, SoftmendError


def sentence(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputError) as raised:
        catalogue.run(name, given)
    return str(raised.value)


def test_a_name_typed_otherwise_is_answered_with_the_nearest_one() -> None:
    said = sentence("survey.size", {"half_width_percents": 5})
    assert "There is no field “half_width_percents”" in said
    assert "did you mean “half_width_percent”" in said


def test_an_unknown_name_deep_inside_lists_the_names_there() -> None:
    given = {"bars": [{"span_mm": 50, "breadth_mm": 10, "tall_mm": 5, "readings": []}]}
    said = sentence("bench.bending", given)
    assert "There is no field “bars.0.tall_mm”" in said
    assert "breadth_mm" in said
    assert "height_mm" in said
    assert "readings" in said


def test_a_missing_name_is_named() -> None:
    said = sentence("bench.shrinkage", {"usual_scatter": 0.3})
    assert "The field “bars” is missing; got nothing" in said


@pytest.mark.parametrize("name", catalogue.names())
def test_every_computation_refuses_a_stranger_s_field_in_words(name: str) -> None:
    said = sentence(name, {"no_such_field_here": 1})
    assert "There is no field “no_such_field_here”; got 1; allowed: " in said
    assert said.count("allowed") == 1


AIR = {"parts": ["acetone"], "used_ml_per_h": 5, "work_minutes": 60, "room_volume_m3": 50,
       "air_changes_per_h": 3}  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"stays_minutes": 900}, "“stays_minutes” is out of range; got 900; allowed: a number from "
                                 "0 to 480; softmend compute --schema exposure.air shows"),
        ({"parts": {"acetone": 150}}, "“parts.0.volume_percent” is out of range; got 150; allowed: "
                                      "a number above 0 up to 100;"),
        ({"carrier": "bucket"}, "“carrier” is not one of the words known here; got bucket; "
                                "allowed: swab, drop, brush,"),
        ({"parts": []}, "“parts” has too few values; got 0 values; allowed: a list of 1 to 8"),
        ({"parts": ["x" * 400]}, "“parts.0.solvent” is too long; got 400 characters; allowed: text "
                                 "of 1 to 200 characters"),
        ({"used_ml_per_h": "5 mL"}, "“used_ml_per_h” is not a number; got 5 mL; allowed: a number, "
                                    "or named values: kind, origin, value"),
        ({"used_ml_per_h": True}, "“used_ml_per_h” is not a number; got true;"),
        ({"stays_minutes": "x"}, "Write the number alone, with a decimal point, without quotes"),
        ({"air_changes_per_h": 1e99}, "“air_changes_per_h.value” is out of range; got 1e+99; "
                                      "allowed: a number from -1000000000 to 1000000000"),
        ({"limit_list": 3}, "“limit_list” is not text; got 3; allowed: text of up to 500"),
    ],
)  # fmt: skip
def test_what_cannot_stand_is_told_with_what_is_allowed(wrong: dict[str, Any], words: str) -> None:
    assert words in sentence("exposure.air", AIR | wrong)


WRONG: tuple[Any, ...] = ("no such word", -1e99, float("nan"), [], {}, None, [[[]]], "x" * 9000)
BORROWED = ("Input should", "should be a valid", "should have at", "validation", "dictionary",
            "instance of", "unable to parse", "constrained", "NoneType")  # fmt: skip


@pytest.mark.parametrize("name", catalogue.names())
def test_no_computation_refuses_in_the_words_of_a_library(name: str) -> None:
    model = catalogue.entry(name).input_model
    told = 0
    for field, wrong in [(field, wrong) for field in model.model_fields for wrong in WRONG]:
        try:
            model.model_validate({field: wrong})
        except ValidationError as faults:
            said = str(refused(faults, model, name))
        except SoftmendError as ours:
            said = str(ours)
        else:
            continue
        told += 1
        assert not [words for words in BORROWED if words in said], said
        assert said.count("; allowed: ") <= 1, said
    assert told
