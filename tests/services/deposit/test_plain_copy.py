"""The plain copy of a dossier: complete, and silent on place and mass but for the registrar."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json

from softmend.records.dossier import ObjectHead
from softmend.services.deposit.plain_copy import dossier_json
from softmend.services.dossiers import describe_object


def test_place_and_mass_leave_only_in_the_copy_of_the_registrar(bench, author, dossier_id) -> None:
    head = ObjectHead(title="antler", location="store 3, shelf B", mass_g=5100.0)
    describe_object(bench, author, dossier_id, head, based_on="")
    with bench.store.reading() as reader:
        bench_copy = dossier_json(reader, dossier_id)
        registrar_copy = dossier_json(reader, dossier_id, for_registrar=True)
    assert "shelf B" not in bench_copy
    assert "5100" not in bench_copy
    assert "shelf B" in registrar_copy
    assert "object_head.mass_g" in json.loads(bench_copy)["withheld"]


def test_the_copy_carries_the_whole_line_of_hashes(bench, author, dossier_id) -> None:
    describe_object(bench, author, dossier_id, ObjectHead(title="antler"), based_on="")
    with bench.store.reading() as reader:
        copy = json.loads(dossier_json(reader, dossier_id))
        head = reader.head(dossier_id)
    assert [line["number"] for line in copy["journal"]] == [1, 2]
    assert copy["journal"][-1]["hash"] == copy["head"]["hash"] == head.hash
