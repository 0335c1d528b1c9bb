"""What a colour file is written from: curves of reflectance and how they were measured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from softmend.errors import InputError

MADE_BY = "Softmend"
NOT_KNOWN = "not known"


class Curve(Protocol):
    """A reflectance in shares of the light at rising wavelengths, and its measurement."""

    @property
    def name(self) -> str:
        """What was measured."""

    @property
    def wavelengths_nm(self) -> tuple[float, ...]:
        """Rising wavelengths."""

    @property
    def values(self) -> tuple[float, ...]:
        """Shares of the light, 0 to 1."""

    @property
    def geometry(self) -> str:
        """Such as 45/0 or d/8."""

    @property
    def specular(self) -> str:
        """Included, excluded or not known."""

    @property
    def uv(self) -> str:
        """The measurement condition, M0 to M3, or not known."""

    @property
    def backing(self) -> str:
        """What lay below, or not known."""

    @property
    def aperture_mm(self) -> float | None:
        """Width of what the instrument saw."""

    @property
    def readings(self) -> int | None:
        """How many readings were averaged."""


def common_raster(curves: Sequence[Curve]) -> tuple[float, ...]:
    """Return the wavelengths of all curves; curves of different ones cannot share a file."""
    rasters = {one.wavelengths_nm for one in curves if one.wavelengths_nm}
    if len(rasters) != 1:
        raise InputError(
            "The curves have different wavelengths, or none",
            value=f"{len(rasters)} sets of wavelengths",
            allowed="one set for all curves of a file",
            remedy="Export those of one instrument at a time",
        )
    return next(iter(rasters))


def common_measurement(curves: Sequence[Curve]) -> tuple[str, str, str]:
    """Return geometry, specular part and UV of all curves; unlike ones never share a file."""
    ways = {(one.geometry, one.specular, one.uv) for one in curves}
    if len(ways) != 1:
        raise InputError(
            "The curves were measured in different ways",
            value="; ".join(sorted(" ".join(one) for one in ways))[:160],
            allowed="one geometry, specular and UV setting for all curves of a file",
            remedy="Export each way of measuring into a file of its own",
        )
    return next(iter(ways))


def plain(value: float) -> str:
    """Return a number to the digits an instrument has, without an exponent."""
    return f"{value:.6f}".rstrip("0").rstrip(".")
