"""A page's HTML as blocks: what paper takes over, what it leaves out, where links lead."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import ParseError

import pytest

from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.editions import record_for
from handover.pack import Edition, Pack
from handover.pages import render_pages
from handover.pdf.blocks import Reader, leads_to, parsed, raised
from handover.pdf.book import pack_document
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.reminders import reminders
from handover.safety_notes import safety_notes

SMALL = Path(__file__).parent / "small_job"


def reader(path="C1/index.html", anchors=("P1/index.html", "findings.html#N1", "C1/index.html"), hazards=None):
    return Reader(
        path=path,
        anchors=frozenset(anchors),
        figure=lambda element: iter([{"is": "figure", "tag": element.tag}]),
        hazards={} if hazards is None else hazards,
    )


def blocks(html: str, **other):
    return list(reader(**other).blocks(parsed(f"<main>{html}</main>")))


def test_text_is_unescaped_once():
    assert blocks("<p>&lt;b&gt; &amp;amp; &#34;x&#34;</p>")[0]["pieces"] == ['<b> &amp; "x"']


def test_white_space_counts_as_a_browser_counts_it():
    assert blocks("<p>\n a  b\n<b> c </b> d</p>")[0]["pieces"] == [
        "a b ",
        {"text": "c ", "look": "strong", "to": ""},
        "d",
    ]
    assert blocks('<p class="prose">a\n  b</p>')[0]["pieces"] == ["a\nb"]


def test_what_is_open_or_marked_keeps_its_look_and_what_is_set_apart_gets_brackets():
    html = (
        '<p><strong class="open">Unknown</strong> <span class="tag">measured</span> <span class="aside">so</span></p>'
    )
    assert blocks(html)[0]["pieces"] == [
        {"text": "Unknown", "look": "open", "to": ""},
        " ",
        {"text": "measured", "look": "tag", "to": ""},
        " (so)",
    ]


@pytest.mark.parametrize(
    ("href", "to"),
    [
        ("../P1/index.html", "P1/index.html"),
        ("../findings.html#N1", "findings.html#N1"),
        ("../P1/index.html#face", "P1/index.html"),
        ("#top", "C1/index.html"),
        ("../labels.html", ""),
        ("tel:911", ""),
        ("https://example.com/", ""),
        ("//example.com/", ""),
    ],
)
def test_links_lead_within_the_book_or_nowhere(href, to):
    assert leads_to(blocks(f'<p><a href="{href}">There</a></p>')[0]["pieces"]) == to


def test_ways_round_the_site_are_left_out():
    html = (
        '<header>a</header><nav class="toc">b</nav><p class="kicker">c</p><ul class="doors"><li>d</li></ul>'
        '<p><a class="onward" href="../labels.html">e</a></p><div class="no-print">f</div><p>stays</p>'
    )
    assert [block["pieces"] for block in blocks(html)] == [["stays"]]


def test_folded_parts_are_unfolded_and_drawings_are_asked_for():
    html = "<details><summary>More</summary><ul><li>one</li></ul></details><figure><!-- drawing face-P1 --></figure>"
    first, second, third = blocks(html)
    assert (first["look"], first["pieces"]) == ("summary", ["More"])
    assert second["items"] == [["one"]]
    assert third == {"is": "figure", "tag": "figure"}


HAZARD = (
    '<section class="hazard warning" aria-label="WARNING: x"><p class="signal"><svg><path d="M0 0"/></svg> WARNING</p>'
    '<div class="says"><p><strong>Hot.</strong></p><p>It burns.</p><ul><li>Stay away.</li></ul></div></section>'
)


def test_a_hazard_is_told_once_in_full_and_then_named_with_its_page():
    first, again = blocks(HAZARD + HAZARD)
    assert (first["signal"], first["triangle"], len(first["blocks"])) == ("WARNING", True, 3)
    assert again["to"] == first["id"]
    assert again["blocks"] == first["blocks"][:1]
    (other,) = blocks(HAZARD.replace("Stay away.", "Call 911."))
    assert "to" not in other


def test_tables_rows_and_anchors():
    table = "<table><caption>T</caption><thead><tr><th>A</th></tr></thead><tbody><tr><td>1</td></tr></tbody></table>"
    html = f'<section id="N1"><dl><div><dt>a</dt><dd>b</dd></div></dl>{table}</section>'
    rows, told = blocks(html, path="findings.html")
    assert rows == {"is": "rows", "rows": [[["a"], ["b"]]], "id": "findings.html#N1"}
    assert told == {"is": "table", "caption": ["T"], "columns": [["A"]], "rows": [[["1"]]]}


@pytest.mark.parametrize(
    ("cells", "told"), [(["a"] * 4, "table"), (["a"] * 5, "lines"), (["a", "x" * 38], "lines"), (["x" * 38], "table")]
)
def test_a_table_too_wide_for_its_words_is_told_line_by_line(cells, told):
    heads, row = ("".join(f"<{tag}>{cell}</{tag}>" for cell in cells) for tag in ("th", "td"))
    html = f"<table><caption>T</caption><tr>{heads}</tr><tr>{row}</tr></table>"
    assert blocks(html)[0] == {
        "is": told,
        "caption": ["T"],
        "columns": [[c] for c in cells],
        "rows": [[[c] for c in cells]],
    }


def test_a_word_too_long_for_a_line_may_break_and_an_address_stays_whole():
    address = "HTTPS://PACKS.EXAMPLE/AAAAAAAAAAAAAAAAAAAAAAAAA/C14/"
    (said,) = blocks(f"<p>{'x' * 50} {address} {'y' * 40}</p>")[0]["pieces"]
    assert said == f"{'x' * 20}\u200b{'x' * 20}\u200b{'x' * 10} {address} {'y' * 40}"


def test_headings_are_raised_and_nothing_else():
    assert list(raised(blocks("<h2>a</h2><p>b</p>"))) == [
        {"is": "heading", "level": 1, "pieces": ["a"]},
        {"is": "para", "look": "", "pieces": ["b"]},
    ]


def test_a_template_that_leaves_an_element_open_is_a_fault():
    with pytest.raises(ParseError):
        parsed("<main><p>a</main>")


def small_pack(edition):
    record = record_for(edition, read_job(SMALL))
    installation = Installation(record)
    return Pack(
        edition=edition, record=record, installation=installation, results=(),
        drawings=draw_all(installation) | draw_for_paper(installation), photos=(), labels=(),
        notes=safety_notes(installation), reminders=reminders(installation),
    )  # fmt: skip


LEFT_OUT = re.compile(
    '<nav.*?</nav>|<section id="subjects">.*?</section>|<figure.*?</figure>|<p><a class="onward".*?</p>'
    '|<p class="(kicker|emergency|stamp|no-print)">.*?</p>',
    re.DOTALL,
)


@pytest.mark.parametrize("edition", list(Edition))
def test_every_word_of_every_page_is_in_the_book(edition, tmp_path):
    """Of the pages that the book takes over, but for the drawings' sentences, which stand in their alternatives."""
    pack = small_pack(edition)
    pages = render_pages(pack)
    document = pack_document(pack, pages, tmp_path)
    told = set(re.findall(r"\w+", str(document.data)))
    checked = 0
    for page in pages:
        if page.path in ("index.html", "drawings.html", "labels.html") or page.path.startswith("drawing-"):
            continue
        main = page.body[page.body.index("<main") : page.body.index("</main>")]
        main = LEFT_OUT.sub("", main)
        words = set(re.findall(r"\w+", re.sub(r"&#?\w+;|<[^>]*>", " ", main)))
        assert words - told == set(), page.path
        checked += len(words)
    assert checked > 1000


def test_the_same_pack_gives_the_same_book(tmp_path):
    pack = small_pack(Edition.OWNER)
    assert pack_document(pack, render_pages(pack), tmp_path) == pack_document(pack, render_pages(pack), tmp_path)
