"""Reissuing a record: address and codes stay, the earlier revision stays readable, what changed is listed by fact."""

from __future__ import annotations

import html
import re
import shutil
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from handover.build import RECORD, build
from handover.checks.run import run_checks
from handover.cli import main
from handover.differences import Entry, differences
from handover.labels import all_labels
from handover.leaks import leaks
from handover.pack import Edition
from handover.pages import render_pages
from handover.private_words import private_words
from handover.problems import JobProblems
from handover.record.earlier import Earlier, read_earlier
from handover.record.reader import read_job
from handover.reissue import reissue
from handover.revisions import Reissued, superseded_pages
from tests.canaries import job_of_canaries
from tests.jobs import job as record_of
from tests.jobs import swap
from tests.pages.packs import pack_of

TESTS = Path(__file__).parent
PHOTOS = """
photos:
  - {file: panel.jpg, alt: A grey panel with its door open., caption: The panel., of: [P1], place: basement}
"""
EARLIER_NOTES = """
private_notes: The key hangs behind the Qzornel clock.
"""
LATER_NOTES = """
private_notes: The key hangs behind the Vrexmar mirror.
retired_codes:
  - {code: R1, now: The cable was drawn anew., was: Cable to the heater, since: 2, instead: [R2]}
"""
# What the new work changes: old words and new ones, each at least once in the small job.
NEW_WORK = (
    ("what: First issue.}", "what: First issue.}\n  - {number: 2, date: 2026-08-03, by: F. E., what: New heater.}"),
    ("- {code: E1, name: Heat-pump water heater,", "- {code: E2, name: Larger water heater,"),
    ("code: E1}", "code: E2}"),
    ("code: R1\n", "code: R2\n"),
    ("runs: [R1]", "runs: [R2]"),
    ("people: [{name: Imre Falk}]", "people: [{name: Oriel Tansy}]"),
    ("breaker: 15 A, says: furnace", "breaker: 20 A, says: furnace"),
    ("breaker: 20 A, says: bath", "breaker: 20 A, says: burglar alarm, says_posted: study"),
    ("applied: 25 lbf-in", "applied: not checked"),
    ("0.04 Ω, date: 2026-04-16}", "0.04 Ω, date: 2026-04-16}\n  - {of: C1, kind: polarity, result: as expected}"),
)


def first_job(folder: Path) -> Path:
    """The small job with a photo and a private note."""
    shutil.copytree(TESTS / "small_job", folder)
    (folder / "photos").mkdir()
    Image.linear_gradient("L").convert("RGB").save(folder / "photos" / "panel.jpg")
    text = (folder / "job.yaml").read_text(encoding="utf-8")
    (folder / "job.yaml").write_text(text + PHOTOS + EARLIER_NOTES, encoding="utf-8")
    return folder


def do_new_work(folder: Path) -> None:
    text = (folder / "job.yaml").read_text(encoding="utf-8")
    for old, new in (*NEW_WORK, (EARLIER_NOTES, LATER_NOTES)):
        text = swap(text, old, new)
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    Image.linear_gradient("L").convert("RGB").rotate(90).save(folder / "photos" / "panel.jpg")


def in_silence(said: str) -> None:
    """Progress that nobody watches."""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The job's folder, its first pack, and the pack of its second revision."""
    base = tmp_path_factory.mktemp("revisions")
    folder = first_job(base / "job")
    build(folder, base / "first", progress=in_silence)
    told = CliRunner().invoke(main, ["reissue", str(folder)])
    assert told.exit_code == 0, told.output
    do_new_work(folder)
    build(folder, base / "second", progress=in_silence)
    return base


def posted(pack: Path) -> Path:
    (edition,) = (pack / "posted").iterdir()
    return edition


def text_of(page: Path) -> str:
    """A page's own words."""
    body = page.read_text(encoding="utf-8")
    main_part = body[body.index("<main") : body.index("</main>")]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main_part)).split())


def editions(pack: Path) -> tuple[Path, Path]:
    return posted(pack), pack / "owner"


# Freezing.


