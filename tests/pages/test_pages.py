"""All pages of whole packs: every template renders, every link leads somewhere, nothing of the record is markup."""

from __future__ import annotations

import datetime as dt
import html
import re
from html.parser import HTMLParser
from pathlib import PurePosixPath

import pytest
from jobs import job as record_of
from packs import JOBS, ROOT, pack_of, pages_of

from handover.checks.run import run_checks
from handover.editions import record_for
from handover.pack import Edition
from handover.pages import render_pages
from handover.pages.reports import free_pairs
from handover.pages.templates import environment
from handover.record.facts import Fact, Part
from handover.record.reader import read_job
from handover.words import speaking, words

EVERY = [(job, edition) for job in JOBS for edition in Edition]
TEMPLATES = ROOT / "site_templates" / "pages"
VOID = {"img", "source", "br", "path", "meta", "link"}


class Markup(HTMLParser):
    """A body as a browser reads it: that it is balanced, and what it names."""

    def __init__(self, body: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.feed(body)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)

    def all(self, name):
        return [attrs[name] for _, attrs in self.tags if attrs.get(name) is not None]


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_page_is_balanced_and_has_one_heading_one_main_and_the_links(job, edition):
    for path, page in pages_of(job, edition).items():
        seen = Markup(page.body)
        tags = [tag for tag, _ in seen.tags]
        assert tags.count("h1") == 1, path
        assert tags.count("main") == 1, path
        assert tags.count("nav") >= 2, path
        assert len(seen.all("id")) == len(set(seen.all("id"))), path
        assert not {"script", "style", "form", "iframe"} & set(tags), path
        assert not seen.all("style"), path
        assert page.title


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_link_between_pages_resolves(job, edition):
    pages = pages_of(job, edition)
    made_by_build = re.compile(
        r"site\.css|(lang-es/)?reminders\.ics|pack\.(pdf|html)|labels\.pdf|photos/.*|downloads/.*"
    )
    for path, page in pages.items():
        seen = Markup(page.body)
        sources = [item.split()[0] for names in seen.all("srcset") for item in names.split(", ")]
        for address in [*seen.all("href"), *seen.all("src"), *sources]:
            if address.startswith("tel:"):
                continue
            file, _, fragment = address.partition("#")
            assert not file.startswith(("/", "http", "javascript")), f"{path}: {address}"
            parts = list(PurePosixPath(path).parent.parts)
            for part in PurePosixPath(file).parts:
                parts = parts[:-1] if part == ".." else [*parts, part]
            target = "/".join(parts) if file else path
            assert target in pages or made_by_build.fullmatch(target), f"{path}: {address}"
            if fragment and target in pages:
                assert fragment in Markup(pages[target].body).all("id"), f"{path}: {address}"


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_code_has_its_page_and_the_first_screen_answers_in_order(job, edition):
    pages = pages_of(job, edition)
    record = record_for(edition, read_job(JOBS[job]))
    groups = (record.panels, record.feeders, record.circuits, record.equipment, record.sources, record.transfers)
    codes = [item.code for group in groups for item in group]
    assert codes
    for code in codes:
        text = re.sub(r"\s+", " ", "".join(Markup(pages[f"{code}/index.html"].body).text))
        order = [text.index(words) for words in ("Where", "Other power", "To switch off", "Fire or smoke", "revision")]
        assert order == sorted(order), code
        assert (
            "also feed" in text or "Also fed by" in text or "No other source known" in text or "itself a source" in text
        ), code


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_drawing_is_on_a_page_with_the_same_in_words(job, edition):
    pages = pages_of(job, edition)
    pack = pack_of(read_job(JOBS[job]), edition)
    bodies = {path: page.body for path, page in pages.items()}
    for name, drawing in pack.drawings.items():
        places = [path for path, body in bodies.items() if f"<!-- drawing {name} -->" in body]
        assert places, name
        for path in places:
            text = re.sub(r"\s+", " ", "".join(Markup(bodies[path]).text))
            if not name.endswith("-paper"):
                for sentence in drawing.equivalent:
                    assert re.sub(r"\s+", " ", sentence) in text, (path, sentence)


