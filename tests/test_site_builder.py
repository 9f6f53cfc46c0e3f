"""The one module that knows the site builder: a tree in, finished pages out."""

from __future__ import annotations

import html
import re

import pytest

from handover.pack import Drawing, Page
from handover.site_builder import Builders, Site, SiteFault, finish, write_tree

NASTY = "{{ 7*7 }} {% raw %} [link](http://x) **bold** &lt;script&gt; `code`"


def drawing(name):
    return Drawing(name=name, title="t", svg=f'<svg id="{name}"></svg>', width=1, height=1, equivalent=())


def page(path, body, title="A title: with a colon"):
    return Page(path=path, title=title, body=body, reader="everybody")


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    scratch = tmp_path_factory.mktemp("site")
    pages = (
        page(
            "index.html", f'<h1>Home</h1>\n\n<p>{NASTY}</p>\n\n    <p>set in</p>\n<p><a href="C1/index.html">C1</a></p>'
        ),
        page(
            "C1/index.html",
            "<h1>C1</h1>\n<!-- drawing one-line -->\n<p>after</p>\n<p>\n```html\nx\n```\n\n  ~~~\ny\n~~~\n</p>",
            title='Quote " and <b> \N{HOUSE BUILDING}',
        ),
    )
    site = Site(scratch / "tree", scratch / "site", pages, {"one-line": drawing("one-line")})
    write_tree(site, "A name: of a place \N{HOUSE BUILDING}", {"reminders.ics": b"BEGIN:VCALENDAR", "site.css": b"p{}"})
    with Builders(1) as builders:
        builders.begin(site)
        builders.wait()
    finish(site)
    return site.into


def test_pages_stand_where_they_were_named(built):
    assert (built / "index.html").is_file()
    assert (built / "C1" / "index.html").is_file()
    assert (built / "reminders.ics").read_bytes() == b"BEGIN:VCALENDAR"


def test_the_body_passes_through_untouched(built):
    text = (built / "index.html").read_text("utf-8")
    assert NASTY in text
    assert re.search(r"<p>set in</p>", text)


def test_a_fence_of_code_in_a_text_stays_text(built):
    """Markdown looks for fences before it looks for HTML: a note of three lines would otherwise become code."""
    text = (built / "C1" / "index.html").read_text("utf-8")
    assert "<pre" not in text
    assert "<code" not in text
    assert html.unescape(text).count("```") == html.unescape(text).count("~~~") == 2


def test_drawings_are_put_in_after_the_build(built):
    text = (built / "C1" / "index.html").read_text("utf-8")
    assert '<svg id="one-line"></svg>' in text
    assert "<!-- drawing" not in text


def test_titles_are_text(built):
    assert "Quote &#34; and &lt;b&gt;" in (built / "C1" / "index.html").read_text("utf-8")


def test_no_listing_of_pages_and_no_theme_files_are_left(built):
    assert not list(built.glob("sitemap*"))
    assert not (built / "assets").exists()


def test_a_builder_that_fails_says_what_it_printed(tmp_path):
    site = Site(tmp_path / "tree", tmp_path / "site", (), {})
    site.tree.mkdir()
    (site.tree / "mkdocs.yml").write_text("site_name: x\nnot_a_thing: [", encoding="utf-8")
    with Builders(1) as builders:
        builders.begin(site)
        with pytest.raises(SiteFault, match="status"):
            builders.wait()


def test_builders_that_get_nothing_to_do_are_stopped():
    with Builders(2) as builders:
        processes = list(builders._waiting)
    assert [process.poll() is not None for process in processes] == [True, True]
