"""The leak scan: each private value is found in every common spelling and kind of file, and nothing else is."""

from __future__ import annotations

import base64
import gzip
import html
import io
import json
import textwrap
import urllib.parse
import zipfile
import zlib

import pytest
import typst
from PIL import Image, PngImagePlugin

from handover.leaks import leaks, refuse_leaks
from handover.private_words import own_words, plain, private_words, squeezed
from handover.problems import JobProblems
from handover.unpacking import layers, without_pictures
from tests.jobs import job

RECORD = job(
    """
    site:
      name: Test house
      building: house in Pellmere
      address: 18 Heronsedge Lane, Pellmere
      people:
        - {name: Ottoline Brask-Núñez & Sons, phone: 1-271-555-0167}
        - {name: Falk, phone: 271-555-0168}
        - {name: Jo}
    service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: outside,
              meter: "38114902"}
    private_notes: The side gate sticks badly. The dog is friendly and gets out. Yes.
    """
)
WANTED = private_words(RECORD)
NAME, PHONE = "site.people[0].name", "site.people[0].phone"


def found_in(folder, name, content):
    """The fields whose values are found in one file of this content."""
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return {leak.field for leak in leaks(folder, WANTED)}


WRITTEN = "Ottoline Brask-Núñez & Sons"
SPELLINGS = {
    "as written": WRITTEN,
    "in capitals": WRITTEN.upper(),
    "in small letters": WRITTEN.lower(),
    "for HTML": html.escape(WRITTEN),
    "for HTML, twice": html.escape(html.escape(WRITTEN)),
    "numbered characters": "".join(f"&#{ord(sign)};" for sign in WRITTEN),
    "numbered characters, base 16": "".join(f"&#x{ord(sign):X};" for sign in WRITTEN),
    "in an address": urllib.parse.quote(WRITTEN),
    "in a query": urllib.parse.quote_plus(WRITTEN),
    "in JSON": json.dumps(WRITTEN),
    "in a calendar": WRITTEN.replace(" ", "\\n", 1),
    "over two lines": WRITTEN.replace(" ", "\n      ", 1),
    "no-break spaces": WRITTEN.replace(" ", "\N{NO-BREAK SPACE}"),
    "soft hyphens": "\N{SOFT HYPHEN}".join(WRITTEN),
    "a dash": WRITTEN.replace("-", "\N{EN DASH}"),
    "without spaces": WRITTEN.replace(" ", ""),
    "as a name of a file": WRITTEN.replace(" ", "_").replace("&", "and").replace("and", ""),
    "without accents": "Ottoline Brask-Nunez & Sons",
    "accents apart": "Ottoline Brask-Nu\u0301n\u0303ez & Sons",
    "with tags between": "<b>Ottoline</b> Bra<i>sk-N</i>úñez &amp; <span>Sons</span>",
    "in an attribute": '<img alt="Ottoline Brask-Núñez &amp; Sons">',
    "within a word": f"xx{WRITTEN.replace(' ', '')}yy",
}


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_name_is_found_however_it_is_spelt(tmp_path, spelling):
    assert found_in(tmp_path, "page.html", f"<p>Told by {SPELLINGS[spelling]}.</p>") == {NAME}


@pytest.mark.parametrize(
    "written",
    ["1-271-555-0167", "271-555-0167", "(271) 555-0167", "+1 271 555 0167", "2715550167", "271.555.0167", "555-0167",
     "5550167", "tel:+12715550167", "271&nbsp;555&#8211;0167", '<a href="tel:555-0167">', "27 15 55 01 67"],
)  # fmt: skip
def test_a_phone_number_is_found_with_any_separators(tmp_path, written):
    assert PHONE in found_in(tmp_path, "page.html", f"<p>Call {written}, please.</p>")


@pytest.mark.parametrize(
    "harmless",
    ["15550167", "5550167.25", "0.5550167", '<path d="M555 0167 L3 4">', '<g transform="translate(555 0167)">',
     '<polyline points="271,555 0167,3">', "a5550167", "555-01678"],
)  # fmt: skip
def test_a_number_that_only_holds_its_digits_is_not(tmp_path, harmless):
    assert found_in(tmp_path, "page.html", f"<p>{harmless}</p>") == set()


@pytest.mark.parametrize(
    ("written", "field"),
    [("18 Heronsedge Lane", "site.address"), ("18heronsedgelane", "site.address"),
     ("Meter 38114902.", "service.meter"), ("Falk said so", "site.people[1].name"), ("falk_", "site.people[1].name"),
     ("The side gate sticks badly", "private_notes"), ("friendly, and gets out" , None),
     ("The dog is friendly and gets out", "private_notes")],
)  # fmt: skip
def test_what_gives_a_value_away_alone_is_found_alone(tmp_path, written, field):
    assert found_in(tmp_path, "page.html", written) == ({field} if field else set())