def test_each_photo_keeps_its_place_and_only_the_one_at_the_head_of_the_photo_page_loads_at_once():
    for path, page in pages_of("demo", Edition.OWNER).items():
        images = [attrs for tag, attrs in Markup(page.body).tags if tag == "img" and "label-" not in attrs["src"]]
        for place, attrs in enumerate(images):
            assert attrs["alt"], path
            assert attrs["width"], path
            assert attrs["height"], path
            assert (attrs.get("loading") == "lazy") == (path != "photos.html" or place > 0), path
            assert attrs["sizes"], path


def test_the_widest_photo_is_as_wide_as_the_style_sheet_says():
    css = (ROOT / "site_templates" / "css" / "site.css").read_text(encoding="utf-8")
    sizes = next(attrs["sizes"] for tag, attrs in Markup(pages_of("demo", Edition.OWNER)["photos.html"].body).tags
                 if tag == "img")  # fmt: skip
    widest, padding = int(re.search(r"max-width: (\d+)px", css)[1]), int(re.search(r"padding-inline: (\d+)px", css)[1])
    assert sizes == f"(min-width: {widest}px) {widest - 2 * padding}px, calc(100vw - {2 * padding}px)"


HOSTILE = "<script>alert('1')</script> {{ 7*7 }} {% raw %} & \"quoted\" `code` *star* <!-- drawing one-line -->"
KEPT = {"code", "feeds", "to", "at", "source", "circuit", "runs", "of", "box", "for_code", "instrument", "tool",
        "multiwire_with", "file", "pack", "publish_at", "number", "rule", "subject", "insulation", "trade_size",
        "by", "now"}  # fmt: skip


def _hostile(part: Part) -> Part:
    """The record with every free text replaced by one that would do harm as markup or as a template."""
    changed = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if name in KEPT or "Literal" in str(field.annotation):
            continue
        if isinstance(value, Part):
            changed[name] = _hostile(value)
        elif isinstance(value, tuple):
            changed[name] = tuple(
                _hostile(item) if isinstance(item, Part) else HOSTILE if isinstance(item, str) else item
                for item in value
            )
        elif isinstance(value, Fact) and isinstance(value.value, str):
            changed[name] = Fact(HOSTILE, value.basis, HOSTILE, HOSTILE, value.place)
        elif isinstance(value, str):
            changed[name] = HOSTILE
    made = part.model_copy(update=changed)
    made._place = part.written_at
    return made


@pytest.mark.parametrize("edition", Edition)
def test_text_of_the_record_stays_text(edition):
    record = _hostile(read_job(JOBS["demo"]))
    pages = render_pages(pack_of(record, edition))
    drawings = set(pack_of(record, edition).drawings)
    seen = 0
    for page in pages:
        assert "<script" not in page.body, page.path
        assert "alert('1')" not in page.body, page.path
        Markup(page.body)
        seen += page.body.count("&lt;script&gt;")
        marks = re.findall(r"<!-- drawing (\S+) -->", page.body)
        assert set(marks) <= drawings
        assert marks.count("one-line") <= 1, page.path
        text = "".join(Markup(page.body).text)
        assert "49" not in re.findall(r"</script> (\d+)", text), page.path
    assert seen > 100


def test_a_misspelt_name_in_a_template_is_an_error():
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        environment().from_string("{{ page.no_such_name }}").render(page={})


def test_templates_hold_no_arithmetic_and_no_look_ups():
    """Style: a template has for, if on a ready-made flag, with, include, and text through gettext; nothing else."""
    statement = re.compile(r"{%-?\s*(\w+)")
    allowed = {"for", "endfor", "if", "elif", "else", "endif", "include", "extends", "block", "endblock", "with",
               "endwith", "trans", "endtrans"}  # fmt: skip
    for template in sorted(TEMPLATES.glob("*.html")):
        text = template.read_text(encoding="utf-8")
        assert set(statement.findall(text)) <= allowed, template.name
        for inside in re.findall(r"{{(.*?)}}|{%(?!\s*trans)(.*?)%}", text):
            code = re.sub(r"_\('[^']*'\)|\"[^\"]*\"", "", "".join(inside))
            assert not re.search(r"[+*/|<>\[\]]|==|!=| is | in (?!\w+(\.\w+)*\s*$)", code), (template.name, code)


