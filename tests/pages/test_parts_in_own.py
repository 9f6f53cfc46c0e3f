"""On a page in another language, what stands there in English says so (WCAG 2.2, 3.1.2 Language of Parts)."""

import re

import pytest

from handover.pages.parts_in_own import in_own_language, wordings

OWN = wordings(["Main panel", "Solar", "Look at it.\nThen call us & wait.", "Keep <clear>"])


def marked(body: str) -> list[str]:
    return re.findall(r'<span lang="en">([^<]*)</span>', in_own_language(body, OWN))


@pytest.mark.parametrize(
    ("body", "own"),
    [
        ("<p>Vea Main panel, en la pared.</p>", ["Main panel"]),
        ("<p>Vea <a>Main</a> panel.</p>", ["Main", " panel"]),
        ("<p>Vea main\n panels.</p>", []),
        ("<p>Main</p><p>panel</p>", []),
        ("<p>Main\npanel</p>", ["Main\npanel"]),
        ("<li>Look at it.</li><li>Then call us &amp; wait.</li>", ["Look at it.", "Then call us &amp; wait."]),
        ("<p>Look at it. Then call us &amp; wait. Y ya.</p>", ["Look at it. Then call us &amp; wait."]),
        ("<p>Keep &lt;clear&gt;</p>", ["Keep &lt;clear&gt;"]),
        ("<p>Solar</p>", ["Solar"]),
        ("<p><a>S1 Solar</a>: 20 A</p>", ["Solar"]),
        ("<p>S1 Solaria</p>", []),
        ("<p>Solar y red.</p>", []),
        ("<p>Un panel Solar</p>", []),
        ("<p>20 A; Solar; 30 A</p>", ["Solar"]),
        ("<p>de &#34;Solar&#34;</p>", ["Solar"]),
        ("<p>de &lt;Solar</p><p>de &#39;Solar</p><p>de &amp;Solar</p>", []),
        ("<svg><text>Main panel</text></svg><!-- Main panel -->", []),
        ('<a title="Main panel">Aquí</a>', []),
    ],
)
def test_what_is_marked(body, own):
    assert marked(body) == own


def test_nothing_but_marks_is_added():
    body = "<p>Vea Main\npanel y <a href='x'>S1 Solar</a>. Keep &lt;clear&gt; ya</p>"
    with_marks = in_own_language(body, OWN)
    assert with_marks != body
    assert re.sub(r'<span lang="en">|</span>', "", with_marks) == body


def test_a_picture_with_english_words_says_so():
    assert in_own_language('<img src="a" alt="Main panel">', OWN) == '<img lang="en" src="a" alt="Main panel">'
    assert in_own_language('<img src="a" alt="El tablero">', OWN) == '<img src="a" alt="El tablero">'


def test_numbers_and_units_are_in_no_language():
    assert wordings(["1-1/4 in", "60 A", "C14"]) == ()