@pytest.mark.parametrize("harmless", ["Pellmere", "in Pellmere", "Falken Road", "Jo", "Yes.", "Lane 18", "Test house"])
def test_a_town_a_part_of_a_word_or_what_is_shown_openly_is_no_leak(tmp_path, harmless):
    assert found_in(tmp_path, "page.html", harmless) == set()


def test_values_too_short_to_tell_are_named():
    assert WANTED.too_short == ("site.people[2].name",)


def test_a_value_that_is_one_of_the_tools_own_words_is_not_told_apart(tmp_path):
    """A resident called like a word of every pack cannot be looked for: each page would be a leak."""
    assert "smoke alarm" in own_words()
    other = job("site: {name: Test house, building: house, people: [{name: Smoke Alarm}, {name: Qzxv Wrblk}]}")
    (tmp_path / "page.html").write_text("<p>Test each smoke alarm. Qzxv Wrblk.</p>")
    assert [leak.field for leak in leaks(tmp_path, private_words(other))] == ["site.people[1].name"]


# Every kind of file that a pack may hold, each with the same name in it.


def _picture(kind, **how):
    made = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(made, kind, **how)
    return made.getvalue()


def _exif(text):
    exif = Image.Exif()
    exif[0x010E] = text  # EXIF 2.32: ImageDescription
    return exif.tobytes()


def _png(text, kind):
    notes = PngImagePlugin.PngInfo()
    if kind == "iTXt":
        notes.add_itxt("Comment", text, zip=True)
    else:
        notes.add_text("Comment", text, zip=kind == "zTXt")
    return _picture("PNG", pnginfo=notes)


def _zip(name, content):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return made.getvalue()


def _packed_in_noise(text):
    noise = bytes(range(128, 256)) * 4
    return noise + zlib.compress(text.encode()) + noise


ASCII = "Ottoline Brask-Nunez & Sons"
FORMATS = {
    "page.html": f"<p>{html.escape(WRITTEN)}</p>",
    "drawing.svg": "<svg><text><tspan>Ottoline</tspan> <tspan>Brask-Núñez &amp; Sons</tspan></text></svg>",
    "search/index.json": json.dumps({"docs": [{"text": WRITTEN}]}),
    "reminders.ics": "BEGIN:VCALENDAR\r\nSUMMARY:"
    + "\r\n ".join(textwrap.wrap("Call Ottoline Brask-Núñez & Sons\\, please", 9, drop_whitespace=False)),
    "site.css": f'p:after {{content: "{WRITTEN}"}}',
    "code.js": f"let a = {json.dumps(WRITTEN)}",
    "text-utf-16.txt": WRITTEN.encode("utf-16"),
    "embedded.html": f'<img src="data:text/plain;base64,{base64.b64encode(WRITTEN.encode()).decode()}">',
    "packed.html.gz": gzip.compress(WRITTEN.encode()),
    "packed.zip": _zip("a.txt", gzip.compress(WRITTEN.encode())),
    "named.zip": _zip(f"{WRITTEN}.txt", b""),
    "exif.jpg": _picture("JPEG", exif=_exif(ASCII)),
    "comment.jpg": _picture("JPEG", comment=ASCII),
    "xmp.jpg": _picture("JPEG", xmp=f"<x>{WRITTEN}</x>".encode()),
    "exif-utf-16.jpg": _picture("JPEG", comment=WRITTEN.encode("utf-16-le")),
    "exif.webp": _picture("WEBP", exif=_exif(ASCII)),
    "xmp.webp": _picture("WEBP", xmp=f"<x>{WRITTEN}</x>".encode()),
    "text.png": _png(WRITTEN, "tEXt"),
    "packed-text.png": _png(WRITTEN, "zTXt"),
    "unicode-text.png": _png(WRITTEN, "iTXt"),
    "stream.bin": _packed_in_noise(WRITTEN),
    f"photos/{WRITTEN}.html": "",
    f"{urllib.parse.quote(WRITTEN)}/page.html": "",
}


@pytest.mark.parametrize("name", FORMATS)
def test_a_name_is_found_in_every_kind_of_file(tmp_path, name):
    assert NAME in found_in(tmp_path, name, FORMATS[name])


@pytest.mark.parametrize("name", ["reminders.ics", "exif.jpg", "text.png", "packed.zip", "exif.webp", "stream.bin"])
def test_the_same_kinds_of_file_without_it_are_clean(tmp_path, name):
    clean = {
        "reminders.ics": "BEGIN:VCALENDAR\r\nSUMMARY:Call us",
        "exif.jpg": _picture("JPEG", exif=_exif("A house")),
        "text.png": _png("A house", "zTXt"),
        "packed.zip": _zip("a.txt", b"A house"),
        "exif.webp": _picture("WEBP", exif=_exif("A house")),
        "stream.bin": _packed_in_noise("A house"),
    }
    assert found_in(tmp_path, name, clean[name]) == set()