def test_reissue_freezes_files_and_photos_and_alters_nothing_else(tmp_path):
    folder = first_job(tmp_path / "job")
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    frozen = reissue(folder)
    assert (frozen.number, frozen.folder) == (1, folder / "earlier" / "1")
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()} - {
        path.relative_to(folder).as_posix() for path in before
    }
    assert there == {"earlier/1/job.yaml", "earlier/1/photos/panel.jpg"}
    for name in ("job.yaml", "photos/panel.jpg"):
        assert (folder / "earlier" / "1" / name).read_bytes() == before[folder / name]
    assert {path: path.read_bytes() for path in before} == before
    assert [path.name for path in (folder / "earlier").iterdir()] == ["1"]


def test_reissue_tells_what_to_do_and_refuses_to_freeze_a_revision_twice(tmp_path):
    folder = first_job(tmp_path / "job")
    told = CliRunner().invoke(main, ["reissue", str(folder)])
    assert "{number: 2, date: , by: , what: }" in told.output
    assert "Keep  pack:  and  publish_at:" in told.output
    (folder / "job.yaml").write_text(
        (folder / "job.yaml").read_text(encoding="utf-8").replace("name: Panel\n", "name: Main panel\n"), "utf-8"
    )
    again = CliRunner().invoke(main, ["reissue", str(folder)])
    assert again.exit_code == 2
    assert "earlier/1: is there already: revision 1 was frozen before" in again.output
    assert "name: Panel\n" in (folder / "earlier" / "1" / "job.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("spoilt", ["job.yaml", "photos/panel.jpg"])
def test_reissue_freezes_nothing_that_does_not_read(tmp_path, spoilt):
    folder = first_job(tmp_path / "job")
    (folder / spoilt).write_bytes(b"job: {}")
    with pytest.raises(JobProblems):
        reissue(folder)
    assert not (folder / "earlier").exists()


def test_a_freeze_that_fails_half_way_leaves_nothing(tmp_path, monkeypatch):
    folder = first_job(tmp_path / "job")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("handover.reissue.original", full)
    with pytest.raises(JobProblems, match=r"earlier/1: cannot be written \(No space left on device\)"):
        reissue(folder)
    assert list((folder / "earlier").iterdir()) == []


# The pack of the second revision.


def test_the_address_and_the_code_of_each_label_stay(made):
    """A label of the first revision holds, dot for dot, the code that the second one prints, and its page is there."""
    first, second = made / "first", made / "second"
    assert posted(first).name == posted(second).name
    was, now = (
        {label.name: label for label in all_labels(read_job(job))}
        for job in (made / "job" / "earlier" / "1", made / "job")
    )
    both = [name for name in was if name in now and was[name].address]
    assert {"P1", "door-card"} <= set(both)
    for name in both:
        assert was[name].address == now[name].address
        (code,), (again,) = (re.findall(r"<path[^>]*evenodd[^>]*>", each[name].svg) for each in (was, now))
        assert code == again
    for label in was.values():
        if label.address:
            path = label.address.partition(f"{posted(second).name}/")[2]
            assert (posted(second) / path / "index.html").is_file()


def test_each_page_of_the_earlier_revision_is_there_and_marked(made):
    for was, now in zip(editions(made / "first"), editions(made / "second"), strict=True):
        left_out = {"labels.html", "pack.html"}
        every = {path.relative_to(was).as_posix() for path in was.rglob("*.html")} - left_out
        pages = {name for name in every if not name.startswith("lang-")}  # an earlier one is told in English alone
        assert len(pages) > 15
        for name in pages:
            page = now / "revision-1" / name
            body = page.read_text(encoding="utf-8")
            (banner,) = re.findall(r'<aside class="superseded".*?</aside>', body)
            assert "this is revision 1 of April 16, 2026. Current revision:" in banner
            (href,) = re.findall(r'href="([^"]+)"', banner)
            target = (page.parent / href).resolve()
            assert target == (now / name if (now / name).is_file() else now / "index.html").resolve(), name
            assert '<meta name="robots" content="noindex' in body
            assert "Content-Security-Policy" in body
            assert "Superseded, revision 1" in re.findall(r"<title>(.*?)</title>", body, re.DOTALL)[0]
            assert "<!-- drawing" not in body
            told = re.sub(r"Keep a copy .*? to print or keep \(PDF\) ", "", text_of(was / name))
            assert text_of(page) == told.replace("Put these in my calendar (file) ", "").replace(
                "job.yaml, line", "earlier/1/job.yaml, line"
            ), name
        assert not re.search("superseded", (now / "index.html").read_text(encoding="utf-8"))


def test_every_link_of_both_revisions_leads_somewhere(made):
    for site in editions(made / "second"):
        for page in site.rglob("*.html"):
            body = page.read_text(encoding="utf-8")
            named = [*re.findall(r'(?:href|src)="([^"]+)"', body)]
            named += [part.split()[0] for names in re.findall(r'srcset="([^"]+)"', body) for part in names.split(",")]
            for address in named:
                path = html.unescape(address).partition("#")[0]
                if path and not path.startswith(("tel:", "data:")):
                    assert (page.parent / path).resolve().is_file(), (page, address)


def test_each_revision_shows_its_own_photo(made):
    for site in editions(made / "second"):
        sizes = []
        for page in (site / "photos.html", site / "revision-1" / "photos.html"):
            (source,) = re.findall(r'<img src="([^"]+\.jpg)"', page.read_text(encoding="utf-8"))
            sizes.append((page.parent / source).read_bytes())
        assert sizes[0] != sizes[1]


def test_changes_are_listed_by_fact_in_both_editions(made):
    for site in editions(made / "second"):
        text = text_of(site / "changes.html")
        for told in (
            "Revision 2 of August 3, 2026 New heater. Before it: Revision 1 of April 16, 2026",
            "Space 12: Breaker: Rating 15 A 20 A",
            "E2 Larger water heater New in this revision.",
            "E1 Heat-pump water heater No longer there. The page of its code says where to look.",
            "Terminal tightened “breaker at P1 9/11”: Applied 25 lbf-in Not checked",
            "Reading “polarity” Not on record About: C1; kind: polarity; result: as expected",
            "Check: Were the terminals tightened to the value their maker gives? Passes Cannot be decided yet",
        ):
            assert told in text, told
        for page in ("index.html", "about.html"):
            assert 'href="changes.html"' in (site / page).read_text(encoding="utf-8").split("</main>")[0]
        assert 'href="revision-1/index.html"' in (site / "about.html").read_text(encoding="utf-8")


def test_private_changes_stand_in_the_owner_edition_alone(made):
    public, owner = (text_of(site / "changes.html") for site in editions(made / "second"))
    assert "Directory card says bath burglar alarm" in owner
    assert "Directory card says bath study" in public
    for private in ("Imre Falk", "Oriel Tansy", "Qzornel", "Vrexmar"):
        assert private in owner
        assert private not in public
    everything = b"".join(path.read_bytes() for path in posted(made / "second").rglob("*.html"))
    for private in (b"Imre Falk", b"Oriel Tansy", b"Qzornel", b"Vrexmar", b"burglar"):
        assert private not in everything


def test_private_words_of_every_revision_are_looked_for(made, tmp_path):
    job = made / "job"
    now = read_job(job)
    looked_for = private_words(now, [each.record for each in read_earlier(job, now)])
    (tmp_path / "page.html").write_text("Ask Imre Falk or Oriel Tansy.", encoding="utf-8")
    assert [leak.field for leak in leaks(tmp_path, looked_for)] == ["site.people[0].name"]
    for name in ("Imre Falk", "Oriel Tansy"):
        (tmp_path / "page.html").write_text(f"Ask {name}.", encoding="utf-8")
        assert leaks(tmp_path, looked_for), name


def test_no_page_of_a_posted_revision_holds_a_canary(tmp_path):
    """Every private field of the demo filled with a text of its own: in the earlier record, then in the present one."""
    (tmp_path / "canaries").mkdir()
    placed = job_of_canaries(tmp_path / "canaries").placed
    plain, filled = read_job(TESTS.parent / "demo_property"), read_job(tmp_path / "canaries")
    results = run_checks(plain), run_checks(filled)
    every = [text for texts in placed.values() for text in texts]
    assert len(every) > 30
    for edition in Edition:
        told = []
        for (now, _), (was, found) in permutations(zip((plain, filled), results, strict=True)):
            reissued = Reissued(Earlier(1, tmp_path, was), found, ())
            pack = replace(pack_of(now, edition), earlier=(reissued.issue(edition),))
            pages = render_pages(pack)
            old, _ = superseded_pages(pack, pages, (reissued,))
            told += [page.body for page in (*pages, *old)] + [page.title for page in old]
        standing = [text for text in every if any(text in each for each in told)]
        assert standing == [] if edition is Edition.POSTED else len(standing) > 30


def test_what_became_private_later_is_a_leak_and_what_became_open_is_none(tmp_path):
    shown = record_of("site: {name: Test house, building: house by Zwolmere pond}")
    hidden = record_of("private_notes: Zwolmere pond")
    (tmp_path / "page.html").write_text("<p>A house by Zwolmere pond.</p>", encoding="utf-8")
    assert leaks(tmp_path, private_words(hidden, [shown]))
    assert not leaks(tmp_path, private_words(shown, [hidden]))


def test_a_retired_address_answers(made):
    for site in editions(made / "second"):
        noted, by_itself = text_of(site / "R1" / "index.html"), text_of(site / "E1" / "index.html")
        assert noted.startswith("R1 is no longer used Fire or smoke: get out, call 911")
        for told in ("It was Cable to the heater", "Gone since Revision 2 of August 3", "The cable was drawn anew."):
            assert told in noted
        assert by_itself.startswith("E1 is no longer used Fire or smoke: get out, call 911")
        for told in (
            "It was Heat-pump water heater",
            "Gone since Revision 2 of August 3, 2026",
            "It was fed from Panel, spaces 9 and 11. There is now: spaces 9 and 11: Water heater.",
            "E2 Larger water heater C1 Water heater",
            "What it was: Revision 1 of April 16, 2026",
        ):
            assert told in by_itself, told
        body = (site / "E1" / "index.html").read_text(encoding="utf-8")
        for href in ("../index.html", "../E2/index.html", "../revision-1/E1/index.html", "../changes.html"):
            assert f'href="{href}"' in body
        assert 'href="R2/index.html"' in (site / "index.html").read_text(encoding="utf-8")
        assert 'href="E1/index.html"' in (site / "index.html").read_text(encoding="utf-8")


def test_a_rebuild_from_the_owners_copy_gives_the_same_bytes(made):
    carried = made / "second" / "owner" / RECORD
    for name in ("job.yaml", "photos/panel.jpg", "earlier/1/job.yaml", "earlier/1/photos/panel.jpg"):
        assert (carried / name).read_bytes() == (made / "job" / name).read_bytes()
    build(carried, made / "again", progress=in_silence)
    for name in ("owner/manifest.json", f"posted/{posted(made / 'second').name}/manifest.json", "manifest.json"):
        assert (made / "again" / name).read_bytes() == (made / "second" / name).read_bytes()


def test_the_banner_shows_and_links_on_a_phone(made):
    from axe_playwright_python.sync_playwright import Axe

    from tests.browser.chromium import chromium

    site = posted(made / "second")
    page_of_c1 = site / "revision-1" / "C1" / "index.html"
    with chromium() as browser:
        for scheme in ("light", "dark"):
            context = browser.new_context(
                viewport={"width": 360, "height": 740}, color_scheme=scheme, java_script_enabled=True
            )
            page = context.new_page()
            for shown in (page_of_c1, site / "changes.html", site / "E1" / "index.html"):
                page.goto(shown.as_uri())
                assert page.evaluate("document.documentElement.scrollWidth") == 360
                assert [found["id"] for found in Axe().run(page).response["violations"]] == []
            page.goto(page_of_c1.as_uri())
            page.evaluate("scrollTo(0, 900)")
            box = page.locator(".superseded").bounding_box()
            assert box["y"] == 0
            assert box["height"] < 150
            page.locator(".superseded a").click()
            assert page.url == (site / "C1" / "index.html").as_uri()
        page.goto(page_of_c1.as_uri())
        page.emulate_media(media="print")
        assert page.locator(".superseded").is_visible()


# Folders that are not what they should be.


@pytest.fixture
def reissued(tmp_path):
    folder = first_job(tmp_path / "job")
    reissue(folder)
    do_new_work(folder)
    return folder


def told_of(folder: Path) -> str:
    with pytest.raises(JobProblems) as found:
        read_earlier(folder, read_job(folder))
    return str(found.value)


def alter(file: Path, old: str, new: str) -> None:
    file.write_text(swap(file.read_text(encoding="utf-8"), old, new), encoding="utf-8")


def test_sound_folders_are_read_oldest_first_and_hidden_files_are_left_alone(reissued):
    reissue(reissued)
    alter(
        reissued / "job.yaml",
        "what: New heater.}",
        "what: New heater.}\n  - {number: 10, date: 2026-09-01, by: F, what: x}",
    )
    (reissued / "earlier" / ".DS_Store").write_text("x", encoding="utf-8")
    assert [each.number for each in read_earlier(reissued, read_job(reissued))] == [1, 2]


BAD = {
    "another address": ("earlier/1/job.yaml", "8V94HQYYC63GXBGT5347ZN4MT", "8V94HQYYC63GXBGT5347ZN4MV",
                        "earlier/1/job.yaml:7: job, pack: is another address than the present record's"),
    "another number": ("earlier/1/job.yaml", "number: 1,", "number: 3,",
                       "the record here is revision 3, and its folder is named 1"),
    "not raised": ("job.yaml", "  - {number: 2, date: 2026-08-03, by: F. E., what: New heater.}\n", "",
                   "revision 1 is frozen in earlier/1, so it cannot be the present one too"),
    "history rewritten": ("job.yaml", "{number: 1, date: 2026-04-16", "{number: 1, date: 2026-04-17",
                          "the present record lists no revision 1 of 2026-04-16"),
    "does not read": ("earlier/1/job.yaml", "spaces: 12", "spaces: many", "earlier/1/job.yaml:46: "),
    "photo is missing": ("earlier/1/job.yaml", "panel.jpg", "pannel.jpg", "Did you mean  panel.jpg ?"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_bad_folders_are_told_clearly(reissued, case):
    file, old, new, expected = BAD[case]
    alter(reissued / file, old, new)
    if case == "not raised":  # then nothing else may be dated or numbered by it
        alter(reissued / file, "since: 2, ", "")
    assert expected in told_of(reissued)


@pytest.mark.parametrize("name", ["first", "01", "notes.txt"])
def test_what_is_no_revision_is_told_clearly(reissued, name):
    (reissued / "earlier" / name).mkdir()
    assert f"earlier/{name}: is no folder named by a revision's number" in told_of(reissued)


def test_a_later_revision_than_the_present_one_is_told(reissued):
    (reissued / "earlier" / "1").rename(reissued / "earlier" / "3")
    alter(reissued / "earlier" / "3" / "job.yaml", "number: 1,", "number: 3,")
    assert "revision 3 is later than the present one, 2" in told_of(reissued)


def test_a_code_is_never_used_for_another_kind_of_thing(reissued):
    alter(reissued / "job.yaml", "code: R2\n", "code: E1\n")
    alter(reissued / "job.yaml", "runs: [R2]", "runs: [E1]")
    alter(reissued / "job.yaml", "instead: [R2]", "instead: [E1]")
    assert 'the code "E1" was equipment in revision 1 and is a run now' in told_of(reissued)


def test_a_retired_code_does_not_come_back(reissued):
    reissue(reissued)
    text = (reissued / "job.yaml").read_text(encoding="utf-8").split("retired_codes:")[0]
    text = text.replace("what: New heater.}", "what: New heater.}\n  - {number: 3, date: 2026-09-01, by: F, what: x}")
    (reissued / "job.yaml").write_text(text.replace("R2", "R1"), encoding="utf-8")
    assert 'the code "R1" was a retired code in revision 2 and is a run now' in told_of(reissued)


def test_check_tells_of_them_too(reissued):
    alter(reissued / "earlier" / "1" / "job.yaml", "spaces: 12", "spaces: many")
    told = CliRunner().invoke(main, ["check", str(reissued)])
    assert told.exit_code == 2
    assert "earlier/1/job.yaml:46: " in told.output


def test_the_notes_of_a_retired_code_are_looked_at(reissued):
    alter(reissued / "job.yaml", "since: 2, instead: [R2]", "since: 7, instead: [R9]")
    alter(reissued / "job.yaml", "was: Cable to the heater", "was: Cable to the burglar alarm")
    with pytest.raises(JobProblems) as found:
        read_job(reissued)
    for told in ("the record lists no revision 7", 'nothing in this record has the code "R9"', '"burglar" tells'):
        assert told in str(found.value)


# Differences by structure.


def ways(before: str, after: str) -> list[tuple[str, object, object]]:
    def written(way):
        return ".".join(f"[{step.number}]" if isinstance(step, Entry) else step for step in way)

    found = differences(record_of(before), record_of(after))
    return [(written(each.way), each.before, each.after) for each in found]


@pytest.mark.parametrize("name", ["demo_property", "tests/small_job", "tests/crowded_house", "tests/other_house"])
def test_a_record_differs_in_nothing_from_itself(name):
    assert list(differences(read_job(TESTS.parent / name), read_job(TESTS.parent / name))) == []


def test_a_reading_taken_again_is_added_and_alters_none():
    reading = "{{of: P1, kind: polarity, result: as expected, date: 2026-06-0{}}}"
    once, again = (f"readings: [{', '.join(reading.format(day) for day in days)}]" for days in ((1,), (1, 9)))
    ((way, nothing, added),) = ways(once, again)
    assert (way, nothing, added.date.day) == ("readings.[2]", None, 9)


def test_the_same_record_written_otherwise_differs_in_nothing():
    one = "panels: [{code: P1, name: A, place: hall, work: new, spaces: 4, main_kind: main breaker, main: 200 A}]"
    other = """
panels:
  - {code: P1, name: A, place: hall, work: new, spaces: 4, main: 0.2 kA, main_kind: main breaker}
"""
    assert ways(one, other) == []


def test_a_note_or_another_basis_is_a_change():
    panel = "panels: [{{code: P1, name: A, place: hall, work: new, spaces: 4, main_kind: main breaker, main: {}}}]"
    plain, note = panel.format("200 A"), panel.format("{value: 200 A, note: worn}")
    seen = panel.format("{value: 200 A, basis: nameplate}")
    assert [way for way, _, _ in ways(plain, note)] == ["panels.[1].main"]
    assert [way for way, _, _ in ways(plain, seen)] == ["panels.[1].main"]


def test_pieces_of_a_run_are_matched_by_their_place():
    run = "runs: [{{code: R1, name: A, work: new, method: NM-B, path: [{}]}}]"
    straight, long, bend = "{step: straight, length: 5 ft}", "{step: straight, length: 9 ft}", "{step: box, box: B1}"
    before, after = run.format(f"{straight}, {bend}"), run.format(f"{straight}, {long}, {bend}")
    ((way, nothing, added),) = ways(before, after)
    assert (way, nothing, str(added.length)) == ("runs.[1].path.[2]", None, "9 ft")
    assert [way for way, _, _ in ways(run.format(straight), run.format(long))] == ["runs.[1].path.[1].length"]


def test_entries_alike_twice_over_are_still_matched():
    circuit = "circuits: [{{code: C1, name: A, work: new, volts: 240 V, conductors: [{}]}}]"
    hot = "{{role: hot, size: {} AWG, material: copper}}"
    one, two = (", ".join(hot.format(size) for size in sizes) for sizes in ((10, 10), (10, 8)))
    ((way, before, after),) = ways(circuit.format(one), circuit.format(two))
    assert way == "circuits.[1].conductors.[2].size"
    assert (str(before), str(after)) == ("10 AWG", "8 AWG")
