"""Earlier revisions in the pack: each one's pages, in a folder of their own, marked as superseded on every page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from handover.checks.result import CheckResult
from handover.checks.run import run_checks
from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.editions import record_for
from handover.pack import Drawing, Edition, Issue, Pack, Page, PreparedPhoto, Superseded
from handover.pages import render_pages
from handover.photos import original, prepare_photos
from handover.record.earlier import EARLIER, Earlier
from handover.record.installation import Installation
from handover.record.reader import yaml_files
from handover.reminders import reminders
from handover.safety_notes import safety_notes


@dataclass(frozen=True, slots=True)
class Reissued:
    """An earlier revision made ready: checked, and its photos prepared."""

    earlier: Earlier
    results: tuple[CheckResult, ...]
    photos: tuple[PreparedPhoto, ...]

    def issue(self, edition: Edition) -> Issue:
        """The revision as an edition may show it."""
        return Issue(record=record_for(edition, self.earlier.record), results=self.results)


def made_ready(
    every: Iterable[Earlier], pictures: Path, cache: Callable[[str], Path], progress: Callable[[str], None]
) -> Iterator[Reissued]:
    """Check each revision as today's program checks, and prepare its photos below ``pictures``.

    A check that fails stops no build here: the revision is told as it was.  ``cache`` answers the folder in which a
    revision's encoded photos are kept.
    """
    for each in every:
        name = f"revision-{each.number}"
        made = prepare_photos(each.record.photos, each.folder, pictures / name, cache(name), progress)
        # Named from the revision's own root, so that one folder of pictures serves all pages of an edition.
        photos = tuple(
            replace(photo, files=tuple(replace(file, path=f"../{name}/{file.path}") for file in photo.files))
            for photo in made
        )
        progress(f"Revision {each.number} read and checked")
        yield Reissued(each, run_checks(each.record), photos)


def superseded_pages(
    pack: Pack, pages: Iterable[Page], every: Iterable[Reissued]
) -> tuple[tuple[Page, ...], dict[str, Drawing]]:
    """The pages of all earlier revisions for one edition, and the drawings that they name.

    ``pack`` and ``pages`` are the present revision's.  No labels, downloads or calendar: those hold for today alone.
    """
    now, paths = pack.record.revisions[-1], frozenset(page.path for page in pages)
    made: list[Page] = []
    drawings: dict[str, Drawing] = {}
    for each in every:
        issue = each.issue(pack.edition)
        installation = Installation(issue.record)
        kept = {photo.file for photo in issue.record.photos}
        drawn = draw_all(installation, issue.results) | draw_for_paper(installation, issue.results)
        old = Pack(
            edition=pack.edition,
            record=issue.record,
            installation=installation,
            results=issue.results,
            drawings=drawn,
            photos=tuple(photo for photo in each.photos if photo.photo.file in kept),
            labels=(),
            notes=safety_notes(installation),
            reminders=reminders(installation),
            superseded=Superseded(folder=issue.folder, number=now.number, date=now.date, pages=paths),
        )
        made.extend(_within(issue, page) for page in render_pages(old))
        drawings |= {f"{issue.folder}-{name}": drawing for name, drawing in drawn.items()}
    return tuple(made), drawings


def _within(issue: Issue, page: Page) -> Page:
    return replace(
        page,
        path=f"{issue.folder}/{page.path}",
        title=f"Superseded, revision {issue.number}: {page.title}",
        body=page.body.replace("<!-- drawing ", f"<!-- drawing {issue.folder}-"),
    )


def frozen_files(every: Iterable[Earlier]) -> dict[str, bytes]:
    """The YAML files of the earlier revisions by their path in the job folder."""
    return {
        f"{EARLIER}/{each.number}/{path.name}": path.read_bytes() for each in every for path in yaml_files(each.folder)
    }


def frozen_photos(every: Iterable[Earlier]) -> Iterator[tuple[str, bytes]]:
    """The photos of the earlier revisions as they were taken, by their path in the job folder."""
    for each in every:
        for photo in each.record.photos:
            yield f"{EARLIER}/{each.number}/photos/{photo.file}", original(photo, each.folder)
