"""What is refused is told in one sentence: the field, what came, what is allowed, what to do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import InputError


def sentence(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputError) as refused:
        catalogue.run(name, given)
    return str(refused.value)


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
