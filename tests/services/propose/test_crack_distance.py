"""Near an open crack: the house sets how far, with its ground; until then it is said not to be."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError
from softmend.records.proposal import PlanRemoval
from softmend.records.removal import ByLiquid, CrackDistance, Leaving, Means, RemovalWay
from softmend.records.spot_test import Share
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.propose.crack_distance import house_distance, set_house_distance
from softmend.services.propose.proposals import record_removal
from softmend.services.propose.removing_shown import removal_shown
from softmend.services.propose.removing_ways import near_cracks, record_way
from tests.services.conftest import crack


def words(bench: Bench, dossier_id: str) -> str:
    with bench.store.reading() as reader:
        said = str(near_cracks(reader, dossier_id)["crack_words"])
        assert removal_shown(reader, dossier_id).crack_words == said
    return said


def test_the_distance_is_the_houses_the_removals_or_not_set(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    assert words(bench, dossier_id) == ""
    record_mark(bench, author, dossier_id, crack(view_id))
    assert "stay away by a distance the house has to set" in words(bench, dossier_id)
    with pytest.raises(InputError, match="The distance from a crack needs its ground"):
        set_house_distance(bench, author, CrackDistance(5.0, " "), "")
    with pytest.raises(InputError, match="The distance from a crack is out of range"):
        set_house_distance(bench, author, CrackDistance(0.0, "x"), "")
    first = set_house_distance(bench, author, CrackDistance(5.0, "swabs on a cracked offcut"), "")
    said = words(bench, dossier_id)
    assert "5 mm away (estimated; this house's own value: swabs on a cracked offcut)" in said
    set_house_distance(bench, author, CrackDistance(8.0, "seen again under x 10"), first.id)
    with bench.store.reading() as reader:
        assert house_distance(reader)[1] == CrackDistance(8.0, "seen again under x 10")
    removal = PlanRemoval(0, "varnish", "it lifts", carries="nothing", kept_where="not kept")
    record_removal(bench, author, dossier_id, removal)
    by = ByLiquid((Share("heptane"),), stays_away_mm=3.0)
    way = RemovalWay(1, Leaving.TAKE_OFF, "it lifts", "P. Person", means=Means.LIQUID,
                     by_liquid=by)  # fmt: skip
    record_way(bench, author, dossier_id, way, "")
    assert "3 mm away (estimated)" in words(bench, dossier_id)
