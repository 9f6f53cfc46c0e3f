"""Labels to post: their words from the record, and their art in millimetres."""

from handover.labels.make import make_labels

__all__ = ["make_labels"]
