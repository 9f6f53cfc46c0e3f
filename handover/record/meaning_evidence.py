"""Photos and readings: file names that can be found on every computer, marks within the picture, values of the kind."""

from __future__ import annotations

from collections.abc import Iterator

from handover.problems import Problem, nearest
from handover.record.evidence import Photo, Reading
from handover.record.facts import Basis, kept_by_windows
from handover.record.record import Record
from handover.record.said import about, seen_from, spoken_of

# The values that answer each kind of reading.
_ANSWERS = {
    "voltage line to line": ("volts",),
    "voltage line to neutral": ("volts",),
    "voltage neutral to ground": ("volts",),
    "insulation resistance": ("ohms",),
    "ground continuity": ("ohms", "result"),
    "ground-fault loop impedance": ("ohms",),
    "ground resistance": ("ohms",),
    "current in use": ("amperes",),
    "GFCI trip": ("trip_current", "result"),
    "AFCI test": ("result",),
    "polarity": ("result",),
    "transfer test": ("result",),
}
_VALUES = ("volts", "ohms", "amperes", "trip_current", "result")


def evidence_problems(record: Record) -> list[Problem]:
    """What cannot be so in photos and readings."""
    problems: list[Problem] = []
    first: dict[str, Photo] = {}
    for number, photo in enumerate(record.photos):
        where = spoken_of("photos", photo, number)
        problems.extend(_photo(photo, where))
        earlier = first.setdefault(photo.file.lower(), photo)
        if earlier is not photo:
            other = seen_from(photo.place_of("file"), earlier.place_of("file"))
            what = f"the picture is described already ({other})"
            problems.append(about(photo, "file", where, what, "Keep one entry for each picture, with all its marks."))
    problems.extend(_marking_photos(record))
    for number, reading in enumerate(record.readings):
        problems.extend(_reading(reading, f"readings entry {number + 1} ({reading.kind} of {reading.of})"))
    return problems


def _marking_photos(record: Record) -> Iterator[Problem]:
    """Pictures that a marking names and that are not described under photos, or are not for everybody."""
    described = {photo.file: photo for photo in record.photos}
    for number, marking in enumerate(record.markings):
        if marking.photo is None:
            continue
        where = f"markings entry {number + 1} ({marking.kind})"
        photo = described.get(marking.photo)
        if photo is None:
            near = nearest(marking.photo, list(described))
            remedy = f"Did you mean  {near} ?" if near else "Describe the picture under  photos  too."
            yield about(marking, "photo", where, "no picture of that name is described in this record", remedy)
        elif photo.owner_only:
            remedy = "Name another picture, or write a  note  instead."
            yield about(marking, "photo", where, "that picture is for the owner only, and markings are posted", remedy)


def is_plain_file_name(name: str) -> bool:
    """Whether every computer can hold a file of this name, and it leads into no other folder."""
    return not (any(sign in name for sign in '/\\:*?"<>|') or name.startswith(".") or kept_by_windows(name))


def _photo(photo: Photo, where: str) -> Iterator[Problem]:
    if not is_plain_file_name(photo.file):
        what = "is not a plain file name"
        yield about(
            photo, "file", where, what, "Put the picture right into  photos  and write its name, like: panel.jpg"
        )
    for key in ("alt", "caption"):
        if not getattr(photo, key).strip():
            yield about(photo, key, where, "says nothing", "Say in a sentence what the picture shows.")
    for number, mark in enumerate(photo.marks):
        here = f"{where}, marks entry {number + 1}"
        for key in ("x", "y"):
            if not 0 <= getattr(mark, key) <= 1:
                remedy = "Write 0 for the left or top edge, 1 for the right or bottom edge, and 0.5 for the middle."
                yield about(mark, key, here, f"{getattr(mark, key):g} lies outside the picture", remedy)
        if not 0 < mark.size <= 1:
            remedy = "Write a share of the picture's longer side, like: 0.08"
            yield about(mark, "size", here, f"{mark.size:g} is no size for a mark", remedy)


def _reading(reading: Reading, where: str) -> Iterator[Problem]:
    answers = _ANSWERS[reading.kind]
    written = [key for key in _VALUES if getattr(reading, key).basis is not Basis.NOT_RECORDED]
    for key in written:
        if key not in answers:
            what = f"does not belong to a reading of the kind  {reading.kind}"
            yield about(reading, key, where, what, f"Write  {answers[0]}: , or correct  kind: .")
    if not written:
        remedy = f"Write  {answers[0]}: , or  {answers[0]}: not checked ; or take the entry out."
        yield Problem(reading.written_at, where, "has no value", remedy)
