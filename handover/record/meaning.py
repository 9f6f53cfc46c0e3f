"""Second look at a record whose shape is right: do its parts fit together?  Returns problems, raises nothing."""

from __future__ import annotations

from handover.problems import Problem
from handover.record.record import Record


def meaning_problems(record: Record) -> list[Problem]:
    """Everything in the record that contradicts itself or names something that is not there."""
    return []
