"""Second look at a record whose shape is right: do its parts fit together?  Returns problems, raises nothing."""

from __future__ import annotations

from handover.problems import Problem
from handover.record.meaning_administration import administration_problems
from handover.record.meaning_codes import code_problems
from handover.record.meaning_evidence import evidence_problems
from handover.record.meaning_landmarks import landmark_problems
from handover.record.meaning_names import telling_name_problems
from handover.record.meaning_private import private_text_problems
from handover.record.meaning_supply import supply_problems
from handover.record.meaning_translations import translation_problems
from handover.record.meaning_wiring import wiring_problems
from handover.record.record import Record


def meaning_problems(record: Record) -> list[Problem]:
    """Everything in the record that contradicts itself or names something that is not there."""
    return [
        *administration_problems(record),
        *code_problems(record),
        *supply_problems(record),
        *wiring_problems(record),
        *landmark_problems(record),
        *evidence_problems(record),
        *telling_name_problems(record),
        *private_text_problems(record),
        *translation_problems(record),
    ]
