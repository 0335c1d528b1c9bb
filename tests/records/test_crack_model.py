"""What is said of a crack: three points that rise, inside what is possible, or nothing at all."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json

import pytest

from softmend.errors import InputError
from softmend.records.crack_model import Basis, BodyAround, CrackModel, Told, checked_model
from softmend.records.kinds import KINDS, kind_of
from softmend.records.payload import from_plain, payload_text

STIFF = Told(0.8, 2.5, 6.0, Basis.ESTIMATED, "our own judgement")


def test_nothing_said_is_an_answer() -> None:
    assert checked_model(CrackModel()) == CrackModel()
    assert CrackModel().preservation == "not known"


def test_it_comes_back_as_it_was_written() -> None:
    said = CrackModel(body=BodyAround.HOLLOW, radius_mm=Told(28, 33, 38), modulus_gpa=STIFF)
    plain = json.loads(payload_text(said))
    assert from_plain(KINDS[kind_of(said)].record, plain) == said


@pytest.mark.parametrize("points", [(2.5, 2.5, 2.5), (6.0, 2.5, 0.8)])
def test_nobody_knows_a_value_exactly_or_in_disorder(points: tuple[float, float, float]) -> None:
    with pytest.raises(InputError, match="needs three points that rise: low, typical, high; got "):
        checked_model(CrackModel(modulus_gpa=Told(*points)))


def test_a_value_outside_what_is_possible_is_refused_with_its_limits() -> None:
    with pytest.raises(InputError, match=r"got 0.2, 0.3, 0.6; allowed: 0 to 0.49"):
        checked_model(CrackModel(poisson=Told(0.2, 0.3, 0.6)))


def test_a_hollow_lies_inside_its_shaft() -> None:
    with pytest.raises(InputError, match="The hollow is not inside the shaft; got 40 of 33 mm"):
        checked_model(
            CrackModel(
                body=BodyAround.HOLLOW, radius_mm=Told(28, 33, 38), inner_radius_mm=Told(35, 40, 45)
            )
        )
