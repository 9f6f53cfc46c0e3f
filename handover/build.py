"""The journey, told once: job folder, record, checks; drawings, photos, labels, reminders; pages; two sites."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain
from pathlib import Path

from handover.checks.result import CheckResult
from handover.checks.run import as_json, run_checks, stops_build
from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.drawings.svg import standalone
from handover.editions import record_for
from handover.in_languages import photos_in, told_in
from handover.labels import all_labels
from handover.labels.engraving import is_plate, outlined
from handover.leaks import refuse_leaks
from handover.manifest import kept_unaltered, write_manifests
from handover.offline import KEEP, keeping, write_worker
from handover.output import replacing, scratch_beside
from handover.pack import Edition, Label, Pack, PreparedPhoto
from handover.pages import render_pages
from handover.pdf import Printing, Stock, stuck_on, wanted_stocks
from handover.photos import original, prepare_photos
from handover.private_words import private_words
from handover.record.earlier import EARLIER, Earlier, read_earlier
from handover.record.installation import Installation
from handover.record.reader import read_job, yaml_files
from handover.record.record import Record
from handover.reminders import calendar_bytes, reminders
from handover.resources import shipped
from handover.revisions import Reissued, frozen_files, frozen_photos, made_ready, superseded_pages
from handover.safety_notes import safety_notes
from handover.single_file import SingleFile
from handover.site_builder import Builders, Site, finish, write_tree
from handover.to_keep import ZIP, zip_up
from handover.words import OWN, languages

RECORD = "downloads/record"
"""Where the owner edition carries the job folder itself: its YAML files, and its photos as they were taken."""
Progress = Callable[[str], None]
"""Told of each piece of work as it is done, in a few words."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a build came to.  ``pages`` counts both editions; none were written where ``stopped``.

    ``label_sheets``: for each kind of sheet asked for its name, how many labels are on it, and how many are too large.
    """

    record: Record
    results: tuple[CheckResult, ...]
    pages: int
    stopped: bool
    posted: Path
    owner: Path
    job: Path
    label_sheets: tuple[tuple[str, int, int], ...] = ()


def build(
    job: Path, out: Path, *, progress: Progress, keep_tree: bool = False, label_sheets: Sequence[str] = ()
) -> Outcome:
    """Build both editions of the job's pack into ``out``.

    Raises JobProblems where the record or a photo needs mending.  A check that fails and that the record does not
    answer stops the build; either way a pack already in ``out`` stays as it was.
    ``label_sheets`` names kinds of sheets (``handover.pdf.label_stock``) on which the labels are wanted besides.
    """
    wanted = wanted_stocks(label_sheets)
    record = read_job(job)
    earlier = read_earlier(job, record)
    results = run_checks(record)
    posted, owner = out / "posted" / record.job.pack, out / "owner"
    if any(stops_build(result) for result in results):
        return Outcome(record, results, 0, True, posted, owner, job)
    with (
        replacing(out, job=job, say=progress) as fresh,
        Builders(len(Edition)) as builders,
        Printing(scratch_beside(fresh)) as printing,
    ):
        scratch = scratch_beside(fresh)
        progress("Record read and checked")
        labels = all_labels(record)
        pictures = scratch / "photos"
        photos = prepare_photos(record.photos, job, pictures, _photo_cache(out, fresh), progress)
        reissued = tuple(made_ready(earlier, pictures, partial(_photo_cache, out, fresh), progress))
        made = _Made(job, record, results, labels, photos, wanted, reissued)
        sites, single_files = [], []
        for edition in Edition:
            site, single_file = _write_edition(edition, made, scratch, fresh, printing)
            sites.append(site)
            single_files.append(single_file)
            builders.begin(site)
            progress(f"Pages of the {edition} edition written")
        looked_for = private_words(
            record, [each.record for each in earlier]
        )  # here, because the builders are at work meanwhile
        builders.wait()
        for site, single_file in zip(sites, single_files, strict=True):
            finish(site)
            _copy_pictures(site, pictures)
            progress(single_file.write(site.into))
        _carry_originals(made, fresh / "owner" / RECORD)
        printing.finish()
        if keep_tree:
            (fresh / "tree").mkdir()
            for site in sites:
                site.tree.rename(fresh / "tree" / site.tree.name)
        write_worker(fresh / posted.relative_to(out), sites[0].pages)
        progress("Sites finished")
        progress(refuse_leaks(fresh / "posted", looked_for))
        write_manifests(fresh, record, then=partial(zip_up, fresh / "owner", fresh / ZIP))
    shared_out = ((stock.name, stuck_on(stock, labels)) for stock in wanted)
    on_sheets = tuple((name, len(fits), len(too_large)) for name, (fits, too_large) in shared_out)
    return Outcome(record, results, sum(len(site.pages) for site in sites), False, posted, owner, job, on_sheets)


@dataclass(frozen=True, slots=True)
class _Made:
    """What both editions are made from."""

    job: Path
    record: Record
    results: tuple[CheckResult, ...]
    labels: tuple[Label, ...]
    photos: tuple[PreparedPhoto, ...]
    stocks: tuple[Stock, ...]
    reissued: tuple[Reissued, ...]

    @property
    def earlier(self) -> tuple[Earlier, ...]:
        """The earlier revisions as they are frozen in the job folder."""
        return tuple(each.earlier for each in self.reissued)


def _write_edition(
    edition: Edition, made: _Made, scratch: Path, fresh: Path, printing: Printing
) -> tuple[Site, SingleFile]:
    """One edition's pages and files as a tree for the site builder.  The record is redacted here and only here."""
    shown = record_for(edition, made.record)
    installation = Installation(shown)
    full = edition is Edition.OWNER
    to_do = reminders(installation)
    files = {"reminders.ics": calendar_bytes(installation, to_do)} | _stylesheets()
    drawings = draw_all(installation, made.results) | draw_for_paper(installation, made.results)
    if not full:
        files |= keeping()
    else:
        files |= _downloads(made)
        ink = shipped("site_templates", "css", "drawings.css").read_text(encoding="utf-8")
        files |= {f"downloads/{name}.svg": standalone(drawing.svg, ink).encode() for name, drawing in drawings.items()}
    pack = Pack(
        edition=edition,
        record=shown,
        installation=installation,
        results=made.results,
        drawings=drawings,
        photos=photos_in(shown, made.photos),
        labels=made.labels if full else (),
        notes=safety_notes(installation),
        reminders=to_do,
        downloads=tuple((path, _called(path)) for path in files if path.startswith("downloads/")),
        earlier=tuple(each.issue(edition) for each in made.reissued),
    )
    pages = render_pages(pack)
    old_pages, old_drawings = superseded_pages(pack, pages, made.reissued)
    every, today, drawings = (*pages, *old_pages), pages, drawings | old_drawings
    for language in languages():
        if language != OWN:
            told = told_in(language, pack, made.record)
            every, today = every + told.pages, today + told.pages
            drawings, files = drawings | told.drawings, files | told.files
    into = fresh / "owner" if full else fresh / "posted" / shown.job.pack
    site = Site(scratch / edition.value, into, every, drawings)
    write_tree(site, shown.site.name, files, "" if full else KEEP)
    printing.begin(pack, pages, scratch / "photos", into, made.stocks)
    return site, SingleFile(pack, today, drawings)