def test_every_template_is_used():
    text = "".join(path.read_text(encoding="utf-8") for path in TEMPLATES.glob("*.html"))
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "handover" / "pages").glob("*.py"))
    code += (ROOT / "handover" / "single_file.py").read_text(encoding="utf-8")
    for template in TEMPLATES.glob("*.html"):
        assert f'"{template.name}"' in text + code, template.name


def test_the_text_of_templates_can_be_translated():
    """Words outside of gettext would stay English in every language; marks, numbers and names of the record may."""
    for template in sorted(TEMPLATES.glob("*.html")):
        text = template.read_text(encoding="utf-8")
        bare = re.sub(
            r"<!--.*?-->|{#.*?#}|{%\s*trans.*?endtrans\s*%}|{%.*?%}|{{.*?}}|<[^>]*>", " ", text, flags=re.DOTALL
        )
        assert not re.findall(r"[A-Za-z]{3,}", bare), template.name


def test_gettext_with_another_catalogue_reaches_every_page_and_stays_escaped():
    from handover.pages.contents import Book, Here
    from handover.pages.house import start_page

    other = environment.__wrapped__()  # one of its own: the shared one keeps its catalogue for the other tests
    other.install_gettext_callables(lambda text: f"<{text}>", lambda one, many, n: one, newstyle=False)
    here = Here(Book(pack_of(read_job(JOBS["small"]), Edition.POSTED)), "index.html")
    made = other.get_template("index.html").render(frame=here.frame("Home"), page=start_page(here))
    assert "&lt;All pages&gt;" in made
    assert "<All pages>" not in made


@pytest.mark.parametrize("edition", Edition)
def test_what_is_unknown_is_shown_and_what_is_private_leaves_no_row(edition):
    pages = pages_of("demo", edition)
    record = read_job(JOBS["demo"])
    assert "Not checked" in pages["findings.html"].body
    assert 'class="open"' in pages["findings.html"].body
    everything = "".join(page.body for page in pages.values())
    assert ("Serial" in everything) == (edition is Edition.OWNER)
    assert (record.permit.number.written in everything) == (edition is Edition.OWNER)
    assert "not shown in this edition" not in everything
    assert "labels.html" in pages if edition is Edition.OWNER else "labels.html" not in pages


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_a_result_that_is_not_decided_says_what_to_find_out(job, edition):
    from handover.checks.result import Verdict

    pack = pack_of(read_job(JOBS[job]), edition)
    text = re.sub(r"\s+", " ", "".join(Markup(pages_of(job, edition)["numbers.html"].body).text))
    for result in pack.results:
        if result.verdict in (Verdict.UNDECIDED, Verdict.FAIL):
            assert re.sub(r"\s+", " ", result.reason[1:]) in text


def test_a_result_is_found_by_its_section_in_every_edition():
    text = re.sub(r"\s+", " ", "".join(Markup(pages_of("demo", Edition.OWNER)["numbers-C1.html"].body).text))
    assert "NEC 2023 240.6(A)In other editions: 2017 and 2020 the same; 2026 not confirmed here" in text
    assert re.search(r"NEC 2023 210\.19\(A\)\(1\).{,30}In other editions: 2017 210\.19\(A\)\(1\)\(a\)", text)


def test_nothing_calls_itself_a_certificate_or_an_approval():
    for job, edition in EVERY:
        for path, page in pages_of(job, edition).items():
            text = re.sub(r"\s+", " ", "".join(Markup(page.body).text)).lower()
            for word in ("certificate", "certif", "approval", "approve"):
                for found in re.finditer(word, text):
                    before = text[max(0, found.start() - 40) : found.start()]
                    assert re.search(r"\bno\b|\bnot\b", before), (path, before + word)


def test_the_same_pack_gives_the_same_pages():
    record = read_job(JOBS["small"])
    assert render_pages(pack_of(record, Edition.OWNER)) == render_pages(pack_of(record, Edition.OWNER))


def test_pages_stay_small():
    """30 kB gzipped with its drawings and without photos is the most that a phone should wait for in a cellar."""
    import gzip

    for edition in Edition:
        pack = pack_of(read_job(JOBS["demo"]), edition)
        for path, page in pages_of("demo", edition).items():
            names = re.findall(r"<!-- drawing (\S+) -->", page.body)
            # A face in another language is as long as its English one, but for a few letters.
            whole = page.body + "".join(pack.drawings[name.removeprefix("es-")].svg for name in names)
            assert len(gzip.compress(whole.encode())) < 24_000, path
    styles = sum(len((ROOT / "site_templates" / "css" / name).read_bytes()) for name in ("site.css", "drawings.css"))
    assert styles < 14_000


