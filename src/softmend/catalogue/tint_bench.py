"""What recipe and correction share: the skin, the paints, the lamps, and how a mixture is told."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from softmend.catalogue.colour import FileName, Lamps
from softmend.catalogue.colour_reading import (
    Curve,
    ObserverDegrees,
    Reading,
    curve_of,
    on_raster,
    raster_for,
    reflectance_of,
    resampling_words,
    same_way,
    weights_of,
)
from softmend.catalogue.computation import Asked, Model, Number, WorkingValue
from softmend.catalogue.tint_paint import (
    MM_PER_UM,
    Paint,
    Percent,
    ReadyPaint,
    Surface,
    Thickness,
    ready_paint,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.dose import Stock as DoseStock
    from softmend.science.tint.palette import Palette, Skin
    from softmend.science.tint.ranking import ErrorBudget as Budget
    from softmend.science.tint.recipe import Target
    from softmend.science.uncertain import Array

KG_PER_G = 1e-3
LEAST_SHARE = 1e-6
"""A share of the skin below which a paint is left out."""
Spread = Annotated[Number, Field(ge=0, le=50)]


class ErrorBudget(Model):
    """What goes wrong between recipe and fill: standard deviations in percent.

    Coat thickness, tinting strength of each paint, each dose, the pulp, and one reading (percent of
    full white). Coat thickness is the largest: weigh the coat, or give the number of coats.
    """

    coat_percent: Spread = 15.0
    strength_percent: Spread = 5.0
    dose_percent: Spread = 3.0
    ground_percent: Spread = 1.0
    reading_percent: Annotated[Number, Field(ge=0, le=5)] = 0.3

    def budget(self) -> Budget:
        """Return the same for the ranking."""
        from softmend.science.tint.ranking import ErrorBudget as Budget

        return Budget(
            self.coat_percent / 100, self.strength_percent / 100, self.dose_percent / 100,
            self.ground_percent / 100, self.reading_percent / 100,
        )  # fmt: skip


class MixingBatch(Model):
    """How much is mixed: grams, dry matter in the mixture and in the binder's bottle."""

    batch_g: Annotated[Number, Field(gt=0, le=10_000)] = 5.0
    solids_percent: Percent = 20.0
    binder_solids_percent: Percent = 50.0


def _three_lamps() -> list[str]:
    return ["D65", "LED-B2", "FL11"]


class SkinInput(Model):
    """What recipe and correction both need.

    `target` is the colour wanted; `ground` pulp + clear skin as read (a curve). `paints` are
    counted, up to `most_paints` in a mixture; `white` may join each; the rest is `binder` (clear
    when it is left out). The lamps should be one of daylight, a warm LED and a narrow-band one, or
    the gallery's own from `lamp_file`.
    """

    target: Reading
    ground: Reading
    paints: Annotated[list[Paint], Field(min_length=1, max_length=40)]
    white: Paint | None = None
    binder: Paint | None = None
    thickness_um: Thickness
    most_paint_percent: Percent = 40.0
    surface: Surface = Surface()
    ground_surface: Surface = Surface(k1=0, k2=0)
    lamps: Annotated[Lamps, Field(default_factory=_three_lamps)]
    observer_degrees: ObserverDegrees = 2
    readings_file: FileName | None = None
    lamp_file: FileName | None = None
    errors: ErrorBudget = ErrorBudget()
    batch: MixingBatch | None = None


class LampDifference(Model):
    """The difference predicted under one lamp, if nothing goes wrong."""

    lamp: str
    predicted: float


class MixtureLine(Model):
    """One paint of a mixture: its share of the dry skin, and how it is dosed when a batch is asked.

    `drops` are whole drops of `stock`; without them it is weighed. `one_more` is what one drop (or
    0.01 g) more does, CIEDE2000, and `toward` which way.
    """

    paint: str
    share_percent: float
    stock: str = ""
    drops: int | None = None
    mass_g: float | None = None
    one_more: float | None = None
    toward: str = ""
    text: str = ""


class CoatStrip(Model):
    """The colour at one coat weight under one lamp, and its difference from the target."""

    coat_percent: float
    lamp: str
    lab: tuple[float, float, float]
    difference: float


