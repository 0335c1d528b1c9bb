"""Which paints to mix for a target, and how to mix again after the first drawdown."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from softmend.catalogue.colour_reading import Reading, curve_of
from softmend.catalogue.computation import Answer, Asked, Computation, Model, Number
from softmend.catalogue.tint_bench import (
    CoatStrip,
    LampDifference,
    MixtureLine,
    Ready,
    SkinInput,
    lines_of,
    measured_on,
    ready,
    shown_difference,
    strips_of,
    working_of,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.ranking import Ranked
    from softmend.science.tint.recipe import Solved
    from softmend.science.uncertain import Array

REACHED = 0.5
"""Largest predicted difference, with nothing going wrong, that counts as reached."""
OFFERED = 8
DELIVERED_DRAWS = 256
CAUTIONS = (
    "Skin on the fill only, never on the object.",
    "A first coat comes out about 1 CIEDE2000 off, at times 2 to 3; one measured drawdown and a "
    "correction take about a third off. Judge it dry, under each lamp.",
    "Coat thickness matters most: weigh the coat, and look at the strips at 70 and 130 %.",
    "Thin edges read lighter. Ask of the sheen too: it alone can move L* by 2 to 8.",
    "Earths, blacks and titanium white last; many organic paints fade.",
)


class RecipeInput(SkinInput):
    """A target and the paints at hand; every set of up to `most_paints` of them is tried.

    Give `batch` (it may be `{}`) and each paint's `stocks` to get grams and drops.
    """

    most_paints: Annotated[int, Field(ge=1, le=4)] = 4


class Recipe(Model):
    """One mixture: what goes in, what it should be, and what it will be when a bench errs.

    `expected` and `expected_high` are the mean and the 95 % point of the difference under the worst
    lamp with the errors asked for; `shown` never promises less than those.
    """

    lines: tuple[MixtureLine, ...]
    paints: int
    by_lamp: tuple[LampDifference, ...]
    predicted: float
    expected: float
    expected_high: float
    shown: str
    cup: str
    strips: tuple[CoatStrip, ...] = ()


class RecipeAnswer(Answer):
    """The mixture that forgives most, the closest, the one with fewest paints, and what is missed.

    `closest` has the smallest predicted difference, `recommended` the smallest expected one.
    `reached` says whether the colour can be had with these paints: "yes", "not under all lamps"
    (only under the first), or "no"; `miss` then says how far and which way the nearest lies.
    """

    text: str = ""
    reached: Literal["yes", "not under all lamps", "no"] | None = None
    miss: str = ""
    recommended: Recipe | None = None
    closest: Recipe | None = None
    fewest_paints: Recipe | None = None
    others: tuple[Recipe, ...] = ()
    sets_tried: int = 0


class MixedShare(Model):
    """One paint of the first mixture and its share of the dry skin."""

    paint: Annotated[str, Field(min_length=1, max_length=200)]
    share_percent: Annotated[Number, Field(gt=0, le=100)]


class CorrectInput(SkinInput):
    """A first mixture as it was made, and the reading of its dry drawdown on the same ground."""

    mixture: Annotated[list[MixedShare], Field(min_length=1, max_length=10)]
    measured: Reading


class CorrectAnswer(Answer):
    """The same paints in new amounts, each within 30 % of what it was.

    `first_off` is how far the drawdown lay from the target under the worst lamp, `model_missed` in
    words what the prediction had wrong.
    """

    text: str = ""
    first_off: float | None = None
    first_direction: str = ""
    model_missed: str = ""
    corrected: Recipe | None = None


def tint_recipe(given: RecipeInput, asked: Asked) -> RecipeAnswer:
    """Return the mixtures that match a target under all lamps, the surest first."""
    from softmend.science.tint.ranking import fewest_paints, ranked
    from softmend.science.tint.recipe import all_sets

    made = ready(given, asked)
    found = all_sets(made.target, made.palette, made.skin, given.most_paints)
    order = ranked(found, made.target, made.palette, made.skin, given.errors.budget(), asked.seed)
    few = fewest_paints(order, found)
    reached, miss = _reach(given, made, found)
    best = _recipe(order, found, 0, given, made)
    others = [place for place in range(1, len(order.rows)) if place != few][: OFFERED - 2]
    return RecipeAnswer(
        text=_text(best, reached, miss),
        reached=reached,
        miss=miss,
        recommended=best,
        closest=_recipe(order, found, order.rows.index(0), given, made),
        fewest_paints=_recipe(order, found, few, given, made),
        others=tuple(_plain_recipe(order, found, place, made) for place in others),
        sets_tried=int(found.worst.size),
        warnings=made.warnings,
        working=working_of(given, made),
    )


def tint_correct(given: CorrectInput, asked: Asked) -> CorrectAnswer:
    """Return the first mixture put right by the reading of its drawdown."""
    from softmend.science.tint.correction import corrected
    from softmend.science.tint.difference import colour_difference_ciede2000, direction
    from softmend.science.tint.recipe import lab_by_lamp

    drawn = curve_of(given.measured, asked, "drawdown")
    made = ready(given, asked, [drawn])
    reading = measured_on(made.raster, drawn)
    labs = lab_by_lamp(reading, made.target.lamps)
    off = colour_difference_ciede2000(labs, made.target.labs)
    worst = int(off.argmax())
    amounts = _amounts(given, made)
    found = corrected(reading, made.target, made.palette, made.skin, amounts)
    missed = 100 * found.missed
    warnings = list(made.warnings)
    if found.limited:
        warnings.append(
            "An amount met its bound of 30 %: the model is far off. Check thickness and readings, "
            "or ask for a new recipe."
        )
    # The film that will be drawn now is the one that the drawdown has shown.
    again = Ready(
        made.palette, found.skin, made.target, made.names, made.paints, made.curves, made.raster,
        made.warnings, made.is_estimated,
    )  # fmt: skip
    recipe = _one_recipe(found.solved, given, again, asked)
    way = direction(labs[worst] - made.target.labs[worst])
    return CorrectAnswer(
        text=f"The drawdown is {way} than wanted by {off[worst]:.1f} CIEDE2000 under "
        f"{made.target.lamps[worst].name}. After correction expect {recipe.shown}.",
        first_off=float(f"{off[worst]:.3g}"),
        first_direction=way,
        model_missed=f"The film absorbs {abs(missed):.0f} % "
        f"{'more' if missed > 0 else 'less'} than was predicted.",
        corrected=recipe,
        warnings=tuple(warnings),
        working=working_of(given, made),
    )


def _reach(
    given: RecipeInput, made: Ready, found: Solved
) -> tuple[Literal["yes", "not under all lamps", "no"], str]:
    """Return whether the colour can be had, and what is missed by how much and which way."""
    from softmend.science.tint.difference import direction
    from softmend.science.tint.palette import skin_reflectance
    from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp

    worst = float(found.worst[0])
    if worst <= REACHED:
        return "yes", ""
    lamps = made.target.lamps
    labs = lab_by_lamp(skin_reflectance(made.palette, found.amounts[0], made.skin), lamps)
    place = int(found.by_lamp[0].argmax())
    way = direction(labs[place] - made.target.labs[place])
    nearest = f"the nearest is {way} by {worst:.1f} CIEDE2000 under {lamps[place].name}"
    if len(lamps) > 1:
        alone = all_sets(
            Target(made.target.labs[:1], lamps[:1]), made.palette, made.skin, given.most_paints
        )
        if alone.worst[0] <= REACHED:
            return (
                "not under all lamps",
                f"These paints match under {lamps[0].name} but not under all lamps at once; "
                f"{nearest}. Another paint, or a choice of the lamp that counts, is needed.",
            )
    full = found.amounts[0].sum() >= 0.995 * made.skin.most_share
    hint = (
        " The skin is as full of paint as is allowed: a thicker coat may reach it." if full else ""
    )
    return "no", f"These paints cannot reach the colour in this skin; {nearest}.{hint}"


def _recipe(order: Ranked, found: Solved, place: int, given: RecipeInput, made: Ready) -> Recipe:
    row = order.rows[place]
    lines, cup = lines_of(found.amounts[row], given, made)
    plain = _plain_recipe(order, found, place, made)
    return plain.model_copy(
        update={"lines": lines, "cup": cup, "strips": strips_of(found.amounts[row], made)}
    )


def _plain_recipe(order: Ranked, found: Solved, place: int, made: Ready) -> Recipe:
    row = order.rows[place]
    return _told(found, row, float(order.mean[place]), float(order.high[place]), made)


def _told(found: Solved, row: int, mean: float, high: float, made: Ready) -> Recipe:
    amounts, worst = found.amounts[row], float(found.worst[row])
    return Recipe(
        lines=tuple(
            MixtureLine(
                paint=made.names[paint],
                share_percent=float(f"{100 * amounts[paint]:.3g}"),
                text=f"{made.names[paint]}: {100 * amounts[paint]:.3g} % of the dry skin",
            )
            for paint in range(amounts.size)
            if amounts[paint] > 1e-6
        ),
        paints=int(found.counts[row]),
        by_lamp=tuple(
            LampDifference(lamp=lamp.name, predicted=float(f"{value:.2g}"))
            for lamp, value in zip(made.target.lamps, found.by_lamp[row], strict=True)
        ),
        predicted=float(f"{worst:.2g}"),
        expected=float(f"{mean:.2g}"),
        expected_high=float(f"{high:.2g}"),
        shown=shown_difference(worst, mean, high),
        cup="",
    )


def _one_recipe(solved: Solved, given: SkinInput, made: Ready, asked: Asked) -> Recipe:
    from softmend.science.tint.ranking import delivered

    mean, high = delivered(
        solved.amounts, made.target, made.palette, made.skin, given.errors.budget(), asked.seed,
        DELIVERED_DRAWS,
    )  # fmt: skip
    plain = _told(solved, 0, float(mean[0]), float(high[0]), made)
    lines, cup = lines_of(solved.amounts[0], given, made)
    return plain.model_copy(
        update={"lines": lines, "cup": cup, "strips": strips_of(solved.amounts[0], made)}
    )


def _amounts(given: CorrectInput, made: Ready) -> Array:
    places = {name.casefold(): place for place, name in enumerate(made.names)}
    amounts = 0.0 * made.palette.absorption[:, 0]
    for one in given.mixture:
        if one.paint.casefold() not in places:
            raise InputError(
                "A paint of the first mixture is not among the paints",
                value=one.paint,
                allowed=", ".join(made.names),
            )
        amounts[places[one.paint.casefold()]] += one.share_percent / 100
    if amounts.sum() > 1:
        raise InputError(
            "The first mixture adds up to more than the whole skin",
            value=f"{100 * amounts.sum():.0f} %",
            allowed="up to 100 %",
        )
    return amounts


def _text(best: Recipe, reached: str, miss: str) -> str:
    if reached != "yes":
        return miss
    names = ", ".join(one.paint for one in best.lines)
    return f"{names}: expect {best.shown} from the first coat under the worst of the lamps."


COMPUTATIONS = {
    "tint.recipe": Computation(
        name="tint.recipe",
        title="Which paints to mix for a target colour",
        input_model=RecipeInput,
        output_model=RecipeAnswer,
        function=tint_recipe,
        formula="every set of up to four paints and the white, by damped least squares on the "
        "straightened CIEDE2000 under all lamps; of those within 0.3 of the best, the smallest "
        "expected difference under the errors given, 64 draws",
        sources=("kubelka1948", "saunderson1942", "duncan1949", "sharma2005", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_tint.py",
    ),
    "tint.correct": Computation(
        name="tint.correct",
        title="How to mix again after the first drawdown",
        input_model=CorrectInput,
        output_model=CorrectAnswer,
        function=tint_correct,
        formula="K that the drawdown shows, less K predicted, added to the model; then the same "
        "paints again, each within 30 %",
        sources=("kubelka1948", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_tint.py",
    ),
}
