"""Every trade word that a homeowner meets is explained on the page itself, in each language.

The words are looked for here once more in another way than the program's: letter by letter, without patterns.
"""

from __future__ import annotations

import html
import re
from functools import cache

import pytest
from packs import JOBS, pages_of

from handover.pack import Edition
from handover.pages.contents import IN_EVERY_LANGUAGE
from handover.pages.explained import MARK, explained, read_text
from handover.words import OWN, languages, speaking, words

EVERY = [(job, edition) for job in JOBS for edition in Edition]
LIST = re.compile(r'<details class="no-print" id="words">.*?</details>', re.DOTALL)
EVERYDAY = {"en": {"hot", "panel", "service", "space"}, "es": set()}
"""Words that mean another thing in everyday use, so that not each place where one stands has to be explained."""


@cache
def glossary(language):
    with speaking(language):
        return dict(words("glossary"))


def for_homeowners(path):
    name = path.split("lang-es/")[-1]
    return name in IN_EVERY_LANGUAGE or name.endswith("/index.html")


def homeowners_part(body):
    """The main part of a page without the list of words and without what is for the worker."""
    shown = LIST.sub("", body[body.index("<main") : body.index("</main>")])
    for part in ("details", "checks", "facts"):
        before, _, rest = shown.partition(f'<section id="{part}">')
        shown = before + rest.partition("</section>")[2]
    shown = re.sub(r'<details class="trade">.*?</details>|<!--.*?-->|<[^>]*>', " ", shown, flags=re.DOTALL)
    return " ".join(html.unescape(shown).split())


def listed(body):
    found = LIST.search(body)
    return [html.unescape(term) for term in re.findall(r"<dt>(.*?)</dt>", found[0])] if found else []


def stands_in(term, text):
    """A term as whole words, one or several; capitals as capitals."""
    if not term.isupper():
        text, term = text.lower(), term.lower()
    plurals = [term, f"{term}s", f"{term}es"]
    if term.endswith("y"):
        plurals.append(f"{term[:-1]}ies")
    padded = re.sub(r"[^\w-]", " ", text)
    padded = f" {' '.join(padded.split())} "
    return any(f" {each} " in padded for each in plurals)


def names(language, key, meaning):
    """What a term is called: ``GFCI``, ``Tomacorriente``; a unit's sign apart."""
    full = key if language == OWN else meaning.split(": ")[0]
    name, _, mark = full.rstrip(")").partition(" (")
    return [part for part in (name, mark) if len(part) > 1]


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_trade_word_on_an_english_page_is_explained_there(job, edition):
    missing = []
    for path, page in pages_of(job, edition).items():
        if page.language != OWN or not for_homeowners(path) or "no longer used" in page.title:
            continue
        text, told = homeowners_part(page.body), listed(page.body)
        missing += [
            (path, key)
            for key, meaning in glossary(OWN).items()
            if key not in EVERYDAY[OWN] and any(stands_in(name, text) for name in names(OWN, key, meaning))
            if key not in told
        ]
    assert missing == []


AS_IN_SPANISH = {
    "AFCI": ("AFCI",), "AHJ": ("AHJ",), "AWG": ("AWG",), "breaker": ("breaker",), "conduit": ("conduit",),
    "EMT": ("EMT",), "energized": ("energizado",), "equipment ground": ("tierra de equipos",),
    "feeder": ("alimentador",), "GFCI": ("GFCI",), "ground rod": ("varilla de tierra", "varillas de tierra"),
    "inverter": ("inversor",), "main breaker": ("interruptor principal",), "neutral": ("neutro",),
    "panel": ("tablero",), "PVC": ("PVC",), "receptacle": ("tomacorriente",), "service": ("acometida",),
    "transfer switch": ("interruptor de transferencia",), "dead front": ("cubierta interior",),
    "directory": ("directorio",), "rough-in": ("instalación en bruto",),
}  # fmt: skip


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_every_trade_word_on_a_spanish_page_is_explained_there(job, edition):
    missing, seen = [], set()
    for path, page in pages_of(job, edition).items():
        if page.language != "es" or not for_homeowners(path) or 'id="main"' not in page.body:
            continue
        text, told = homeowners_part(page.body), listed(page.body)
        for key, ways in AS_IN_SPANISH.items():
            if any(stands_in(way, text) for way in ways):
                seen.add(key)
                name = glossary("es")[key].split(": ")[0]
                missing += [] if any(term.startswith(name) for term in told) else [(path, key)]
    assert missing == []
    assert {"breaker", "panel"} <= seen