@dataclass(frozen=True)
class Ready:
    """Everything of a request made ready: palette, skin, target, names, raster, warnings."""

    palette: Palette
    skin: Skin
    target: Target
    names: tuple[str, ...]
    paints: tuple[Paint, ...]
    curves: tuple[Curve, ...]
    raster: Array
    warnings: tuple[str, ...]
    is_estimated: bool


def ready(given: SkinInput, asked: Asked, more: Sequence[Curve] = ()) -> Ready:
    """Return a request made ready; InputError where parts do not fit together."""
    from softmend.science.tint.curve import numbers
    from softmend.science.tint.film import under_a_reading
    from softmend.science.tint.palette import Palette, Skin, check_palette
    from softmend.science.tint.recipe import Target, lab_by_lamp

    target, ground = (
        curve_of(one, asked, what)
        for one, what in ((given.target, "target"), (given.ground, "ground"))
    )
    curves = (target, ground, *more)
    raster = raster_for(curves)
    _names_differ([*given.paints, *([given.white] if given.white else [])])
    read, _ = reflectance_of(ground, raster, asked)
    inside = under_a_reading(read, given.ground_surface.film())
    listed = (*given.paints, *((given.white,) if given.white else ()))
    made = [ready_paint(one, given.surface, asked) for one in listed]
    clear = ready_paint(given.binder, given.surface, asked) if given.binder else None
    parts = [one.on(raster) for one in made]
    binder = clear.on(raster) if clear else (0.0 * raster, 0.0 * raster)
    palette = Palette(
        numbers([k for k, _ in parts]), numbers([s for _, s in parts]), *binder,
        white=len(given.paints) if given.white else None,
    )  # fmt: skip
    skin = Skin(inside, given.thickness_um * MM_PER_UM, given.surface.film(),
                given.most_paint_percent / 100)  # fmt: skip
    check_palette(palette, skin)
    wanted, words = reflectance_of(target, raster, asked)
    lamps = tuple(weights_of(name, given.observer_degrees, raster, asked) for name in given.lamps)
    said = [*words, *same_way(curves), *resampling_words(curves)]
    for one in curves:
        said += one.warnings
    said += _warnings(given, made, asked_ground=ground.is_measured)
    return Ready(palette, skin, Target(lab_by_lamp(wanted, lamps), lamps),
                 tuple(one.name for one in listed), listed, curves, raster,
                 tuple(dict.fromkeys(said)), not target.is_measured)  # fmt: skip


def measured_on(raster: Array, curve: Curve) -> Array:
    """Return a measured drawdown at the wavelengths of the request."""
    return on_raster(curve, raster).clip(0.0, 1.0)


def lines_of(amounts: Array, given: SkinInput, made: Ready) -> tuple[tuple[MixtureLine, ...], str]:
    """Return a mixture line by line, dosed when a batch was asked for, and the cup in words."""
    from softmend.science.tint.dose import Making, batch

    used = (amounts > LEAST_SHARE).nonzero()[0].tolist()
    if given.batch is None or not used:
        return tuple(
            MixtureLine(paint=made.names[row], share_percent=_short(100 * amounts[row]),
                        text=f"{made.names[row]}: {_short(100 * amounts[row]):g} % of the dry skin")
            for row in used
        ), "No batch was asked for."  # fmt: skip
    asked_for = given.batch
    making = Making(asked_for.batch_g * KG_PER_G, asked_for.solids_percent / 100,
                    asked_for.binder_solids_percent / 100)  # fmt: skip
    kept = amounts * (amounts > LEAST_SHARE)
    cup = batch(kept, _stocks(made.paints), making, made.target, made.palette, made.skin)
    lines = []
    for dose in cup.doses:
        mass = dose.mass / KG_PER_G
        amount = f"{mass:.2f} g" if dose.drops is None else _drops(dose.drops)
        step = "0.01 g" if dose.drops is None else "1 drop"
        lines.append(
            MixtureLine(
                paint=made.names[dose.paint],
                share_percent=_short(100 * cup.amounts[dose.paint]),
                stock=dose.stock.name, drops=dose.drops, mass_g=round(mass, 4),
                one_more=_short(dose.one_more), toward=dose.toward,
                text=f"{made.names[dose.paint]}: {amount} of {dose.stock.name}; "
                f"{step} more is {dose.one_more:.2f} CIEDE2000, {dose.toward}",
            )
        )  # fmt: skip
    water = cup.water / KG_PER_G
    rest = f"{water:.2f} g of water" if water >= 0 else (
        f"no water: the cup holds {-water:.2f} g more than asked, so it is thinner in matter"
    )  # fmt: skip
    words = f"Mix about {asked_for.batch_g:g} g: binder {cup.binder / KG_PER_G:.2f} g, {rest}."
    return tuple(lines), words


