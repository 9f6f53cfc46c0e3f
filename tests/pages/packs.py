"""Packs for tests of the pages: whole, from a job folder or a record, with photo files that only have to be named."""

from __future__ import annotations

from functools import cache
from itertools import chain
from pathlib import Path

from handover.checks.run import run_checks
from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.editions import record_for
from handover.in_languages import told_in
from handover.labels import all_labels
from handover.pack import Edition, Pack, Page, PhotoFile, PreparedPhoto
from handover.pages import render_pages
from handover.record.evidence import Photo
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.record.record import Record
from handover.reminders import reminders
from handover.safety_notes import safety_notes
from handover.words import OWN, languages

ROOT = Path(__file__).parent.parent.parent
JOBS = {"demo": ROOT / "demo_property", "small": ROOT / "tests" / "small_job"}


def _prepared(number: int, photo: Photo) -> PreparedPhoto:
    kinds = (("webp", "image/webp"), ("jpg", "image/jpeg"))
    return PreparedPhoto(
        photo=photo,
        number=number,
        files=tuple(
            PhotoFile(path=f"photos/photo-{number:02}-{width}.{ending}", kind=kind, width=width, height=width * 3 // 4)
            for ending, kind in kinds
            for width in (768, 1600)
        ),
    )


def pack_of(record: Record, edition: Edition) -> Pack:
    """One edition's pack, as the build makes it."""
    shown = record_for(edition, record)
    installation = Installation(shown)
    results = run_checks(record)
    return Pack(
        edition=edition,
        record=shown,
        installation=installation,
        results=results,
        drawings=draw_all(installation, results) | draw_for_paper(installation, results),
        photos=tuple(_prepared(number, photo) for number, photo in enumerate(shown.photos, 1)),
        labels=all_labels(record) if edition is Edition.OWNER else (),
        notes=safety_notes(installation),
        reminders=reminders(installation),
        downloads=(("downloads/job.yaml", "job.yaml"),) if edition is Edition.OWNER else (),
    )


@cache
def pages_of(job: str, edition: Edition) -> dict[str, Page]:
    """The pages of one of ``JOBS`` by path, in every language."""
    record = read_job(JOBS[job])
    pack = pack_of(record, edition)
    others = (told_in(language, pack, record).pages for language in languages() if language != OWN)
    return {page.path: page for page in (*render_pages(pack), *chain.from_iterable(others))}
