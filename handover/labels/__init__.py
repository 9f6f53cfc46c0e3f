"""Labels to post: their words from the record, and their art in millimetres."""

from handover.labels.kit import make_kit, not_made
from handover.labels.make import make_labels
from handover.labels.text_codes import make_text_labels
from handover.pack import Label
from handover.record.installation import Installation
from handover.record.record import Record

__all__ = ["all_labels", "make_kit", "make_labels", "make_text_labels", "not_made"]


def all_labels(full: Record) -> tuple[Label, ...]:
    """Every label of a job, in the order of the sheet.

    Raises JobProblems where the address is too long, or has a letter that a code cannot hold.
    """
    return (*make_labels(Installation(full)), *make_kit(full), *make_text_labels(full))
