"""Are the photos that the record names in the job folder?  The only look at the folder besides its YAML files."""

from __future__ import annotations

from pathlib import Path

from handover.problems import Problem, nearest
from handover.record.job_files import REMEDY_UNREADABLE, same_name
from handover.record.meaning_evidence import is_plain_file_name
from handover.record.record import Record

PHOTOS = "photos"


def photo_problems(record: Record, folder: Path) -> list[Problem]:
    """One problem for each recorded photo whose file is missing, with the file most like it."""
    photos = folder / PHOTOS
    try:
        # Names are compared as listed: a computer that takes IMG.JPG for img.jpg builds a pack that others cannot.
        listed = sorted(photos.iterdir()) if record.photos and photos.is_dir() else []
        there = [path.name for path in listed if path.is_file()]
    except OSError as error:
        first = record.photos[0].place_of("file")
        what = f"the folder cannot be looked into ({error.strerror})"
        return [Problem(first, PHOTOS, what, REMEDY_UNREADABLE)]
    others = {path.name for path in listed} - set(there)
    problems = []
    for photo in record.photos:
        if same_name(photo.file, there) or not is_plain_file_name(
            photo.file
        ):  # the latter is told of by its name alone
            continue
        if photo.file in others:
            what = "is not a file but a folder, a pipe, a device, or a link that leads to no file"
            remedy = f"Put the picture itself into the folder  {PHOTOS}  under this name."
        else:
            near = nearest(photo.file, there)
            what = f"the picture is not in the folder  {PHOTOS}"
            remedy = f"Did you mean  {near} ?" if near else f"Put the picture into the folder  {PHOTOS} ."
        problems.append(Problem(photo.place_of("file"), f'photos "{photo.file}"', what, remedy))
    return problems
