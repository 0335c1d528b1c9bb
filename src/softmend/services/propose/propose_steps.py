"""What to do next in Propose: what is urgent anywhere, then what the proposal still owes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from datetime import date

from softmend.records.consent import Decision, Plan
from softmend.services.next_steps import Step, Urgency, next_steps
from softmend.services.propose.consents import standings_in
from softmend.services.propose.proposals import missing_in, plan_in
from softmend.services.propose.spot_tests import waits_for_decision
from softmend.services.store import Reader


def propose_steps(
    reader: Reader, dossier_id: str, today: date, plan: Plan | None = None
) -> list[Step]:
    """Return what to do next before and while a proposal is written, most urgent first."""
    plan = plan or plan_in(reader, dossier_id)
    urgent = [
        step for step in next_steps(reader, dossier_id, today) if step.urgency < Urgency.HANDLING
    ]
    missing = [
        Step(Urgency.RECORDS, f"{one.sentence}.", "", f"propose/{one.page}")
        for one in missing_in(reader, dossier_id, plan)
    ]
    first = sorted([*urgent, *_stops(reader, dossier_id)], key=lambda step: step.urgency)
    return [*first, *missing, *([] if missing else _consent(reader, dossier_id, plan))]


def _stops(reader: Reader, dossier_id: str) -> list[Step]:
    """Return the spot tests that touched the object and wait for a decision."""
    return [
        Step(
            Urgency.ACTIVE_LOSS,
            f"Stop: spot test {test.number} showed {test.object_observed.value} on the object.",
            "No further test until somebody decides, with a reason.",
            "propose/spots",
        )
        for test in waits_for_decision(reader, dossier_id)
    ]


def _consent(reader: Reader, dossier_id: str, plan: Plan) -> list[Step]:
    standings = standings_in(reader, dossier_id, plan)
    if not standings:
        return [
            Step(
                Urgency.RECORDS,
                "Print the proposal, and record what the owner answers.",
                "An answer is tied to the points as they stand.",
                "propose/consent",
            )
        ]
    newest = standings[-1]
    if newest.consent.decision is not Decision.NO and newest.is_void:
        return [
            Step(
                Urgency.RECORDS,
                "Ask again: a listed point changed, and the consent is void.",
                newest.changed_points[0].sentence + ".",
                "propose/consent",
            )
        ]
    return []
