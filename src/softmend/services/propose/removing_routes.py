"""The other routes to the object: materials, steps and the day log pass the same gate."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.action import Action
from softmend.records.dossier import NOT_KNOWN
from softmend.records.material import Direction
from softmend.records.proposal import PlanMaterial, PlanStep
from softmend.services.propose.removing_gate import refuse_locked_words, refuse_unread_liquid
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.treat.treatment_words import actions

AQUEOUS = "aqueous_cleaning"
TOUCHES_DRY = frozenset(
    {"dry_cleaning", "mechanical_removal", "dry_fit", "pinning", "texturing", "levelling"}
)
"""Dry steps that touch the object: a damp sponge in their words is no dry step."""


def refuse_locked_material(reader: Reader, dossier_id: str, material: PlanMaterial) -> None:
    """Refuse a planned material that is, or carries, or comes off with what is locked here."""
    made = material.make_up
    liquids = [] if made is None else [made.solvent]
    solute = [] if made is None else [made.solute]
    texts = [material.generic_name, *solute]
    if material.comes_off_how != NOT_KNOWN:
        texts.append(material.comes_off_how)
    refuse_locked_words(reader, dossier_id, texts, liquids)
    for liquid in liquids:
        refuse_unread_liquid(reader, dossier_id, liquid)


def refuse_locked_step(reader: Reader, dossier_id: str, step: PlanStep) -> None:
    """Refuse a planned step that names what is locked here; cleaning with water is one."""
    if not actions()[step.action_id].is_wet and step.action_id not in TOUCHES_DRY:
        return
    named = ["water"] if step.action_id == AQUEOUS else []
    refuse_locked_words(reader, dossier_id, [step.what, *named])


def refuse_locked_log(reader: Reader, dossier_id: str, action: Action) -> None:
    """Refuse a log entry that put something locked on the object, until somebody opened it."""
    term = actions().get(action.action)
    touches = term is None or term.is_wet or action.action in TOUCHES_DRY
    texts = [action.tool] if touches else []
    if action.action == AQUEOUS:
        texts.append("water")
    liquids: list[str] = []
    for moved in action.moved:
        if moved.direction is not Direction.PUT_ON:
            continue
        texts.append(moved.material)
        if moved.batch_id:
            _, batch = current_record(reader, dossier_id, "batch", moved.batch_id)
            liquids += [one.name for one in batch.ingredients]
    refuse_locked_words(reader, dossier_id, texts, liquids)