def test_safety_colours_belong_to_safety_notes_alone():
    """ANSI Z535.4: red, orange, yellow and blue stand behind the four signal words and nowhere else in the sheet."""
    css = (ROOT / "site_templates" / "css" / "site.css").read_text(encoding="utf-8")
    for colour in ("#c8102e", "#ff8200", "#ffd100", "#005eb8"):
        lines = [line for line in css.splitlines() if colour in line]
        assert len(lines) == 1, colour
        assert re.match(r"\.(danger|warning|caution|notice) \.signal", lines[0]), colour


def test_the_next_worker_finds_ratings_free_pairs_service_wires_and_all_that_was_fitted():
    """Blank plates of the demo's main panel: 31, 34, 36, 38, 39, 41 (its picture)."""
    text = _text(pages_of("demo", Edition.OWNER)["worker.html"].body).replace(" ", "")  # label and value meet
    for part in (
        "Of these, pairs for a two-pole breaker 34/36, 36/38, 39/41", "Bus rating 125 A", "Short-circuit rating 10 kA",
        "Main breaker can interrupt 22 kA", "Neutral bonded to ground here", "Service conductors Size 4/0 AWG",
        "Insulation Unknown", "Grounding of the service Conductor 4 AWG", "Metal water pipe existing; utility room",
        "1 of Car charger", "For Car charger (E1)", "1 of Spare 20 A breaker in the studio panel, space 11",
    ):  # fmt: skip
        assert part.replace(" ", "") in text, part


def test_pairs_of_free_spaces_follow_the_numbering():
    panel = """
    panels: [{code: P1, name: Main, place: hall, work: existing, spaces: 6, main_kind: main lugs, numbering: NUMBERING,
              slots: [{spaces: [1], breaker: 20 A}, {spaces: [4], blank: yes}]}]
    """
    for numbering, pairs in (
        ("'odd left, even right'", ["2/4", "3/5", "4/6"]),
        ("down one side", ["2/3", "3/4", "4/5", "5/6"]),
    ):
        (only,) = record_of(panel.replace("NUMBERING", numbering)).panels
        assert free_pairs(only) == pairs


def test_the_page_about_the_record_says_what_no_check_looks_at():
    text = _text(pages_of("small", Edition.POSTED)["about.html"].body)
    for part in ("does not check", "boxes stand", "colors of the wires", "not written in the record"):
        assert part in text


def test_dates_do_not_follow_the_language_of_the_machine():
    from handover.pages.shown import date_text

    assert date_text(dt.date(2026, 6, 2)) == "June 2, 2026"


def test_a_generator_of_which_nobody_knows_whether_it_starts_is_treated_as_if_it_does():
    pack = pack_of(
        record_of("sources: [{code: G1, kind: generator, name: Set, place: yard, work: existing}]"), Edition.POSTED
    )
    pages = {page.path: page.body for page in render_pages(pack)}
    assert "Treat G1 as able to start by itself: nobody recorded it." in pages["P1/index.html"]
    assert "Whether it starts by itself: not recorded. Treat it as if it does." in pages["switch-off.html"]


def test_an_answer_that_meets_no_failing_check_is_not_shown_as_one():
    answer = "answers: [{rule: panel_spaces, subject: P9, reason: It stays so., by: A tester, date: 2026-06-12}]"
    pages = {page.path: page.body for page in render_pages(pack_of(record_of(answer), Edition.POSTED))}
    assert "It stays so." not in pages["about.html"]


def _text(body):
    return re.sub(r"\s+", " ", "".join(Markup(body).text))


