"""Every code is read from a picture of its label as printed, before a label is handed out."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Sequence
from pathlib import Path

import zxingcpp
from PIL import Image

from handover.pack import Label
from handover.pdf.ink import label_on_paper
from handover.pdf.typesetting import Document, pictures
from handover.problems import JobProblems, Problem
from handover.record.people import Job

DOTS_AN_INCH = 300
"""What an ordinary printer does at the least."""


def unreadable(labels: Sequence[Label], day: dt.date, within: Path | None = None) -> list[Label]:
    """The labels whose code, drawn at print resolution, does not read as what it shall hold."""
    coded = [(label, label.quiet_box) for label in labels if label.quiet_box is not None]
    if not coded:
        return []
    codes = [
        {
            "name": label.name,
            "file": f"{label.name}.svg",
            "x": box[0],
            "y": box[1],
            "side": round(box[2] - box[0], 3),
            "width": label.width_mm,
            "height": label.height_mm,
        }
        for label, box in coded
    ]
    files = {f"{label.name}.svg": label_on_paper(label.svg) for label, _ in coded}
    document = Document(template="codes.typ", title="Codes", day=day, data={"codes": codes}, files=files)
    shown = pictures(document, DOTS_AN_INCH, within)
    return [label for (label, _), picture in zip(coded, shown, strict=True) if _read(picture) != [label.held]]


def _read(picture: bytes) -> list[str]:
    with Image.open(io.BytesIO(picture), formats=("PNG",)) as opened:
        return [found.text for found in zxingcpp.read_barcodes(opened.convert("L"))]


def refuse_unreadable(labels: Sequence[Label], job: Job, day: dt.date, within: Path | None = None) -> None:
    """Raises JobProblems naming every label whose code does not read: a printed one would lead nowhere."""
    place = job.place_of("publish_at")
    remedy = "Publish at a shorter address, and tell the makers of this program: every code it makes should read."
    problems = [
        Problem(place, f"label {label.name}", f"its code does not read as {label.held!r} when printed", remedy)
        for label in unreadable(labels, day, within)
    ]
    if problems:
        raise JobProblems(problems)
