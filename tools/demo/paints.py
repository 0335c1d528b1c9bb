"""Write the demo's invented readings: drawdowns of paints, pulp with clear skin, and an antler.

    python -m tools.demo.paints

Every curve is made up from formulas, with the noise of a reading on it; no product is meant.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

OUT = Path(__file__).parents[2] / "src" / "softmend" / "demo"
NM = np.arange(400.0, 701.0, 10.0)
FILM_MM, SHARE, K1, K2, NOISE, SEED = 0.06, 0.15, 0.04, 0.6, 0.001, 20
Array = NDArray[np.float64]


def step(at: float, width: float, low: float, high: float) -> Array:
    """Return a curve that falls from high to low over the wavelengths."""
    return low + (high - low) / (1 + np.exp((NM - at) / width))


def hump(at: float, width: float, height: float) -> Array:
    """Return a hump of absorption."""
    return height * np.exp(-(((NM - at) / width) ** 2))


def slope(level: float, power: float) -> Array:
    """Return scattering that follows a power of the wavelength."""
    return level * (NM / 550) ** power


# K and S of the dry paint in 1/mm.
PAINTS: dict[str, tuple[Array, Array]] = {
    "yellow earth": (step(515, 18, 2.5, 60) + hump(640, 60, 2) + hump(435, 25, 8), slope(35, -0.6)),
    "brown earth": (step(560, 70, 14, 48), slope(8, -0.2)),
    "red earth": (step(585, 12, 5, 90), slope(45, 0.2)),
    "green earth": (hump(650, 60, 26) + step(450, 22, 4, 30), slope(20, -0.4)),
    "black": (slope(140, -0.15), slope(2, 0.0)),
    "white": (step(405, 6, 0.15, 25) + 0.02, slope(115, -0.35)),
}
PULP = 0.90 - 0.10 * np.exp(-(NM - 400) / 60)
BLACK, WHITE = np.full(NM.size, 0.045), 0.86 + 0.02 * (NM - 400) / 300


def main() -> None:
    """Write both files."""
    random = np.random.default_rng(SEED)
    rows = [("bare black", BLACK), ("bare white", WHITE)]
    for name, (absorbed, scattered) in PAINTS.items():
        rows += [
            (f"{name} over {ground}", seen(film(SHARE * absorbed, SHARE * scattered, under(below))))
            for ground, below in (("black", BLACK), ("white", WHITE))
        ]
    rows.append(("pulp and clear skin", seen(PULP)))
    write("invented-paints.csv", [(name, read(values, random)) for name, values in rows])
    shares = np.array(list(BONE.values()))
    mixed = [shares @ np.stack([PAINTS[name][which] for name in BONE]) for which in (0, 1)]
    bone = film(mixed[0], mixed[1], PULP)
    places = [
        (f"beam beside the fill, place {place}", read(tilted(seen(bone), random), random))
        for place in range(1, 6)
    ]
    write("invented-antler-colour.csv", places)


BONE = {
    "yellow earth": 0.055, "brown earth": 0.17, "red earth": 0.012, "black": 0.022, "white": 0.02,
}  # fmt: skip


def film(absorbed: Array, scattered: Array, ground: Array) -> Array:
    """Return what a film reflects inside, over a ground (Kubelka's film, finite everywhere)."""
    k, s = absorbed * FILM_MM, scattered * FILM_MM
    root = np.sqrt(k * k + 2 * k * s)
    coth = np.where(root < 1e-3, 1 + root**2 / 3, root / np.tanh(np.maximum(root, 1e-9)))
    return (s - ground * (k + s - coth)) / (k + s - s * ground + coth)


def seen(inside: Array) -> Array:
    """Return what an instrument reads of it, surface light included."""
    return K1 + (1 - K1) * (1 - K2) * inside / (1 - K2 * inside)


def under(outside: Array) -> Array:
    """Return what lies under the surface of a ground as it was read."""
    return (outside - K1) / (1 - K1 - K2 + K2 * outside)


def tilted(values: Array, random: np.random.Generator) -> Array:
    """Return another place of the same material: a little lighter or darker, warmer or cooler."""
    lighter, warmer = random.normal(0, 0.015), random.normal(0, 0.01)
    return values * (1 + lighter + warmer * (NM - 550) / 150)


def read(values: Array, random: np.random.Generator) -> Array:
    """Return a reading with its noise."""
    return np.clip(values + random.normal(0, NOISE, NM.size), 0.0, 1.0)


def write(name: str, rows: list[tuple[str, Array]]) -> None:
    """Write one file, in shares of the light."""
    with (OUT / name).open("w", encoding="utf-8", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(["name", "geometry", "specular", "uv", "aperture_mm", "readings",
                        *(f"{nm:g} nm" for nm in NM)])  # fmt: skip
        for label, values in rows:
            lines.writerow([label, "d/8", "included", "M2", "8", "3",
                            *(f"{value:.4f}" for value in values)])  # fmt: skip


if __name__ == "__main__":
    main()