def test_what_only_an_electrician_may_open_is_folded_away_from_the_homeowner():
    """Notes for workers stand within the fold; how to read a setting back behind a cover, within the worker's part."""
    pack = pack_of(read_job(JOBS["demo"]), Edition.OWNER)
    hazards = [note.hazard for note in pack.notes if note.audience == "worker"]
    for code in ("C1", "E1", "P1", "S1", "G1", "T1", "M1"):
        body = pages_of("demo", Edition.OWNER)[f"{code}/index.html"].body
        before, fold, after = body.partition("For electricians only</summary>")
        assert fold, code
        within, _, rest = after.partition("</details>")
        assert any(hazard in _text(f"<p>{within}</p>") for hazard in hazards), code
        assert not any(hazard in re.sub(r"<[^>]*>", "", before + rest) for hazard in hazards), code
    charger = pages_of("demo", Edition.OWNER)["E1/index.html"].body
    assert charger.index("To read a setting back") > charger.index("Details for the worker")
    assert "Set to 32 A. Do not change it." in charger


def test_a_circuit_is_cut_by_its_breaker_and_a_panel_stays_live_up_to_its_main():
    pages = pages_of("demo", Edition.OWNER)
    circuit, panel = _text(pages["C6/index.html"].body), _text(pages["P3/index.html"].body)
    assert "Switching this breaker off cuts this circuit. Rooftop solar (S1) can also feed the panel." in circuit
    assert "The wires up to that main stay live. To cut them: Main panel (P1), spaces 14 and 16." in panel


CUT = "Switching off as told below cuts the wires on record. Rooftop solar (S1) can also feed the panel."
ALSO_FED = "Also fed by Rooftop solar (S1)."


@pytest.mark.parametrize(
    ("code", "said"), [("F1", CUT), ("R1", CUT), ("R8", CUT), ("B3", CUT), ("F2", ALSO_FED), ("P1", ALSO_FED)]
)
def test_only_what_a_source_feeds_past_its_own_device_is_called_also_fed(code, said):
    """F2 is opened at the meter-main, and the solar below keeps it live; F1 and what hangs on it is cut."""
    text = _text(pages_of("demo", Edition.POSTED)[f"{code}/index.html"].body)
    assert said in text
    assert ({CUT, ALSO_FED} - {said}).pop() not in text


@pytest.mark.parametrize("code", ["M1", "F2", "R10"])
def test_who_opens_the_main_is_told_to_switch_off_the_source_below_it_too(code):
    text = _text(pages_of("demo", Edition.POSTED)[f"{code}/index.html"].body)
    assert "Then S1: Switch outside on the east wall, right of the meter cabinet." in text


def test_a_generator_is_said_to_feed_the_panel_behind_its_transfer_switch_alone():
    text = _text(pages_of("demo", Edition.POSTED)["P3/index.html"].body)
    assert "Also: S1 Rooftop solar; G1 Standby generator (by this record it feeds P2 alone)." in text


@pytest.mark.parametrize(
    ("path", "begins", "main"),
    [
        ("P1/index.html", "Open and lock all of these", "The service disconnect"),
        ("switch-off.html", "", "Outside shutoff,"),
    ],
)
def test_sources_are_told_in_the_order_of_switching_off(path, begins, main):
    """A generator before the main, which would start it; solar after."""
    text = _text(pages_of("demo", Edition.POSTED)[path].body)
    text = text[text.index(begins) :]
    order = [text.index(said) for said in ("Standby generator", main, "Rooftop solar")]
    assert order == sorted(order)


def test_numbers_to_call_are_links_in_every_step():
    body = pages_of("demo", Edition.POSTED)["trouble.html"].body
    outside_links = re.sub(r"<a [^>]*>.*?</a>", "", body)
    main = outside_links.partition('<nav class="all"')[0].partition('<section id="')[2]
    record = read_job(JOBS["demo"])
    for number in (record.contractor.phone, record.emergency.utility_line):
        assert number in body
        assert number not in main


def test_entries_that_nobody_traced_say_so_at_the_head_and_each():
    record = read_job(JOBS["demo"])
    body = pages_of("demo", Edition.OWNER)["directory.html"].body
    copied = {
        panel.code: sum(bool(slot.says) and not slot.traced.known and not slot.feeds for slot in panel.slots)
        for panel in record.panels
    }
    for number in filter(None, copied.values()):
        assert f"{number} entries are copied from the card and not traced" in body
    assert body.count('<span class="tag">not checked</span>') == sum(copied.values())
    assert 'See <a href="findings.html#U2">U2</a>.' in body


