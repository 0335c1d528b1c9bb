"""The demo's places: an invented gallery and store as their loggers saw them, and a case."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Mapping, Sequence
from datetime import timedelta
from importlib.resources import as_file, files
from typing import Any

from softmend.records.light import LightPlan, PastLight
from softmend.records.logger_file import Beside, LoggerFile
from softmend.records.payload import from_plain
from softmend.records.place import ObjectInAir, ObjectPlace, Place
from softmend.records.showcase import Showcase
from softmend.services.bench import Author, Bench
from softmend.services.hand_over.light import keep_light, plan_light, record_past_light
from softmend.services.legal_flags import today_at
from softmend.services.places.house import record_case, record_place
from softmend.services.places.reading import confirm, take_in
from softmend.services.places.tied import say_of_object, stand_object

Told = Mapping[str, Any]


def lay_out_places(bench: Bench, author: Author, dossier_ids: Sequence[str]) -> None:
    """Bring in the invented records as a person would, describe the case, and tie the objects."""
    told = tomllib.loads((files("softmend") / "demo" / "places.toml").read_text("utf-8"))
    places = {one["key"]: _place(bench, author, one) for one in told["place"]}
    case = {**told["case"]["record"], "place_id": places[told["case"]["place"]]}
    showcase_id = record_case(bench, author, from_plain(Showcase, case)).subject_id
    _hang(bench, author, case["place_id"], told["case"]["hung"], showcase_id)
    for one in told["stands"]:
        _stand(bench, author, dossier_ids[one["dossier"]], one, places, showcase_id)


def _place(bench: Bench, author: Author, told: Told) -> str:
    named = {name: told[name] for name in ("name", "kind", "zone", "note")}
    place_id = record_place(bench, author, from_plain(Place, named)).subject_id
    _hang(bench, author, place_id, told)
    return place_id


def _hang(bench: Bench, author: Author, place_id: str, told: Told, showcase_id: str = "") -> None:
    """Bring in a logger's file and confirm how it reads, in the room or in a case."""
    with (
        as_file(files("softmend") / "demo" / told["file"]) as source,
        bench.store.files.working_folder() as folder,
    ):
        copy = folder / "received"
        shutil.copyfile(source, copy)
        sha256 = take_in(bench, copy)
    blank = LoggerFile(
        place_id=place_id,
        logger=told["logger"],
        original_name=told["file"],
        original_sha256=sha256,
        delimiter="",
        decimal="",
        day_order="",
        zone="",
        temperature_unit="",
        humidity_unit="",
        start_at="",
        end_at="",
        reading_count=0,
        step_hours=0.0,
        coverage_percent=0.0,
        beside=Beside.CASE if showcase_id else Beside.ROOM,
        showcase_id=showcase_id,
        **{
            name: told[name]
            for name in ("sensor_percent", "rh_offset_percent", "calibrated_on", "calibrated_how")
        },
    )
    confirm(bench, author, blank, {"zone": told["clock"]})


def _stand(
    bench: Bench,
    author: Author,
    dossier_id: str,
    told: Told,
    places: Mapping[str, str],
    showcase_id: str,
) -> None:
    first = today_at(bench) + timedelta(days=told["days_from_now"])
    stands = ObjectPlace(
        places[told["place"]],
        first.isoformat(),
        showcase_id if told["in_case"] else "",
        because=told["because"],
    )
    stand_object(bench, author, dossier_id, stands, "")
    say_of_object(bench, author, dossier_id, from_plain(ObjectInAir, told["body"]), "")
    plan_light(bench, author, dossier_id, from_plain(LightPlan, told["light"]), "")
    for past in told["past"]:
        record_past_light(bench, author, dossier_id, from_plain(PastLight, past))
    keep_light(bench, author, dossier_id)
