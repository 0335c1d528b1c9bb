"""The computations of the catalogue: list, schema, run."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Path, Query
from pydantic import BaseModel

from softmend import catalogue
from softmend.services.computing import kept_files
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere

router = APIRouter(prefix="/compute", tags=["compute"], responses=Refusals)

Name = Annotated[str, Path(pattern=r"^[a-z_]{1,40}\.[a-z_]{1,40}$")]


class ComputationLine(BaseModel):
    """One computation of the catalogue."""

    name: str
    title: str
    formula: str
    sources: list[str]
    cautions: list[str]


class Schemas(BaseModel):
    """What goes in and what comes out, as JSON Schema."""

    input: dict[str, Any]
    output: dict[str, Any]


@router.get("")
def list_computations() -> list[ComputationLine]:
    """List the computations."""
    entries = [catalogue.entry(name) for name in catalogue.names()]
    return [
        ComputationLine(
            name=entry.name,
            title=entry.title,
            formula=entry.formula,
            sources=list(entry.sources),
            cautions=list(entry.cautions),
        )
        for entry in entries
    ]


@router.get("/{name}/schema")
def schema(name: Name) -> Schemas:
    """Give the JSON Schema of a computation's input and output."""
    entry = catalogue.entry(name)
    return Schemas(
        input=entry.input_model.model_json_schema(), output=entry.output_model.model_json_schema()
    )


@router.post("/{name}")
def compute(
    bench: BenchHere,
    name: Name,
    payload: Annotated[dict[str, Any], Body()],
    seed: Annotated[int, Query(ge=0, le=2_147_483_647)] = 0,
) -> dict[str, Any]:
    """Run a computation; the same input and seed give the same answer.

    A field whose name ends in `_file` is the SHA-256 of a kept file.
    """
    files = kept_files(bench, catalogue.files_named(payload))
    return catalogue.run(name, payload, seed, files)