def test_everything_off_fits_one_list_with_the_generator_first():
    body = pages_of("demo", Edition.POSTED)["switch-off.html"].body
    plate = body.partition('<ol class="steps">')[2].partition("</ol>")[0]
    order = [plate.index(word) for word in ("safe and dry", "Standby generator", "Outside shutoff", "Rooftop solar")]
    assert order == sorted(order)
    assert "Only to switch off one part; not needed in a fire." in body


def test_the_summary_says_how_many_were_not_decided_and_what_is_unknown():
    text = _text(pages_of("demo", Edition.OWNER)["summary.html"].body)
    assert "Give this page to a buyer, lender or insurer" in text
    assert re.search(r"\d+ could not be checked: a fact is missing, or a person must judge; none failed", text)
    record = read_job(JOBS["demo"])
    for advice in record.advice:
        assert (f"Advised: {advice.what}" in text) is (advice.decision == "not decided")
    for unknown in record.unknowns:
        assert f"Unknown, {unknown.place}:" in text


def test_a_task_that_comes_sooner_the_first_time_says_both():
    text = _text(pages_of("demo", Edition.OWNER)["care.html"].body)
    assert "once after one year, on June 12, 2027; then every 3 years" in text
    assert "Every month You can do this. Test the shock protection (GFCI)" in text


def test_how_far_the_entries_of_a_panel_were_traced_is_one_statement_everywhere():
    """The warning, the panel's own page and face, the directory, the one-line and the findings say the same of it."""
    pages = pages_of("demo", Edition.POSTED)
    copied, rest = "23 entries are copied from the card and not traced", "space 37 is not identified; spaces 22 and 35"
    warned = f"P1: {copied}; {rest} are traced. P2: 10 entries are copied from the card and not traced."
    for path in ("P1/index.html", "P2/index.html"):
        assert f"Not every breaker was traced to what it feeds. {warned}" in _text(pages[path].body)
    for path in ("P1/index.html", "directory.html", "drawing-face-P1.html", "drawing-one-line.html", "findings.html"):
        listed = re.search(rf"{copied} \(1/3, 2/4, 5, [^)]*\); {rest} are traced", _text(pages[path].body))
        assert listed, path
        assert listed[0].count(",") == 22, path
    assert f"Main panel: {copied}; {rest} are traced. Look for the mark" in _text(pages["directory.html"].body)
    assert "not recorded for 23" not in "".join(page.body for page in pages.values())


def test_the_months_that_ask_for_something_are_listed_with_a_line_a_task_by_who_does_it():
    body = pages_of("demo", Edition.OWNER)["care.html"].body
    months = body.partition('<section id="months">')[2].partition("</section>")[0]
    assert re.findall(r"<h3>(.*?)</h3>", months) == ["Every month", "June", "December"]
    assert "<h3>Junio</h3>" in pages_of("demo", Edition.OWNER)["lang-es/care.html"].body
    june = months.partition("<h3>June</h3>")[2].partition("<h3>")[0]
    who = re.findall(r'<p class="who">(.*?)</p>', june)
    assert len(who) == len(set(who)) == 4
    assert june.count("<li>") == 8
    assert "2027, then every 3 years" in june
    for id in re.findall(r'href="#(.*?)"', months):
        assert f'id="{id}"' in body


def test_a_task_that_comes_once_says_so():
    once = "reminders:\n  - {code: Y1, what: Ring us, how: Call., who: you, every_months: 0, first: 2026-09-01}\n"
    text = _text({page.path: page for page in render_pages(pack_of(record_of(once), Edition.OWNER))}["care.html"].body)
    assert "Once Ring us" in text
    assert "September You can do this. Ring us 2026 only" in text


def _quoted(told):
    """Each text within quotation marks in a catalogue's notes."""
    if isinstance(told, dict):
        return {quoted for each in told.values() for quoted in _quoted(each)}
    return set(re.findall(r'"[^"]+"', told))


