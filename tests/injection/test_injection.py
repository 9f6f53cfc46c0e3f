"""Any text of the record is text everywhere.  The short form; the long one is ``tests/injection/run.py``."""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from filelock import FileLock
from playwright.sync_api import Browser

from handover.problems import harmless, harmless_json
from tests.injection.browsing import Seen, differences, look, pages_of, served
from tests.injection.files import data_faults, drawing_faults, name_faults, paper_faults, stands_in
from tests.injection.jobs import CONSTRAINED, fields, filled, groups_of, harmless_twin
from tests.injection.payloads import ACCEPTED, ATTRIBUTES, BLOCKS, HTML, MARK, REFUSED
from tests.injection.refusals import every_payload, not_refused, not_refused_by_values, of_several_lines
from tests.injection.terminal import ROOT, commands_in
from tests.injection.turns import SAID, Turn, built, judge_files, judge_pages

sys.path.insert(0, str(ROOT / "tests" / "browser"))

from chromium import chromium

GROUPS = groups_of(3)


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Beside the folders of the other test processes, so that they need not build the same two packs again."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "injection"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def turn(scratch) -> Turn:
    with FileLock(f"{scratch}.lock"):
        return built(GROUPS, 0, scratch)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


def test_every_payload_is_used_and_every_text_field_has_one():
    job = filled(GROUPS, 0)
    assert len(set(ACCEPTED)) == len(ACCEPTED) >= 80
    assert all(MARK in payload for payload in (*ACCEPTED, *REFUSED) if "\u200b" not in payload)
    assert {payload for placed in job.placed for payload in placed.payloads} == set(ACCEPTED)
    placed = {placed.path for placed in job.placed}
    whole = {
        "job.pack",
        "job.publish_at",
        "photos.file",
        "markings.photo",
        "translations.text",
        "translations.language",
    }
    assert {path for path, each in fields().items() if each.free} - placed == whole
    assert whole <= CONSTRAINED.keys()
    assert job.photo != "panel.png"
    noted = {path for path, each in fields().items() if each.fact} & placed
    assert len(noted) > 80


def test_nothing_on_any_page_is_more_than_text(turn, browser):
    judge_pages(turn, browser)
    assert turn.faults == []
    assert turn.figures["pages"] > 80
    assert turn.figures["shown on pages"] > 250


def test_nothing_in_any_file_is_more_than_text(turn, scratch):
    judge_files(turn, scratch / "job")
    assert turn.faults == []
    assert turn.figures["shown in owner/pack.pdf"] > 250


def test_nothing_was_written_beside_the_pack(turn, scratch):
    assert {path.name for path in scratch.iterdir()} == {"job", "control", "pack", "control-pack", SAID}
    assert {path.name for path in (scratch / "job").iterdir()} == {"job.yaml", "photos"}


@pytest.mark.parametrize("payload", REFUSED, ids=ascii)
def test_signs_that_command_a_terminal_are_refused_wherever_they_stand(payload):
    refused, missed = not_refused(payload)
    assert missed == []
    assert refused > 400


def test_texts_of_several_lines_are_refused_where_one_is_asked_for():
    refused, missed = of_several_lines()
    assert missed == []
    assert refused > 100 * len(BLOCKS)


@pytest.mark.parametrize("payload", every_payload()[::8], ids=ascii)
def test_fields_of_numbers_dates_codes_and_choices_take_no_payload(payload):
    refused, missed = not_refused_by_values(payload)
    assert missed == []
    assert refused > 200


def test_the_judge_of_pages_is_no_pushover(turn, browser, tmp_path):
    """Each payload of HTML put unescaped into a page is told of: it ran, asked, or made something."""
    pack = tmp_path / "pack"
    (pack / "owner").mkdir(parents=True)
    shutil.copy(turn.packs[1] / "owner" / "about.html", pack / "owner")
    shutil.copy(turn.packs[1] / "owner" / "site.css", pack / "owner")
    whole = (pack / "owner" / "about.html").read_text(encoding="utf-8")
    payloads = [*HTML, *(f'<p title="{text}">x</p>' for text in ATTRIBUTES if '"' in text)]
    payloads.append('<a href="data:text/html,x">x</a>')
    for number, payload in enumerate(payloads):
        page = whole.replace("<h1", f"{payload.replace(MARK, 'zqmark')}<h1", 1)
        (pack / "owner" / f"page-{number}.html").write_text(page, encoding="utf-8")
    with served(pack) as base:
        control = look(browser, pack, base, ["owner/about.html"], without_policy=True)
        # The links of this page lead to pages that are not here, which nobody follows.
        assert control.faults == []
        names = [f"owner/page-{number}.html" for number in range(len(payloads))]
        seen = look(browser, pack, base, names, without_policy=True)
    for name, payload in zip(names, payloads, strict=True):
        own = Seen({"owner/about.html": seen.pages.get(name)}) if name in seen.pages else Seen()
        assert [fault for fault in seen.faults if fault.startswith(name)] or differences(own, control), payload