def _stylesheets() -> dict[str, bytes]:
    """The one style sheet that a page sends for: the site's own, and the drawings'."""
    parts = [shipped("site_templates", "css", name).read_bytes() for name in ("site.css", "drawings.css")]
    return {"site.css": b"\n".join(parts)}


def _downloads(made: _Made) -> dict[str, bytes]:
    """What the owner edition carries besides pages: the record as written, the results, the labels' art."""
    own = {path.name: path.read_bytes() for path in yaml_files(made.job)}
    written = {f"{RECORD}/{name}": content for name, content in (own | frozen_files(made.earlier)).items()}
    told = json.dumps(as_json(made.record, made.record.code.edition, made.results), indent=1, ensure_ascii=False)
    art = {f"downloads/label-{label.name}.svg": label.svg.encode() for label in made.labels}
    to_engrave = filter(is_plate, made.labels)
    plates = {f"downloads/engrave-{label.name}.svg": outlined(label.svg).encode() for label in to_engrave}
    return written | {"downloads/checks.json": told.encode()} | art | plates


def _called(path: str) -> str:
    """How a download is called on the page: by its name, or where it is of an earlier revision by its path."""
    return path.removeprefix(f"{RECORD}/") if f"/{EARLIER}/" in path else path.rpartition("/")[2]


def _photo_cache(out: Path, fresh: Path, of: str = "") -> Path:
    """Encoded photos from the last build, carried over: encoding them is most of a build's time.

    ``of``: the earlier revision that they are for.
    """
    cache = fresh / ".photo-cache" / of
    cache.mkdir()
    for path, content in kept_unaltered(out, ".photo-cache"):
        (cache / path.name).write_bytes(content)
    return cache


def _carry_originals(made: _Made, record: Path) -> None:
    """The photos as they were taken, beside the record that names them: the same pack can be built from there again."""
    own = ((f"photos/{photo.file}", original(photo, made.job)) for photo in made.record.photos)
    for path, content in chain(own, frozen_photos(made.earlier)):
        target = record / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)


def _copy_pictures(site: Site, pictures: Path) -> None:
    """The photos that this site's pages name, and no others."""
    wanted = "\n".join(page.body for page in site.pages)
    for picture in sorted(pictures.rglob("*")):
        path = picture.relative_to(pictures).as_posix()
        if picture.is_file() and path in wanted:
            target = site.into / path
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(picture, target)
