"""Shapes as JSON carries them (type and coordinates) and as records hold them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from softmend.errors import InputError
from softmend.records.drawing import MOST_POSITIONS
from softmend.records.mark import Geometry, Shape

Number = Annotated[float, Field(ge=-100_000, le=100_000, allow_inf_nan=False)]
# A list of a fixed length, not a tuple: its JSON Schema is the one that every tool can read.
Position = Annotated[list[Number], Field(min_length=2, max_length=2)]
Part = Annotated[list[Position], Field(max_length=MOST_POSITIONS)]


class Drawn(BaseModel):
    """What every shape shares: nothing but what is named below is taken."""

    model_config = ConfigDict(extra="forbid")


class PointShape(Drawn):
    """One place."""

    type: Literal["Point"]
    coordinates: Position


class LineShape(Drawn):
    """A line of places; a draft may hold one only."""

    type: Literal["LineString"]
    coordinates: Part


class AreaShape(Drawn):
    """A ring and its holes; rings are open: the last place is not the first again."""

    type: Literal["Polygon"]
    coordinates: Annotated[list[Part], Field(max_length=1000)]


AnyShape = Annotated[PointShape | LineShape | AreaShape, Field(discriminator="type")]
_SHAPES: TypeAdapter[PointShape | LineShape | AreaShape] = TypeAdapter(AnyShape)


def geometry_of(shape: PointShape | LineShape | AreaShape) -> Geometry:
    """Return a shape as records hold it; the service checks it against its view."""
    if isinstance(shape, PointShape):
        parts = [[shape.coordinates]]
    elif isinstance(shape, LineShape):
        parts = [shape.coordinates]
    else:
        parts = shape.coordinates
    return Geometry(Shape(shape.type), tuple(tuple((x, y) for x, y in part) for part in parts))


def geometry_in(text: str) -> Geometry:
    """Return the shape that a form's hidden field carries."""
    try:
        return geometry_of(_SHAPES.validate_json(text))
    except ValidationError as wrong:
        raise InputError(
            "There is no whole drawing", remedy="Draw it on the picture and press Done"
        ) from wrong


def shape_json(geometry: Geometry) -> dict[str, Any]:
    """Return a geometry as JSON carries it."""
    parts = [[list(position) for position in part] for part in geometry.parts]
    if geometry.shape is Shape.POINT:
        return {"type": "Point", "coordinates": parts[0][0]}
    if geometry.shape is Shape.LINE:
        return {"type": "LineString", "coordinates": parts[0]}
    return {"type": "Polygon", "coordinates": parts}