def test_the_policy_stops_what_escaping_would_not(turn, browser, tmp_path):
    """The second wall by itself: with the policy an unescaped script does not run, and nothing is sent for."""
    pack = tmp_path / "pack"
    (pack / "owner").mkdir(parents=True)
    page = (turn.packs[1] / "owner" / "about.html").read_text(encoding="utf-8")
    for number, payload in enumerate(("<script>window.ran=1</script>", "<img src=x onerror=window.ran=1>",
                                      '<script src="http://injected.test/x.js"></script>',
                                      '<iframe srcdoc="<script>parent.ran=1</script>"></iframe>')):  # fmt: skip
        (pack / "owner" / f"{number}.html").write_text(page.replace("<h1", f"{payload}<h1", 1), encoding="utf-8")
    with served(pack) as base:
        for policy, ran in ((True, {False}), (False, {True, False})):
            seen = look(browser, pack, base, pages_of(pack), without_policy=not policy)
            assert {found["ran"] is not None for found in seen.pages.values()} == ran
    assert any("Content Security Policy" in fault for fault in look_with_policy(browser, pack).faults)


def look_with_policy(browser, pack):
    with served(pack) as base:
        return look(browser, pack, base, pages_of(pack), without_policy=False)


def test_the_judges_of_files_are_no_pushovers(turn, tmp_path):
    pack = tmp_path / "pack"
    shutil.copytree(turn.packs[0], pack)
    drawing = next(iter(sorted(pack.rglob("*.svg"))))
    whole = drawing.read_text(encoding="utf-8")
    for bad in ("<script>x</script>", '<g onload="x"/>', '<a href="http://injected.test"><g/></a>', "<g data-x=''/>"):
        drawing.write_text(whole.replace("</svg>", f"{bad}</svg>"), encoding="utf-8")
        assert list(drawing_faults(pack, turn.packs[1])), bad
    drawing.write_text(whole, encoding="utf-8")
    calendar = pack / "owner" / "reminders.ics"
    events = calendar.read_bytes()
    more = b"BEGIN:VEVENT\r\nUID:x\r\nEND:VEVENT\r\nEND:VCALENDAR"
    calendar.write_bytes(events.replace(b"END:VCALENDAR", more))
    assert list(data_faults(pack, turn.packs[1], turn.job))
    calendar.write_bytes(events)
    assert not list(data_faults(pack, turn.packs[1], turn.job))
    (pack / "owner" / "a b$.txt").touch()
    assert list(name_faults(pack, turn.job))
    import typst

    (pack / "owner" / "x.pdf").write_bytes(typst.compile(b'#link("http://injected.test/x")[x]'))
    assert [fault for fault in paper_faults(pack) if "x.pdf" in fault]


def test_a_harmless_twin_has_the_same_length_and_nothing_to_escape():
    for payload in ACCEPTED:
        twin = harmless_twin(payload)
        assert len(twin) == len(payload)
        assert not re.search(r"[<>&\"'`\\{}\[\]$#*=|@~!:/.-]", twin)


def test_a_text_may_be_broken_by_the_end_of_a_page_and_not_be_lost():
    assert stands_in("abcdef", "xabcHEADdefx", 2)
    assert not stands_in("abcdef", "xabcHEADdefx", 1)
    assert not stands_in("abcdef", "xabcHEADde", 3)
    assert not stands_in("abcdef", "", 3)


def test_what_is_told_is_cleaned_and_json_loses_nothing():
    import json

    strange = "".join(map(chr, (*range(32), *range(127, 160), 0x200B, 0x202E, 0x2066, 0xFEFF, 0xE0041, 0xDC80)))
    assert commands_in(harmless(strange)) == []
    told = harmless_json(json.dumps([strange], ensure_ascii=False))
    assert commands_in(told) == []
    assert json.loads(told) == [strange]
