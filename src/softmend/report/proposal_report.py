"""What a treatment proposal says: the plan as it stands, and what is known around it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from softmend.records.consent import Plan, Standing
from softmend.records.securing import Securing
from softmend.records.wet_step import WetFinding
from softmend.report.climate_shown import ClimateShown
from softmend.report.coating_shown import CoatingShown
from softmend.report.content import ConditionReport, Working
from softmend.report.explain_design import FillDesign
from softmend.report.holding_shown import JoinShown
from softmend.report.removal_shown import RemovalShown
from softmend.report.tint_shown import TintShown


@dataclass(frozen=True)
class AreaRow:
    """One place that the plan names: what it is, and how large it was when this was printed."""

    name: str
    what: str
    size: str


@dataclass(frozen=True)
class EstimateShown:
    """The estimate that stands, every number already text; `stale_because` is "" while it holds.

    `tasks` has name, hours and what they rest on; `drawing` is SVG text of `drawing_size`.
    """

    number: int
    estimate_class: str
    estimated_on: str
    basis: str
    weeks: str
    ends: str
    wanted: str
    hours: str
    spread: str
    tasks: tuple[tuple[str, str, str], ...]
    standing_still: tuple[tuple[str, str], ...]
    drivers: tuple[str, ...]
    warnings: tuple[str, ...]
    stale_because: str
    drawing: str
    drawing_size: tuple[float, float]


@dataclass(frozen=True)
class ProposalReport:
    """A treatment proposal, whole; `about` holds what every print of a dossier carries.

    `actions` gives each action its words; the hashes are those of the points and of the wording;
    `based_on` names the condition report.
    """

    about: ConditionReport
    plan: Plan
    points_hash: str
    wording_hash: str
    based_on: str
    actions: Mapping[str, str]
    routes: Mapping[str, str]
    areas: tuple[AreaRow, ...] = ()
    securings: tuple[Securing, ...] = ()
    owed_before_wet: tuple[WetFinding, ...] = ()
    standings: tuple[Standing, ...] = ()
    designs: tuple[FillDesign, ...] = ()
    workings: tuple[Working, ...] = ()
    coatings: tuple[CoatingShown, ...] = ()
    joins: tuple[JoinShown, ...] = ()
    missing: tuple[str, ...] = ()
    estimate: EstimateShown | None = None
    removal: RemovalShown | None = None
    tints: tuple[TintShown, ...] = ()
    climate: ClimateShown | None = None
