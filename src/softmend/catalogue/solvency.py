"""Taking old work off, by name: where a blend lies, spot tests, the next swab, blends, drift."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.catalogue import (
    solvency_blends,
    solvency_next,
    solvency_position,
    solvency_spot,
)
from softmend.catalogue.computation import Computation

SOURCES = ("softmend-solvents", "hansen2007", "grulke1999")
COMPUTATIONS = {
    "solvency.blend_position": Computation(
        name="solvency.blend_position",
        title="Where a solvent or blend lies, and how near it is to a coating",
        input_model=solvency_position.PositionInput,
        output_model=solvency_position.PositionAnswer,
        function=solvency_position.blend_position,
        formula="Ra² = 4 (dD1 - dD2)² + (dP1 - dP2)² + (dH1 - dH2)²; RED = Ra / R; each parameter "
        "of a blend is the mean of its parts by volume; Teas fractions on two scales, by name",
        sources=(*SOURCES, "gardon1976"),
        cautions=solvency_position.CAUTIONS,
        checked="tests/catalogue/test_solvency.py",
    ),
    "solvency.drift": Computation(
        name="solvency.drift",
        title="What is left of a blend as it dries",
        input_model=solvency_position.DriftInput,
        output_model=solvency_position.DriftAnswer,
        function=solvency_position.drift,
        formula="the moles of each part fall as exp(-P s) of one clock s, set so that the wanted "
        "share of the volume is gone (Raoult, ideal)",
        sources=(*SOURCES, "rayleigh1902"),
        cautions=solvency_position.CAUTIONS,
        checked="tests/catalogue/test_solvency.py",
    ),
    "solvency.spot": Computation(
        name="solvency.spot",
        title="What a coating behaves like after spot tests, and what will move it",
        input_model=solvency_spot.SpotInput,
        output_model=solvency_spot.SpotAnswer,
        function=solvency_spot.spot,
        formula="20 000 possible coatings weighted by how likely each makes the outcomes seen: "
        "cumulative logit with cuts at RED 0.97, 1.15, 1.40; 5 % of readings slip",
        sources=(*SOURCES, "gordon1993", "rubin1984"),
        cautions=solvency_spot.CAUTIONS,
        checked="tests/catalogue/test_solvency.py",
    ),
    "solvency.next_swab": Computation(
        name="solvency.next_swab",
        title="The next swab: the least harmful, and why",
        input_model=solvency_next.NextSwabInput,
        output_model=solvency_next.NextSwabAnswer,
        function=solvency_next.next_swab,
        formula="ordered by harm; ties broken by the mutual information of outcome and class; a "
        "harsh agent only when it is likelier to dissolve the coating than every mild one",
        sources=(*SOURCES, "cover2006"),
        cautions=solvency_spot.CAUTIONS,
        checked="tests/catalogue/test_solvency.py",
    ),
    "solvency.blends": Computation(
        name="solvency.blends",
        title="What will take it off: single solvents, and blends that gain",
        input_model=solvency_blends.BlendsInput,
        output_model=solvency_blends.BlendsAnswer,
        function=solvency_blends.blends,
        formula="every single, pair and triple on a 5 % grid; chance of dissolving read from a "
        "table between nodes; masks: pairs that mix, parts that leave or a clearance step, layers "
        "to be kept",
        sources=SOURCES,
        cautions=solvency_blends.CAUTIONS,
        checked="tests/catalogue/test_solvency.py",
    ),
}