def _typeset(folder, text, title="A title"):
    """A PDF as packs have them: streams packed, letters told by numbers of a font's glyphs."""
    main = folder / "main.typ"
    main.write_text(f"#set document(title: {json.dumps(title)})\n#{json.dumps(text, ensure_ascii=False)}", "utf-8")
    made = typst.compile(main)
    main.unlink()
    return made


def test_a_name_is_found_on_the_pages_of_a_pdf(tmp_path):
    written = _typeset(tmp_path, f"Told by {WRITTEN}, 271-555-0167.")
    # It must take more than unpacking, or this would not show that the glyphs are read.
    assert not any(b"Brask" in layer.data for layer in layers(written) if layer.inner)
    assert found_in(tmp_path, "pack.pdf", written) == {NAME, PHONE}


def test_a_name_is_found_in_the_title_of_a_pdf(tmp_path):
    assert found_in(tmp_path, "pack.pdf", _typeset(tmp_path, "A house", WRITTEN)) == {NAME}


def test_a_pdf_without_it_is_clean(tmp_path):
    assert found_in(tmp_path, "pack.pdf", _typeset(tmp_path, "A house in Pellmere")) == set()


def test_a_damaged_file_that_hides_its_content_is_told(tmp_path):
    (tmp_path / "a.zip").write_bytes(_zip("a.txt", b"text")[:-9])
    (tmp_path / "b.pdf").write_bytes(b"%PDF-1.7 and no more")
    assert [(leak.file, "cannot be looked into" in leak.why) for leak in leaks(tmp_path, WANTED)] == [
        ("b.pdf", True), ("a.zip", True),
    ]  # fmt: skip


def test_what_is_found_names_file_and_field_and_never_the_value(tmp_path):
    (tmp_path / "page.html").write_text(f"<p>{html.escape(WRITTEN)}, 18 Heronsedge Lane</p>")
    with pytest.raises(JobProblems) as stopped:
        refuse_leaks(tmp_path, WANTED)
    told = str(stopped.value)
    assert [(problem.place.file, problem.where) for problem in stopped.value.problems] == [
        ("posted/page.html", "site.address"), ("posted/page.html", NAME),
    ]  # fmt: skip
    assert "Ottoline" not in told
    assert "Heronsedge" not in told


def test_a_clean_folder_says_what_was_looked_for(tmp_path):
    (tmp_path / "page.html").write_text("<p>Nobody</p>")
    said = refuse_leaks(tmp_path, WANTED)
    assert f"{len(WANTED.private)} texts looked for" in said
    assert "too short to look for: site.people[2].name" in said


def test_a_text_is_squeezed_to_letters_and_digits():
    assert squeezed(plain("Müller–Straße\u00ad 5&nbsp;½, C%20D")) == b"mullerstrasse512cd"


TRANSLATED = """
job: {title: A small job, kind: other, number: T-1, pack: AAAAAAAAAAAAAAAAAAAAAAAAA, publish_at: https://p.example,
      summary: "Marked \\"No Ground\\": 406.4(D)(2), (4) and (5). Ask first.", dates: {finished: 2026-06-12}}
private_notes: The side gate sticks in winter.
translations:
  - {text: "Marked \\"No Ground\\": 406.4(D)(2), (4) and (5). Ask first.", says: "Marcado. Pregunte antes."}
  - {text: The side gate sticks in winter., says: La puerta lateral se atora en invierno.}
"""


def test_the_translation_of_an_open_text_is_no_secret():
    fields = {private.field for private in private_words(job(TRANSLATED)).private}
    assert not [field for field in fields if field.startswith("translations[0]")]


def test_the_translation_of_a_private_text_is_looked_for(tmp_path):
    wanted = private_words(job(TRANSLATED))
    (tmp_path / "index.html").write_text("<p>La puerta lateral se atora en invierno.</p>", encoding="utf-8")
    assert {leak.field for leak in leaks(tmp_path, wanted)} == {"translations[1].says"}


def test_the_letters_of_an_embedded_picture_are_no_words_but_what_it_holds_is_looked_through(tmp_path):
    page = '<image href="data:image/webp;base64,{}"/>'
    sound, telling = (base64.b64encode(_picture("WEBP", **how)).decode() for how in ({}, {"exif": _exif(ASCII)}))
    assert without_pictures(page.format(sound)) == page.format("")
    assert found_in(tmp_path, "page.html", page.format(telling)) == {NAME}
    for written in ("OttolineBraskNunezSons", "OttolineBraskNunezSons==", f"UklGRg==  {WRITTEN}"):
        assert found_in(tmp_path, "page.html", page.format(written)) == {NAME}
