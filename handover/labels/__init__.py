"""Labels to post: their words from the record, and their art in millimetres."""

from handover.labels.kit import make_kit, not_made
from handover.labels.make import make_labels

__all__ = ["make_kit", "make_labels", "not_made"]
