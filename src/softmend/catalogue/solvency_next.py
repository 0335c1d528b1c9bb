"""The next swab: the least harmful that may touch the object, and why."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from softmend.catalogue.computation import Asked, Model, Words
from softmend.catalogue.solvency_agent import (
    AgentInput,
    Known,
    SolvencyAnswer,
    known_parts,
    label,
    liquid,
    marks,
    worked_liquids,
)
from softmend.catalogue.solvency_coating import prior, worked_classes
from softmend.catalogue.solvency_gate import gate
from softmend.catalogue.solvency_spot import (
    CAUTIONS,
    SpotInput,
    after_tests,
    percent,
    shelf_parts,
    stops,
)

if TYPE_CHECKING:
    from softmend.science.solvency.advice import Candidate, NextSwab, Weighed

SLOW_PA = 500.0
FIRST = "Before any solvent: a dry brush or scalpel under magnification where the coating is sound."
HOW = (
    "Spot about 5 mm, a damp swab and not a wet one, 10 to 30 s, 60 s in all; wait until dry; look "
    "at patch and swab under low magnification."
)


class Decided(Model):
    """A person's decision to go on after the object showed an effect."""

    by: Words
    because: Words


class NextSwabInput(SpotInput):
    """The tests so far, the agents that are at hand, and the object.

    Without `agents` the solvents of the shelf are weighed. `go_on` is owed after any effect on the
    object.
    """

    go_on: Decided | None = None


class WeighedAgent(Model):
    """An agent, its step in the order of harm, and what a test of it is expected to give."""

    agent: str
    step: int
    step_name: str
    is_harsh: bool
    tells_nat: float
    softens_percent: float
    dissolves_percent: float


class ForbiddenAgent(Model):
    """An agent that may not touch this object, and every reason."""

    agent: str
    reasons: tuple[str, ...]


class NextSwabAnswer(SolvencyAnswer):
    """The next swab, or none; why; what was passed over; what may not be used and why."""

    next: WeighedAgent | None = None
    text: str = ""
    why: str = ""
    passed_over: tuple[str, ...] = ()
    forbidden: tuple[ForbiddenAgent, ...] = ()
    weighed: tuple[WeighedAgent, ...] = ()
    also: tuple[str, ...] = ()


def next_swab(given: NextSwabInput, asked: Asked) -> NextSwabAnswer:
    """Return the next swab: harm first, what it tells breaks ties, never harsh only to know."""
    from softmend.science.solvency import advice

    halted = stops(given.tests)
    if halted and given.go_on is None:
        return _halted(halted)
    if halted and given.go_on is not None and not _is_whole(given.go_on):
        return _halted(["Going on needs a name and a reason.", *halted])
    layer = max((one.layer for one in given.tests), default=1)
    tests = [one for one in given.tests if one.layer == layer]
    after = after_tests(prior(given.suspected, asked.seed), tests, asked.seed)
    free, forbidden, warned = _sorted(given)
    if not free:
        return NextSwabAnswer(
            answer="cannot say",
            reasons=("None of the agents may touch this object.",),
            forbidden=forbidden,
            text="None of the agents may touch this object. Leaving it is an option.",
            cautions=CAUTIONS,
        )
    candidates = [candidate_of(one) for one in free]
    tested = [label(known_parts(one.parts)) for one in tests]
    found = advice.next_swab(after, candidates, tested)
    liquids = {one.name: one for parts in free for one in parts}
    working = [
        *worked_classes(),
        *worked_liquids(liquids.values(), ["position", "molar_volume", "vapour_pressure"]),
    ]
    return NextSwabAnswer(
        next=None if found.choice is None else _shown(found.choice),
        text=_text(found),
        why=found.why,
        passed_over=found.passed,
        forbidden=forbidden,
        weighed=tuple(_shown(one) for one in
                      sorted(found.weighed, key=lambda one: one.candidate.rank)),
        also=_also(len(tests)),
        warnings=(*halted, *_warned(found, warned)),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )  # fmt: skip


