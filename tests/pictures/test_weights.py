"""Pictures are lettered in weights that the print knows: another falls to the thinnest."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from tests.house.sources import PACKAGE

PRINTED = {"400", "500", "600", "700"}


def test_every_weight_of_a_picture_prints_as_it_is_seen() -> None:
    found = {
        (path.name, weight)
        for path in (PACKAGE / "pictures").glob("*.py")
        for weight in re.findall(r'font[-_]weight="(\d+)"', path.read_text(encoding="utf-8"))
    }
    assert found
    assert {one for one in found if one[1] not in PRINTED} == set()