@pytest.mark.parametrize(("job", "edition"), EVERY)
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_page_or_section_that_a_step_names_is_one_tap_away(job, edition, language):
    with speaking(language):
        named = _quoted(words("notes"))
    assert len(named) >= 4
    seen = set()
    for path, page in pages_of(job, edition).items():
        if page.language == language:
            main = page.body[page.body.index("<main") : page.body.index("</main>")]
            found = re.findall(r'<a href="([^"]+)">(&#34;[^<]*&#34;)</a>', main)
            links = [(address, html.unescape(text)) for address, text in found]
            assert all(html.unescape(main).count(each) == [text for _, text in links].count(each) for each in named), (
                path
            )
            assert all(address.endswith(".html") or "trouble.html#" in address for address, _ in links)
            seen.update(text for _, text in links)
    assert seen >= named if job == "demo" else seen <= named


def test_where_to_press_reset_is_on_the_list_at_the_head():
    for folder, heading in (("", "Where to press reset"), ("lang-es/", "Dónde apretar RESET")):
        body = pages_of("demo", Edition.POSTED)[f"{folder}trouble.html"].body
        assert f'<li><a href="#resets">{heading}</a></li>' in body
        assert f"<h2>{heading}</h2>" in body


@pytest.mark.parametrize(("folder", "to"), [("", "pack.html"), ("lang-es/", "../pack.html#pages-es")])
def test_a_copy_to_keep_is_reached_from_every_page_and_opens_in_the_language_of_the_page(folder, to):
    pages = pages_of("demo", Edition.POSTED)
    keep = pages[f"{folder}index.html"].body.partition('<section id="keep"')[2].partition("</section>")[0]
    assert f'<a class="onward" href="{to}">' in keep
    assert keep.count("<li>") == 2
    assert re.search(r'href="(\.\./)?pack\.html" download="record-.*\.html"', keep)
    for path in ("trouble.html", "C1/index.html"):
        heading = {"": "Keep a copy", "lang-es/": "Guarde una copia"}[folder]
        assert f"""{"../" * path.count("/")}index.html#keep">{heading}</a>""" in pages[folder + path].body


def test_from_another_language_the_worker_s_details_are_one_tap_away():
    body = pages_of("demo", Edition.POSTED)["lang-es/C1/index.html"].body
    assert '<a class="onward" href="../../C1/index.html#details" hreflang="en">' in body


@pytest.mark.parametrize("edition", Edition)
def test_every_foot_names_the_code_and_why_the_permit_is_not_told(edition):
    told = "The permit’s number and its office are left out on purpose: they would lead a stranger to the house."
    for path, page in pages_of("demo", edition).items():
        foot = _text(page.body[page.body.index('<footer class="foot">') :])
        posted = edition is Edition.POSTED
        if path.startswith("lang-es/"):
            assert "Código vigente: NEC 2023." in foot, path
            assert ("se omiten a propósito" in foot) is posted, path
        else:
            assert "Code in force: NEC 2023." in foot, path
            assert (f"{told} Ask Juniper Vale Electric or the owner." in foot) is posted, path
    about = pages_of("demo", edition)["about.html"].body
    assert (told in about.partition("<footer")[0]) is (edition is Edition.POSTED)
    without = read_job(JOBS["demo"]).model_copy(update={"permit": None})
    assert not any("left out on purpose" in page.body for page in render_pages(pack_of(without, edition)))


def test_the_working_tells_things_by_their_names_and_where_values_stand():
    """Appliances by name, breakers by panel and spaces, a value's place as file and line, told once how to read it."""
    pages = {name: _text(page.body) for name, page in pages_of("demo", Edition.POSTED).items()}
    assert "Nameplate of appliance 4, Dishwasher (fastened in place, existing)" in pages["numbers-M1.html"]
    assert "Rating of the breaker at P1, spaces 14/16" in pages["numbers-F1.html"]
    told = [name for name, text in pages.items() if re.search(r"\.yaml:\d|[PM]\d/\d+/\d", text)]
    assert not told
    for name, text in pages.items():
        if name.startswith("numbers-"):
            assert text.count("A file and a line, such as wiring.yaml, line 43,") == 1
    assert "N1 N1" not in pages["numbers.html"]
    assert not any("Does not concern this" in text for text in pages.values())


def test_what_was_answered_on_the_spot_is_told_as_the_question():
    text = _text(pages_of("demo", Edition.OWNER)["about.html"].body)
    asked = {result.rule: result.question for result in run_checks(read_job(JOBS["demo"]))}
    assert f"Meter-main: {asked['sources_posted']}" in text
    assert "sources posted" not in text
