"""Films, paints, recipes and corrections from the outside: plain data in, words and numbers out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.science.tint.film import Surface, film, seen_from_outside
from softmend.science.tint.palette import skin_reflectance
from tests.science.checks import expected
from tests.science.tint import invented

CHECKS = expected("softmend-colour")
NM = [float(v) for v in invented.GRID]
PAINTS = invented.palette()


def curve(values: np.ndarray, **other: Any) -> dict[str, Any]:
    shares = [float(v) for v in values]
    return {"wavelengths_nm": NM, "reflectance": shares, "unit": "fraction", **other}


def paint(name: str, k: np.ndarray, s: np.ndarray, **other: Any) -> dict[str, Any]:
    return {"name": name, "wavelengths_nm": NM, "k_per_mm": [float(v) for v in k],
            "s_per_mm": [float(v) for v in s], **other}  # fmt: skip


STOCKS = [
    {"name": "1:10", "paint_percent": 5, "binder_percent": 15, "drop_g": 0.035},
    {"name": "1:50", "paint_percent": 1, "binder_percent": 19, "drop_g": 0.035},
]
SKIN: dict[str, Any] = {
    "ground": curve(invented.PULP),
    "paints": [
        paint(name, k, s, stocks=STOCKS)
        for name, k, s in zip(invented.NAMES, invented.ABSORPTION, invented.SCATTERING, strict=True)
    ],
    "white": paint("white", *invented.WHITE, stocks=[{"name": "white", "paint_percent": 50}]),
    "binder": paint("binder", *invented.BINDER),
    "thickness_um": 60,
}


def recipe(target: np.ndarray, **other: Any) -> dict[str, Any]:
    return catalogue.run("tint.recipe", {**SKIN, "target": curve(target), **other})


def planted(**shares: float) -> np.ndarray:
    amounts = np.zeros(13)
    for name, share in shares.items():
        place = 12 if name == "white" else invented.NAMES.index(name.replace("_", " "))
        amounts[place] = share
    return skin_reflectance(PAINTS, amounts, invented.SKIN)


def test_a_film_of_single_numbers_is_the_table() -> None:
    found = catalogue.run("tint.film", {
        "k_per_mm": [0.1], "s_per_mm": [1], "thickness_um": 1000, "ground_reflectance": 0.8,
        "surface": {"k1": 0, "k2": 0},
    })  # fmt: skip
    CHECKS["film_0"].accept(found["internal"][0])
    assert found["reflectance"] == found["internal"]
    assert found["by_lamp"] == []


def test_a_film_over_a_read_ground_has_a_colour_under_each_lamp() -> None:
    found = catalogue.run("tint.film", {
        "k_per_mm": [2.0] * 31, "s_per_mm": [8.0] * 31, "wavelengths_nm": NM, "thickness_um": 60,
        "ground": curve(invented.PULP), "lamps": ["D65", "LED-B2"],
    })  # fmt: skip
    inside = film(0.12, 0.48, invented.PULP)
    assert found["reflectance"] == pytest.approx(
        list(seen_from_outside(inside, Surface())), rel=1e-6
    )
    assert [one["lamp"] for one in found["by_lamp"]] == ["D65", "LED-B2"]
    nothing = catalogue.run("tint.film", {
        "k_per_mm": [0], "s_per_mm": [0], "thickness_um": 0, "ground_reflectance": 0.5,
    })  # fmt: skip
    assert nothing["internal"] == [0.5]


def drawn(k: np.ndarray, s: np.ndarray, thickness: float, ground: float) -> np.ndarray:
    inside = film(k * thickness, s * thickness, np.full(31, ground))
    return seen_from_outside(inside, Surface())


def bare(ground: float) -> np.ndarray:
    return seen_from_outside(np.full(31, ground), Surface())


def drawdowns(k: np.ndarray, s: np.ndarray) -> dict[str, Any]:
    return {
        "over_black": curve(drawn(0.1 * k, 0.1 * s, 0.06, 0.04)),
        "over_white": curve(drawn(0.1 * k, 0.1 * s, 0.06, 0.88)),
        "black": curve(bare(0.04)), "white": curve(bare(0.88)),
        "thickness_um": 60, "paint_percent": 10,
    }  # fmt: skip


def test_a_paint_is_characterised_and_says_how_well_it_is_known() -> None:
    k, s = invented.ABSORPTION[0], invented.SCATTERING[0]
    found = catalogue.run("tint.characterise", {"name": "ochre", "drawdowns": drawdowns(k, s)})
    assert found["answer"] == "answer"
    assert np.median(np.abs(np.array(found["k_per_mm"]) / k - 1)) < 0.02
    assert np.median(np.abs(np.array(found["s_per_mm"]) / s - 1)) < 0.03
    assert 0 < found["k_spread_percent"] < found["s_spread_percent"] < 40
    again = catalogue.run("tint.characterise", {"name": "ochre", "drawdowns": drawdowns(k, s)})
    assert again == found


def test_a_film_that_hides_its_ground_cannot_be_characterised_that_way() -> None:
    k, s = 50 * invented.ABSORPTION[7], 50 * invented.SCATTERING[6]
    found = catalogue.run("tint.characterise", {"name": "black", "drawdowns": drawdowns(k, s)})
    assert any("hides its ground" in words for words in found["warnings"])


def test_films_that_were_changed_over_are_noticed() -> None:
    read = drawdowns(invented.ABSORPTION[0], invented.SCATTERING[0])
    read["over_black"], read["over_white"] = read["over_white"], read["over_black"]
    found = catalogue.run("tint.characterise", {"name": "ochre", "drawdowns": read})
    said = " ".join([*found["warnings"], *found["reasons"]])
    assert "“ochre” is lighter over black than over white by" in said
    assert "were the two readings changed over?" in said


def test_pulp_and_masstone_have_their_own_ways() -> None:
    half = curve(np.full(31, 0.55))
    pulp = catalogue.run("tint.characterise", {
        "surface": {"k1": 0, "k2": 0},
        "drawdowns": {"over_black": half, "hiding": curve(np.full(31, 0.8)), "thickness_um": 200},
    })  # fmt: skip
    assert pulp["method"] == "layer over black and thick pad"
    mass = catalogue.run("tint.characterise", {
        "drawdowns": {"masstone": curve(np.full(31, 0.2)), "tint": half,
                      "white_hiding": curve(np.full(31, 0.85)), "paint_in_tint_percent": 10},
    })  # fmt: skip
    assert any("relative to its white" in words for words in mass["warnings"])


def test_a_planted_recipe_is_found_and_its_difference_is_never_overpromised() -> None:
    found = recipe(planted(yellow_ochre=0.03, raw_umber=0.01, white=0.05))
    best = found["recommended"]
    assert found["reached"] == "yes"
    assert found["sets_tried"] == 794
    assert found["closest"]["predicted"] < 0.05
    assert best["predicted"] <= 0.35
    assert best["expected"] <= found["closest"]["expected"]
    assert best["expected"] > best["predicted"]
    shown = float(best["shown"].split(",")[0].removeprefix("about "))
    assert shown == pytest.approx(max(best["predicted"], best["expected"]), abs=0.06)
    assert found["fewest_paints"]["paints"] <= 2


def test_a_recipe_is_told_in_drops_grams_and_strips() -> None:
    found = recipe(invented.targets()[3], batch={})["recommended"]
    assert found["cup"].startswith("Mix about 5 g: binder ")
    for line in found["lines"]:
        assert (line["drops"] is None) or 1 <= line["drops"] <= 31
        assert "more is" in line["text"]
    assert {one["coat_percent"] for one in found["strips"]} == {70.0, 100.0, 130.0}
    assert len(found["strips"]) == 9


@pytest.mark.parametrize(
    ("target", "reached", "words"),
    [
        (
            0.05 + 0.5 * np.exp(-(((invented.GRID - 430) / 25) ** 2)),
            "no",
            "cannot reach the colour",
        ),
        (np.full(31, 0.95), "no", "the nearest is darker"),
    ],
)
def test_a_colour_out_of_reach_is_said_with_its_direction(
    target: np.ndarray, reached: str, words: str
) -> None:
    found = recipe(target)
    assert found["reached"] == reached
    assert words in found["miss"]
    assert found["text"] == found["miss"]
    assert "CIEDE2000 under" in found["miss"]


def test_a_colour_that_only_daylight_allows_is_told_apart() -> None:
    day = invented.lamp("D65")
    w = day.matrix
    black = np.eye(31) - w.T @ np.linalg.solve(w @ w.T, w)
    base = planted(yellow_ochre=0.03, raw_umber=0.01, white=0.05)
    found = recipe(np.clip(base + 0.12 * black @ np.sin(invented.GRID / 14), 0, 1))
    assert found["reached"] == "not under all lamps"
    assert "match under D65 but not under all lamps" in found["miss"]


def test_paints_come_as_drawdowns_too_and_a_target_as_a_colour() -> None:
    raw = [
        {
            "name": invented.NAMES[place],
            "drawdowns": drawdowns(invented.ABSORPTION[place], invented.SCATTERING[place]),
        }
        for place in (0, 1, 6)
    ]
    amounts = {"yellow_ochre": 0.03, "raw_umber": 0.01, "white": 0.05}
    lab = [float(v) for v in invented.lamp("D65").lab(planted(**amounts))]
    found = catalogue.run("tint.recipe", {
        **SKIN, "paints": raw, "target": {"lab": lab, "lamp": "D65"}, "most_paints": 3,
    })  # fmt: skip
    assert found["recommended"]["predicted"] < 1.0
    assert any("estimated from its colour" in words for words in found["warnings"])
    assert found["working"][0]["kind"] == "estimated"


def test_one_drawdown_corrects_the_mixture() -> None:
    target = planted(yellow_ochre=0.03, raw_umber=0.012, white=0.05)
    mixture = [{"paint": "yellow ochre", "share_percent": 3.0},
               {"paint": "raw umber", "share_percent": 1.2},
               {"paint": "white", "share_percent": 5.0}]  # fmt: skip
    weak = planted(yellow_ochre=0.026, raw_umber=0.0105, white=0.05)
    found = catalogue.run("tint.correct", {
        **SKIN, "target": curve(target), "mixture": mixture, "measured": curve(weak),
    })  # fmt: skip
    assert found["first_off"] > 0.5
    assert "lighter" in found["first_direction"]
    assert "less than was predicted" in found["model_missed"]
    shares = {one["paint"]: one["share_percent"] for one in found["corrected"]["lines"]}
    assert shares["yellow ochre"] > 3.0
    assert found["corrected"]["predicted"] < 0.1


def test_the_answer_comes_while_a_person_waits() -> None:
    recipe(invented.targets()[1])
    begun = time.process_time()
    recipe(invented.targets()[2])
    assert time.process_time() - begun < 1.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"paints": []}, "paints"),
        ({"paints": [{"name": "x"}]}, "needs K and S, or its drawdowns"),
        ({"paints": [paint("x", invented.ABSORPTION[0][:5], invented.SCATTERING[0])]},
         "not equally many"),
        ({"paints": [SKIN["paints"][0], SKIN["paints"][0]]}, "Two paints have one name"),
        ({"paints": [paint("x", -invented.ABSORPTION[0], invented.SCATTERING[0])]}, "is negative"),
        ({"paints": [{"name": "x", "drawdowns": {"over_black": curve(invented.PULP)}}]},
         "not a whole set"),
        ({"thickness_um": 0}, "thickness_um"),
        ({"lamps": ["moonlight"]}, "That lamp is not known; got moonlight; allowed: A, C, D50"),
        ({"target": {}}, "is given in 0 ways"),
        ({"target": {"lab": [120, 0, 0]}}, "L\\* 0 to 100"),
        ({"target": {"sample": "tusk"}}, "there is no file to find it in"),
        ({"target": curve(invented.PULP, specular="included"),
          "ground": curve(invented.PULP, specular="excluded")}, "with and without the specular"),
    ],
)  # fmt: skip
def test_slips_are_refused_in_words(change: dict[str, Any], words: str) -> None:
    given = {**SKIN, "target": curve(invented.targets()[0]), **change}
    with pytest.raises(InputError, match=words):
        catalogue.run("tint.recipe", given)


def test_a_wrong_mixture_is_refused() -> None:
    given = {**SKIN, "target": curve(invented.PULP), "measured": curve(invented.PULP)}
    with pytest.raises(InputError, match="not among the paints; got mud"):
        catalogue.run("tint.correct", {**given, "mixture": [{"paint": "mud", "share_percent": 3}]})
    twice = [{"paint": "white", "share_percent": 60}, {"paint": "raw umber", "share_percent": 60}]
    with pytest.raises(InputError, match="more than the whole skin"):
        catalogue.run("tint.correct", {**given, "mixture": twice})


def test_bare_matte_cards_are_read_without_a_shine_of_their_own() -> None:
    """A pale paint over cards whose own reading holds no surface light: K comes back as planted."""
    at = np.arange(400.0, 701.0, 10.0)
    absorbed, scattered, thickness = 2.0 + 0 * at, 40 * (at / 550) ** -0.4, 0.06
    black, white = 0.05 + 0 * at, 0.85 - 0.08 * np.exp(-(at - 380) / 60)

    def outside(ground: np.ndarray) -> list[float]:
        k, s = absorbed * thickness, scattered * thickness
        root = np.sqrt(k * k + 2 * k * s)
        c = root / np.tanh(root)
        inside = (s - ground * (k + s - c)) / (k + s - s * ground + c)
        return [float(v) for v in 0.04 + 0.96 * 0.4 * inside / (1 - 0.6 * inside)]

    def reading(values: np.ndarray | list[float]) -> dict[str, Any]:
        return {"wavelengths_nm": at.tolist(), "reflectance": [float(v) for v in values]}

    drawdowns = {
        "over_black": reading(outside(black)), "over_white": reading(outside(white)),
        "black": reading(black), "white": reading(white), "thickness_um": 60,
        "bare_surface": {"k1": 0, "k2": 0},
    }  # fmt: skip
    found = catalogue.run("tint.characterise", {"name": "clay", "drawdowns": drawdowns})
    assert found["k_per_mm"] == pytest.approx(absorbed.tolist(), rel=1e-3)
    assert found["s_per_mm"] == pytest.approx(scattered.tolist(), rel=1e-3)
    lacquered = {name: value for name, value in drawdowns.items() if name != "bare_surface"}
    wrong = catalogue.run("tint.characterise", {"name": "clay", "drawdowns": lacquered})
    assert min(wrong["k_per_mm"]) > 1.2 * 2.0
