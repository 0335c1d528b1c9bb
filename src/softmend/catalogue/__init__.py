"""The computations by name, each found in the module of its stage when it is asked for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from softmend.catalogue.named_files import files_named as files_named
from softmend.errors import NotFoundError

if TYPE_CHECKING:
    from softmend.catalogue.computation import Computation

Stage = Callable[[], "Mapping[str, Computation]"]


def _photo() -> Mapping[str, Computation]:
    from softmend.catalogue.photo import COMPUTATIONS

    return COMPUTATIONS


def _fill() -> Mapping[str, Computation]:
    from softmend.catalogue.fill import COMPUTATIONS

    return COMPUTATIONS


def _condition() -> Mapping[str, Computation]:
    from softmend.catalogue.condition import COMPUTATIONS

    return COMPUTATIONS


def _mixture() -> Mapping[str, Computation]:
    from softmend.catalogue.mixture import COMPUTATIONS

    return COMPUTATIONS


def _effort() -> Mapping[str, Computation]:
    from softmend.catalogue.effort import COMPUTATIONS

    return COMPUTATIONS


def _survey() -> Mapping[str, Computation]:
    from softmend.catalogue.survey import COMPUTATIONS

    return COMPUTATIONS


def _film() -> Mapping[str, Computation]:
    from softmend.catalogue.film import COMPUTATIONS

    return COMPUTATIONS


def _join() -> Mapping[str, Computation]:
    from softmend.catalogue.join import COMPUTATIONS

    return COMPUTATIONS


def _cycles() -> Mapping[str, Computation]:
    from softmend.catalogue.cycles import COMPUTATIONS

    return COMPUTATIONS


def _bench() -> Mapping[str, Computation]:
    from softmend.catalogue.bench import COMPUTATIONS

    return COMPUTATIONS


def _moisture() -> Mapping[str, Computation]:
    from softmend.catalogue.moisture import COMPUTATIONS

    return COMPUTATIONS


def _joint() -> Mapping[str, Computation]:
    from softmend.catalogue.joint import COMPUTATIONS

    return COMPUTATIONS


def _eyes_trace() -> Mapping[str, Computation]:
    from softmend.catalogue.eyes_trace import COMPUTATIONS

    return COMPUTATIONS


def _eyes_width() -> Mapping[str, Computation]:
    from softmend.catalogue.eyes_width import COMPUTATIONS

    return COMPUTATIONS


def _climate() -> Mapping[str, Computation]:
    from softmend.catalogue.climate import COMPUTATIONS

    return COMPUTATIONS


def _climate_band() -> Mapping[str, Computation]:
    from softmend.catalogue.climate_band import COMPUTATIONS

    return COMPUTATIONS


def _colour() -> Mapping[str, Computation]:
    from softmend.catalogue.colour import COMPUTATIONS

    return COMPUTATIONS


def _colour_photograph() -> Mapping[str, Computation]:
    from softmend.catalogue.colour_photograph import COMPUTATIONS

    return COMPUTATIONS


def _tint() -> Mapping[str, Computation]:
    from softmend.catalogue.tint import COMPUTATIONS

    return COMPUTATIONS


def _tint_recipe() -> Mapping[str, Computation]:
    from softmend.catalogue.tint_recipe import COMPUTATIONS

    return COMPUTATIONS


def _sight_eyes() -> Mapping[str, Computation]:
    from softmend.catalogue.sight_eyes import COMPUTATIONS

    return COMPUTATIONS


def _sight_surround() -> Mapping[str, Computation]:
    from softmend.catalogue.sight_surround import COMPUTATIONS

    return COMPUTATIONS


def _sight() -> Mapping[str, Computation]:
    from softmend.catalogue.sight import COMPUTATIONS

    return COMPUTATIONS


def _eyes_suggest() -> Mapping[str, Computation]:
    from softmend.catalogue.eyes_suggest import COMPUTATIONS

    return COMPUTATIONS


def _eyes_register() -> Mapping[str, Computation]:
    from softmend.catalogue.eyes_register import COMPUTATIONS

    return COMPUTATIONS


def _eyes_change() -> Mapping[str, Computation]:
    from softmend.catalogue.eyes_change import COMPUTATIONS

    return COMPUTATIONS


def _solvency() -> Mapping[str, Computation]:
    from softmend.catalogue.solvency import COMPUTATIONS

    return COMPUTATIONS


def _exposure() -> Mapping[str, Computation]:
    from softmend.catalogue.exposure import COMPUTATIONS

    return COMPUTATIONS


def _climate_response() -> Mapping[str, Computation]:
    from softmend.catalogue.climate_response import COMPUTATIONS

    return COMPUTATIONS


def _showcase() -> Mapping[str, Computation]:
    from softmend.catalogue.showcase import COMPUTATIONS

    return COMPUTATIONS


def _showcase_gel() -> Mapping[str, Computation]:
    from softmend.catalogue.showcase_gel import COMPUTATIONS

    return COMPUTATIONS


def _showcase_exchange() -> Mapping[str, Computation]:
    from softmend.catalogue.showcase_exchange import COMPUTATIONS

    return COMPUTATIONS


def _coating() -> Mapping[str, Computation]:
    from softmend.catalogue.coating import COMPUTATIONS

    return COMPUTATIONS


def _light() -> Mapping[str, Computation]:
    from softmend.catalogue.light import COMPUTATIONS

    return COMPUTATIONS


def _fragment() -> Mapping[str, Computation]:
    from softmend.catalogue.fragment import COMPUTATIONS

    return COMPUTATIONS


def _solid() -> Mapping[str, Computation]:
    from softmend.catalogue.solid import COMPUTATIONS

    return COMPUTATIONS


def _solid_section() -> Mapping[str, Computation]:
    from softmend.catalogue.solid_section import COMPUTATIONS

    return COMPUTATIONS


def _solid_mass() -> Mapping[str, Computation]:
    from softmend.catalogue import solid_filled, solid_mass

    return {**solid_mass.COMPUTATIONS, **solid_filled.COMPUTATIONS}


def _solid_void() -> Mapping[str, Computation]:
    from softmend.catalogue.solid_void import COMPUTATIONS

    return COMPUTATIONS


def _solid_supports() -> Mapping[str, Computation]:
    from softmend.catalogue import solid_seen, solid_supports

    return {**solid_supports.COMPUTATIONS, **solid_seen.COMPUTATIONS}


def _solid_bending() -> Mapping[str, Computation]:
    from softmend.catalogue.solid_bending import COMPUTATIONS

    return COMPUTATIONS


def _solid_change() -> Mapping[str, Computation]:
    from softmend.catalogue.solid_change import COMPUTATIONS

    return COMPUTATIONS


# Name of a computation -> what loads its module; the names are read without importing any of them.
STAGES: dict[str, Stage] = {
    "photo.scale": _photo,
    "photo.length": _photo,
    "photo.area": _photo,
    "photo.trace": _eyes_trace,
    "photo.width": _eyes_width,
    "photo.suggest": _eyes_suggest,
    "photo.register": _eyes_register,
    "photo.change": _eyes_change,
    "fragment.outlines": _fragment,
    "fragment.seats": _fragment,
    "fill.volume": _fill,
    "condition.overall": _condition,
    "mixture.convert": _mixture,
    "effort.hours": _effort,
    "effort.finish": _effort,
    "moisture.opening": _moisture,
    "moisture.response": _moisture,
    "joint.load_sharing": _joint,
    "joint.first_to_give": _joint,
    "joint.compare_fills": _joint,
    "film.explain": _film,
    "join.holds": _join,
    "cycles.rainflow": _cycles,
    "bench.bending": _bench,
    "bench.shrinkage": _bench,
    "bench.pull_off": _bench,
    "survey.size": _survey,
    "survey.interval": _survey,
    "survey.agreement": _survey,
    "colour.lab": _colour,
    "colour.difference": _colour,
    "colour.from_photograph": _colour_photograph,
    "tint.film": _tint,
    "tint.characterise": _tint,
    "tint.recipe": _tint_recipe,
    "tint.correct": _tint_recipe,
    "sight.verdict": _sight,
    "sight.window": _sight,
    "sight.surround": _sight_surround,
    "sight.eyes": _sight_eyes,
    "climate.air": _climate,
    "climate.read": _climate,
    "climate.band": _climate_band,
    "climate.response": _climate_response,
    "showcase.simulate": _showcase,
    "showcase.buffer": _showcase_gel,
    "showcase.air_exchange": _showcase_exchange,
    "coating.worth": _coating,
    "light.budget": _light,
    "solvency.blend_position": _solvency,
    "solvency.spot": _solvency,
    "solvency.next_swab": _solvency,
    "solvency.blends": _solvency,
    "solvency.drift": _solvency,
    "exposure.air": _exposure,
    "exposure.mixture": _exposure,
    "solid.check": _solid,
    "solid.volume": _solid,
    "solid.section": _solid_section,
    "solid.mass": _solid_mass,
    "solid.filled_mass": _solid_mass,
    "solid.void": _solid_void,
    "solid.supports": _solid_supports,
    "solid.bending": _solid_bending,
    "solid.surface_length": _solid_change,
    "solid.compare": _solid_change,
    "solid.marks_along": _solid_supports,
}


def names() -> list[str]:
    """Return the names of all computations, sorted."""
    return sorted(STAGES)


def entry(name: str) -> Computation:
    """Return one computation; NotFoundError names the ones there are."""
    if name not in STAGES:
        raise NotFoundError(
            "There is no computation of that name", value=name, allowed=", ".join(names())
        )
    return STAGES[name]()[name]


def schema(name: str) -> dict[str, Any]:
    """Return what a computation takes and gives, as two JSON schemas, with its title."""
    wanted = entry(name)
    return {
        "name": wanted.name,
        "title": wanted.title,
        "input": wanted.input_model.model_json_schema(),
        "output": wanted.output_model.model_json_schema(mode="serialization"),
    }


def run(
    name: str,
    payload: Mapping[str, Any],
    seed: int = 0,
    files: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Run a computation on plain data and return plain data; InputError says what is wrong.

    `files` holds what was decoded for each field whose name ends in `_file`.
    """
    from pydantic import ValidationError

    from softmend.catalogue.computation import Asked
    from softmend.catalogue.refusal import refused

    wanted = entry(name)
    try:
        inputs = wanted.input_model.model_validate(dict(payload))
    except ValidationError as wrong:
        raise refused(wrong, wanted.input_model, name) from wrong
    answer = wanted.function(inputs, Asked(seed=seed, files=files or {}))
    return answer.model_dump(mode="json")