def strips_of(amounts: Array, made: Ready) -> tuple[CoatStrip, ...]:
    """Return the colour at 70, 100 and 130 % of the coat weight under each lamp."""
    from softmend.science.tint.difference import colour_difference_ciede2000
    from softmend.science.tint.palette import strips

    coats = (0.7, 1.0, 1.3)
    labs = strips(made.palette, amounts, made.skin, made.target.lamps, coats)
    off = colour_difference_ciede2000(labs, made.target.labs)
    return tuple(
        CoatStrip(
            coat_percent=100 * coat,
            lamp=lamp.name,
            lab=(round(float(v[0]), 2), round(float(v[1]), 2), round(float(v[2]), 2)),
            difference=_short(off[i, j]),
        )
        for i, coat in enumerate(coats)
        for j, lamp in enumerate(made.target.lamps)
        for v in [labs[i, j]]
    )


def working_of(given: SkinInput, made: Ready) -> tuple[WorkingValue, ...]:
    """Return what went into a recipe, with its kind."""
    errors = given.errors
    rows = [
        ("target", "estimated from a colour" if made.is_estimated else "curve",
         "estimated" if made.is_estimated else "measured", "reading"),
        ("ground", "pulp + clear skin", "measured", "reading"),
        ("thickness", f"{given.thickness_um:g} µm", "measured", "typed"),
        ("surface correction", f"k1 {given.surface.k1:g}, k2 {given.surface.k2:g}", "recalled",
         "typed or our usual"),
        ("lamps", ", ".join(given.lamps), "library", "table:lamps"),
        ("errors", f"coat {errors.coat_percent:g} %, strength {errors.strength_percent:g} %, dose "
         f"{errors.dose_percent:g} %, pulp {errors.ground_percent:g} %, reading "
         f"{errors.reading_percent:g} %", "estimated", "typed or our usual"),
        *((name, "K and S", "measured", "paint") for name in made.names),
    ]  # fmt: skip
    return tuple(WorkingValue(name=a, text=b, kind=c, origin=d) for a, b, c, d in rows)


def shown_difference(predicted: float, mean: float, high: float) -> str:
    """Return the difference to show: what is predicted, or the error budget when that is larger."""
    return f"about {max(predicted, mean):.1f}, up to {max(predicted, high):.1f} CIEDE2000"


def _warnings(given: SkinInput, made: Sequence[ReadyPaint], *, asked_ground: bool) -> list[str]:
    said = [word for one in made for word in one.warnings]
    fading = [one.name for one in given.paints if one.fades == "yes"]
    if fading:
        said.append(f"These fade: {', '.join(fading)}. Prefer earths, blacks and titanium white.")
    if given.binder is None:
        said.append("The binder was taken to be clear: it has no K and S of its own here.")
    if len(given.lamps) < 2:
        said.append("One lamp only: a match under it can be several CIEDE2000 off under another.")
    if not asked_ground:
        said.append("The ground is only a colour: read pulp + clear skin as a curve.")
    if given.white is None:
        said.append("Without a white the skin forgives less: its colour follows its thickness.")
    return said


def _names_differ(paints: Sequence[Paint]) -> None:
    names = [one.name.casefold() for one in paints]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError("Two paints have one name", value=", ".join(twice),
                         remedy="Give each its own name")  # fmt: skip


def _stocks(paints: Sequence[Paint]) -> list[list[DoseStock]]:
    from softmend.science.tint.dose import Stock

    return [
        [
            Stock(one.name, one.paint_percent / 100, one.binder_percent / 100,
                  None if one.drop_g is None else one.drop_g * KG_PER_G)
            for one in paint.stocks
        ]
        or [Stock("dry paint", 1.0)]
        for paint in paints
    ]  # fmt: skip


def _drops(count: int) -> str:
    return "1 drop" if count == 1 else f"{count} drops"


def _short(value: float) -> float:
    return float(f"{float(value):.3g}")