@pytest.mark.parametrize("language", languages())
def test_each_meaning_is_the_glossary_s(language):
    """The list says what the catalogue says; in Spanish it leaves the word itself out, which heads the line."""
    body = pages_of("demo", Edition.OWNER)[
        "C1/index.html" if language == OWN else f"lang-{language}/C1/index.html"
    ].body
    lines = re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", LIST.search(body)[0])
    assert len(lines) > 8
    told = {text.split(": ", 1)[-1] if language != OWN else text for text in glossary(language).values()}
    assert {html.unescape(meaning).lower() for _, meaning in lines} <= {text.lower() for text in told}


@pytest.mark.parametrize("edition", Edition)
def test_the_list_is_folded_stands_last_and_is_there_on_every_homeowner_page(edition):
    for path, page in pages_of("demo", edition).items():
        if for_homeowners(path):
            # A box may be told of without a trade word.
            fewest = 0 if re.search(r"\bB\d+/index.html$", path) else 1
            assert fewest <= len(LIST.findall(page.body)) <= 1, path
            assert "<details open" not in page.body, path
            rest = LIST.split(page.body)[-1].split("</main>")[0]
            after = re.findall(r'<section id="(.*?)"', rest)[:1] if fewest else []
            assert after in ([], ["details"], ["facts"]), path
        else:
            assert not LIST.search(page.body), path
        assert MARK.strip() not in page.body, path


def terms(text, language=OWN):
    with speaking(language):
        return [row.label for row in explained(f"<main><p>{text}</p>{MARK}</main>")]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Two breakers.", ["breaker"]), ("The directories", ["directory"]), ("GFCIs and AFCI", ["AFCI", "GFCI"]),
        ("It takes 40 A.", ["ampere (A)"]), ("A car, option A", []), ("240 V", ["volt (V)"]),
        ("5 amperes", ["ampere (A)"]),
        ("too hot to hold, hot water", []), ("a hot wire; hot and neutral", ["hot", "neutral"]),
        ("your service company", []), ("the service company", []), ("The service is old", ["service"]),
        ("the service disconnect", ["disconnect", "service", "service disconnect"]),
        ("the space round the kiln", []), ("spaces 18 and 20", ["space"]), ("6 spaces are free", ["space"]),
        ("a solar panel", []), ("the main panel", ["panel"]), ("breakered subpanelling", []),
        ("emt is no word, EMT is", ["EMT"]), ("a transfer\n switch", ["transfer switch"]),
        ("&lt;main&gt; breaker", ["breaker"]), ("nothing of the kind", []),
    ],
)  # fmt: skip
def test_what_is_found_in_english(text, found):
    assert terms(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("dos tomacorrientes", ["Tomacorriente"]), ("un interruptor de luz", []),
        ("Apague los interruptores de C4 y C7.", ["Interruptor (breaker)"]),
        ("el interruptor (breaker)", ["Interruptor (breaker)"]), ("los paneles solares", []), ("un panel solar", []),
        ("los tableros", ["Tablero"]), ("40 A y 240 V", ["Amperio (A)", "Voltio (V)"]), ("a la casa", []),
        ("Kiln receptacle (E2)", ["Tomacorriente (receptacle)"]), ("espacio alrededor", []),
        ("espacios 18 y 20", ["Espacio"]), ("Main panel, tablero", ["Tablero (panel)"]), ("protección GFCI",
        ["Protección contra choque eléctrico (GFCI)"]), ("barra de tierra", []), ("cable vivo", ["Vivo (fase)"]),
    ],
)  # fmt: skip
def test_what_is_found_in_spanish(text, found):
    assert terms(text, "es") == found


def test_what_is_for_electricians_or_for_the_worker_is_not_looked_at():
    body = f'<main><p>Seen.</p><details class="trade"><p>torque</p></details><!-- torque -->{MARK}'
    body += '<section id="details"><p>torque</p></section><section id="checks">torque</section></main><p>torque</p>'
    assert read_text(body) == "Seen."
    assert explained(body) == ()


def test_only_words_of_the_glossary_have_a_way_of_their_own_to_be_found():
    for language in languages():
        with speaking(language):
            assert set(words("trade_words")) <= set(words("glossary"))
    assert EVERYDAY[OWN] == set(english())


def english():
    with speaking(OWN):
        return words("trade_words")
