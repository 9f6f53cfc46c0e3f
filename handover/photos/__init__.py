"""Photos of the job folder, made fit to publish.  The only part of the package that uses Pillow.

A stage with thin edges: it reads pictures of the job folder and writes files below the site's root.  Same pictures and
same Pillow, same bytes out.
"""

from handover.photos.copies import smaller
from handover.photos.prepare import prepare_photos
from handover.photos.source import bytes_of as original
from handover.photos.source import check_photos

__all__ = ["check_photos", "original", "prepare_photos", "smaller"]
