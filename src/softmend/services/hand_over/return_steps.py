"""What to do next in Return: what is urgent anywhere, then what keeps the dossier open."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.services.bench import Bench
from softmend.services.hand_over.closing import PAGE_AT_CLOSING, closing_state
from softmend.services.hand_over.custody import receipts_in
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import Step, Urgency, next_steps
from softmend.services.store import Reader


def return_steps(bench: Bench, reader: Reader, dossier_id: str) -> list[Step]:
    """Return what to do next while the object goes back, most urgent first; none once closed."""
    urgent = [
        step
        for step in next_steps(reader, dossier_id, today_at(bench))
        if step.urgency < Urgency.HANDLING
    ]
    state = closing_state(reader, dossier_id)
    if state.closed is not None:
        return urgent
    rules = [
        Step(Urgency.RECORDS, f"{one.sentence}.", _WHY.get(one.rule, ""), one.page)
        for one in state.findings
    ]
    missing = [
        Step(
            Urgency.RECORDS,
            f"Record {one.asks}.",
            "Or say why it was not done; that is an answer too.",
            PAGE_AT_CLOSING[one.item],
        )
        for one in state.missing
    ]
    # The care sheet comes before the papers: somebody lifts the object tomorrow.
    care = [step for step in rules if step.page == "return/care"]
    others = [step for step in rules if step.page != "return/care"]
    return [*urgent, *_overdue(bench, reader, dossier_id), *care, *missing, *others]


def _overdue(bench: Bench, reader: Reader, dossier_id: str) -> list[Step]:
    return [
        Step(
            Urgency.RECORDS,
            f"Receipt {line.receipt.number} is overdue: {line.receipt.what}.",
            f"It was to go back on {line.receipt.return_on}. Agree on a new day, or write the "
            "receipt of its return.",
            "return/custody",
        )
        for line in receipts_in(bench, reader, dossier_id)
        if line.is_overdue
    ]


_WHY = {
    11: "“No coating” with its reasons is an answer.",
    19: "Or a named person passes the rule, with a reason that is printed.",
}
