"""Solids in closed form: the oracle of solids.

    python -m tools.oracles.solid

writes tests/checks/softmend-solids.csv and tests/checks/machinerys2020.csv. Nothing of the package
goes in.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from pathlib import Path

CHECKS = Path(__file__).parents[2] / "tests" / "checks"
HEAD = ("name", "inputs", "expected", "tolerance", "kind", "where")

Row = tuple[str, str, str, str, str, str]


def row(name: str, inputs: str, value: float, tolerance: float, where: str) -> Row:
    """Return one line of a file."""
    return name, inputs, f"{value:.9g}", f"{tolerance:.3g}", "recomputed", where


def solid_rows() -> Iterator[Row]:
    """Yield exact volumes, centres, supports, tipping and lengths."""
    yield row("torus_volume", "tube 50 bend 500 angle 1.2 mm; mm3", math.pi * 50**2 * 500 * 1.2,
              6e3, "Pappus")  # fmt: skip
    yield row("torus_centre", "same; mm from the axis",
              (500 + 50**2 / 2000) * math.sin(0.6) / 0.6, 0.5, "Pappus")  # fmt: skip
    r0, r1, bend, turn = 60.0, 8.0, 900.0, 1.6
    volume = math.pi * bend * turn * (r0 * r0 + r0 * r1 + r1 * r1) / 3
    yield row("tusk_volume", "bend 900, 1.6 rad, 60 to 8 mm; mm3", volume, 0.003 * volume,
              "frustum of the axis length")  # fmt: skip
    yield row("tusk_x", "same; mm", 761.0527, 0.5, "integrated")
    yield row("tusk_y", "same; mm", 369.8876, 0.5, "integrated")
    cavity = math.pi * 45**2 * 900 * 0.7 / 3
    yield row("cavity_volume", "cone 45, 0.7 rad; mm3", cavity, 0.003 * cavity, "cone")
    yield row("hollow_x", "tusk without cavity; mm", 729.1055, 0.6, "integrated")
    yield row("hollow_y", "same; mm", 428.3231, 0.6, "integrated")
    yield row("sphere_volume", "r 50; mm3", 4 / 3 * math.pi * 50**3, 1.5e3, "closed form")
    yield row("socket_volume", "r 20 h 30; mm3", math.pi * 400 * 30, 60, "cylinder")
    yield row("bowl_volume", "r 20; mm3", 2 / 3 * math.pi * 8000, 50, "half sphere")
    yield row("pit_volume", "r 20 in a sphere R 60, d 60; mm3", lens(60, 20, 60), 220, "lens")
    yield row(
        "saddle_end_volume", "cone mouth 45 depth 150; mm3", math.pi * 45**2 * 50, 800, "cone"
    )
    half = (math.sqrt(2) - 1) / 2
    yield row("two_best", "overhang / L", half, 5e-4, "equal moments at supports and middle")
    yield row("two_best_moment", "M / (w L2)", half**2 / 2, 5e-5, "w a2 / 2")
    yield row("two_ends_moment", "M / (w L2)", 0.125, 5e-4, "w L2 / 8")
    yield row("three_sixths_moment", "M / (w L2)", 1 / 72, 5e-5, "w (L/6)2 / 2")
    yield row("tip_cube_top", "cube pushed at the top; F/W", 0.5, 1e-9, "d / h")
    yield row("tip_brick_flat", "1 x 2 x 4 flat; degrees", math.degrees(math.atan2(1, 0.5)), 1e-6,
              "atan(d / h)")  # fmt: skip
    yield row("tip_brick_side", "on its 1 x 4 side; degrees", math.degrees(math.atan2(0.5, 1)),
              1e-6, "atan(d / h)")  # fmt: skip
    yield row("tip_cone", "cone R 1, H 4 on its base, pushed at its centre of gravity H / 4; F/W",
              1.0, 0.003, "d / h")  # fmt: skip
    yield row("tip_cone_tilt", "same; degrees", 45.0, 0.1, "atan(d / h)")
    yield row("airy", "overhang / L, end faces parallel", (1 - 1 / math.sqrt(3)) / 2, 5e-4,
              "Airy 1845: spacing L / sqrt 3")  # fmt: skip
    yield row("bessel", "overhang / L, least shortening", 0.220310, 5e-4,
              "the Bessel points, as summarised: spacing 0.5594 L")  # fmt: skip
    yield row("cylinder_on_foam", "R 50, L 200 mm, 50 N, 0.15 MPa / 25 mm; Pa", foam_peak(), 130,
              "parabola on springs; a = (3 F R / 2 k)^(1/3)")  # fmt: skip
    yield row("helix", "R 40, 1.5 rad, 100 mm; mm", math.hypot(60, 100), 0.02, "unrolled")
    yield row("great_circle", "R 50, quarter; mm", 25 * math.pi, 0.04, "R t")
    yield row("cube_pose", "share of one face", 1 / 6, 1e-6, "symmetry")


def lens(big: float, small: float, apart: float) -> float:
    """Return the volume common to two spheres."""
    d, r, s = apart, small, big
    span = d * d + 2 * d * r - 3 * r * r + 2 * d * s + 6 * r * s - 3 * s * s
    return math.pi * (s + r - d) ** 2 * span / (12 * d)


def foam_peak() -> float:
    """Return the peak pressure of a long cylinder on foam [Pa]."""
    k, radius, line = 0.15e6 / 0.025, 0.05, 50 / 0.2
    half = (3 * line * radius / (2 * k)) ** (1 / 3)
    return k * half**2 / (2 * radius)


def curved_rows() -> Iterator[Row]:
    """Yield the factors of a round bar, bent: inside and outside."""
    for ratio in (1.2, 1.4, 1.6, 2.0, 3.0, 4.0, 6.0, 10.0):
        neutral = 1 / (2 * (ratio - math.sqrt(ratio**2 - 1)))
        for name, x in (("inside", 1.0), ("outside", -1.0)):
            value = 0.25 * abs(neutral - ratio + x) / ((ratio - neutral) * (ratio - x))
            where = "Winkler's formula; table 4 prints it to two places"
            where += ", but 2.40 inside at 1.4" if ratio == 1.4 else ""
            yield row(f"{name}_{ratio:g}", f"R/c {ratio:g}; factor", value, 0.005 * value, where)


def main() -> int:
    """Write the two files."""
    files = {
        "softmend-solids": solid_rows(),
        "machinerys2020": curved_rows(),
    }
    for name, rows in files.items():
        with (CHECKS / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            lines = csv.writer(file, lineterminator="\n")
            lines.writerow(HEAD)
            lines.writerows(rows)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
