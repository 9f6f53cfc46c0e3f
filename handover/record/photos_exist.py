"""Are the photos that the record names in the job folder?  The only look at the folder besides its YAML files."""

from __future__ import annotations

from pathlib import Path

from handover.problems import Problem, nearest
from handover.record.meaning_evidence import is_plain_file_name
from handover.record.record import Record

PHOTOS = "photos"


def photo_problems(record: Record, folder: Path) -> list[Problem]:
    """One problem for each recorded photo whose file is missing, with the file most like it."""
    photos = folder / PHOTOS
    # Names are compared as listed: a computer that takes IMG.JPG for img.jpg builds a pack that others cannot.
    there = sorted(path.name for path in photos.iterdir() if path.is_file()) if photos.is_dir() else []
    problems = []
    for photo in record.photos:
        if photo.file in there or not is_plain_file_name(photo.file):  # the latter is told of by its name alone
            continue
        near = nearest(photo.file, there)
        remedy = f"Did you mean  {near} ?" if near else f"Put the picture into the folder  {PHOTOS} ."
        what = f"the picture is not in the folder  {PHOTOS}"
        problems.append(Problem(photo.place_of("file"), f'photos "{photo.file}"', what, remedy))
    return problems