def _is_whole(decided: Decided) -> bool:
    return bool(decided.by.strip() and decided.because.strip())


def _halted(reasons: Sequence[str]) -> NextSwabAnswer:
    return NextSwabAnswer(
        answer="cannot say",
        reasons=tuple(reasons),
        text="No next swab: the object showed an effect. Stop, ask, and record who decides to go "
        "on and why (go_on).",
        cautions=CAUTIONS,
    )


def _sorted(
    given: NextSwabInput,
) -> tuple[list[list[Known]], tuple[ForbiddenAgent, ...], dict[str, tuple[str, ...]]]:
    """Return the agents that may be used, those that may not, and the warnings of each."""
    agents = [known_parts(one.parts) for one in given.agents] or shelf_parts()
    typed = given.agents or [AgentInput.model_validate(one[0].id) for one in agents]
    free, forbidden, warned = [], [], {}
    for one, parts in zip(typed, agents, strict=True):
        stands = gate(one, parts, given.object)
        if stands.forbidden:
            forbidden.append(ForbiddenAgent(agent=label(parts), reasons=stands.forbidden))
        else:
            free.append(parts)
            warned[label(parts)] = stands.warned
    return free, tuple(forbidden), warned


def candidate_of(parts: Sequence[Known]) -> Candidate:
    """Return an agent as it stands in the order of harm."""
    from softmend.science.solvency.advice import Candidate

    step, harsh, _ = _step(parts)
    careful = any(one.status != "ok" for one in parts)
    return Candidate(label(parts), liquid(parts), step, harsh, careful)


def _step(parts: Sequence[Known]) -> tuple[int, bool, str]:
    """Return the step of an agent in the order of harm: a blend is at least as harsh as its parts.

    A part that the order does not name is taken with the slow polar ones.
    """
    from softmend.tables.solvency import swab_steps

    rows = {int(float(row["step"] or 0)): row for row in swab_steps()}
    steps = [_step_of_one(one) for one in parts]
    step = max(steps)
    if len(parts) > 1 and str(rows[step]["is_harsh"]) != "yes":
        step = next(n for n, row in rows.items() if row["groups"] == "blend")
    return step, rows[step]["is_harsh"] == "yes", str(rows[step]["name"])


def _step_of_one(one: Known) -> int:
    from softmend.tables.solvency import swab_steps

    slow = one.vapour_pressure is None or one.vapour_pressure < SLOW_PA
    for row in swab_steps():
        groups = [name.strip() for name in str(row["groups"]).split(";")]
        speed = row["slow"] == "any" or (row["slow"] == "yes") == slow
        if one.group in groups and speed:
            return int(float(row["step"] or 0))
    return 6


def _shown(one: Weighed) -> WeighedAgent:
    from softmend.tables.solvency import swab_steps

    names = {int(float(row["step"] or 0)): str(row["name"]) for row in swab_steps()}
    return WeighedAgent(
        agent=one.candidate.name,
        step=one.candidate.step,
        step_name=names[one.candidate.step],
        is_harsh=one.candidate.is_harsh,
        tells_nat=round(one.told, 2),
        softens_percent=percent(one.softens),
        dissolves_percent=percent(one.dissolves),
    )


def _text(found: NextSwab) -> str:
    if found.choice is None:
        return f"No further swab. {found.why}."
    return f"Next: {found.choice.candidate.name}. {found.why}. {HOW}"


def _also(tests: int) -> tuple[str, ...]:
    if not tests:
        return (FIRST, "With it: a dry swab, and the same agent on a bare patch of the object.")
    if tests % 5 == 4:
        return ("One in five: repeat an earlier test on a fresh patch, and test a bare patch.",)
    return ("The same agent and time on a bare patch of the object.",)


def _warned(found: NextSwab, warned: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    return () if found.choice is None else warned.get(found.choice.candidate.name, ())
