"""What must be true of a whole pack: nothing private in any file, the same bytes again, and no bit altered unseen."""

from __future__ import annotations

import gzip
import html
import io
import json
import os
import random
import re
import shutil
import subprocess
import sys
import textwrap
import zipfile
import zlib
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image, PngImagePlugin

from handover import build as building
from handover.editions import private_values
from handover.leaks import leaks
from handover.manifest import NAME
from handover.pdf.typesetting import typeset
from handover.private_words import private_words
from handover.problems import JobProblems
from handover.record.facts import Part
from handover.record.reader import read_job
from handover.verifying import verify
from tests.canaries import Canaries, job_of_canaries, private_fields
from tests.test_pdf_typesetting import document

ROOT = Path(__file__).parent.parent
STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)


def models(part=Part):
    """Every model of a record."""
    return [
        model
        for each in part.__subclasses__()
        for model in (each, *models(each))
        if each.__module__.startswith("handover.")
    ]


@pytest.fixture(scope="module")
def canaries(tmp_path_factory):
    """A job with a canary in each private field, and what stands in which."""
    job = tmp_path_factory.mktemp("canaries")
    return job, job_of_canaries(job)


@pytest.fixture(scope="module")
def built(canaries, tmp_path_factory):
    """That job's pack, built by the command a user types: its own scan has passed it."""
    out = tmp_path_factory.mktemp("built") / "pack"
    command = [sys.executable, "-m", "handover", "build", str(canaries[0]), "--out", str(out)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr + done.stdout
    assert "No private value in the posted edition" in done.stderr
    return out


def texts(path):
    """All that can be read out of a file, by means other than the tool's own scan."""
    content = path.read_bytes()
    yield content.decode("utf-8", errors="replace")
    if path.suffix == ".ics":
        yield re.sub(rb"\r\n[ \t]", b"", content).decode()
    if path.suffix == ".html":
        yield html.unescape(re.sub(r"<[^>]*>", "", content.decode()))
    if path.suffix == ".pdf":
        with pypdfium2.PdfDocument(content) as document:
            yield str(document.get_metadata_dict())
            for page in document:
                # A line of print ends where it is full: a word of letters and digits may be parted there.
                yield page.get_textpage().get_text_bounded().replace("\ufffe", "")
        for packed in STREAM.finditer(content):
            try:
                yield zlib.decompress(packed[1]).decode("latin-1")
            except zlib.error:
                continue


def spoken(canaries: Canaries):
    """Words of the canaries, each of which stands nowhere but in one private field."""
    every = [text for placed in canaries.placed.values() for text in placed]
    return {word: text for text in every for word in text.split()}


def test_the_canaries_stand_in_every_private_field(canaries):
    wanted = private_fields(models())
    assert len(wanted) > 20
    assert wanted - canaries[1].placed.keys() == set()


def test_no_canary_of_a_private_field_stands_in_any_posted_file(canaries, built):
    words, kinds = spoken(canaries[1]), set()
    for path in (built / "posted").rglob("*"):
        found = {word for word in words if word in path.name}
        if path.is_file():
            kinds.add(path.suffix)
            found |= {word for text in texts(path) for word in words if word in text}
        assert found == set(), path
    assert {".html", ".css", ".ics", ".json", ".pdf", ".webp", ".jpg"} <= kinds


def test_the_same_look_finds_the_canaries_where_they_may_stand(canaries, built):
    """The owner's edition has them in text, record and PDF: a look that found none there would prove nothing."""
    words = spoken(canaries[1])
    for suffix, least in ((".html", 0.5), (".yaml", 1.0), (".pdf", 0.5)):
        said = "\n".join(text for path in (built / "owner").rglob(f"*{suffix}") for text in texts(path))
        assert sum(word in said for word in words) >= least * len(words), suffix


def _picture(kind, **how):
    made = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(made, kind, **how)
    return made.getvalue()


def _exif(text):
    exif = Image.Exif()
    exif[0x010E] = text  # EXIF 2.32: ImageDescription
    return exif.tobytes()


def _png(text):
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", text, zip=True)
    return _picture("PNG", pnginfo=notes)


def _zip(text):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.txt", text)
    return made.getvalue()


SEEDED = {
    "page.html": lambda text: f"<p>{html.escape(text)}</p>".encode(),
    "page.css": lambda text: f"/* {text} */".encode(),
    "drawing.svg": lambda text: f"<svg><text>{html.escape(text)}</text></svg>".encode(),
    "search_index.json": lambda text: json.dumps({"docs": [text]}).encode(),
    "reminders.ics": lambda text: ("SUMMARY:" + "\r\n ".join(textwrap.wrap(text, 60))).encode(),
    "photo.jpg": lambda text: _picture("JPEG", exif=_exif(text)),
    "photo.webp": lambda text: _picture("WEBP", exif=_exif(text)),
    "photo.png": _png,
    "copy.zip": _zip,
    "pack.pdf": lambda text: typeset(document(text)),
    "page.html.gz": lambda text: gzip.compress(text.encode()),
}


@pytest.mark.parametrize("name", SEEDED)
def test_every_seeded_leak_is_caught_and_its_field_is_named(canaries, tmp_path, name):
    job, placed = canaries
    record = read_job(job)
    every = [text for texts in placed.placed.values() for text in texts]
    (tmp_path / name).write_bytes(SEEDED[name]("  ".join(every)))
    caught = {leak.field for leak in leaks(tmp_path, private_words(record))}
    named = {value for field, value in private_values(record) if field in caught}
    assert set(every) - named == set()
    assert len(caught) >= len(placed.placed) - 1  # a translation tells of a text that stands in a field of its own


def test_a_build_that_would_post_private_values_stops_and_keeps_what_is_there(canaries, tmp_path, monkeypatch):
    out = tmp_path / "pack"
    out.mkdir()
    (out / ".handover-pack").touch()
    (out / "index.html").write_text("the old pack")
    monkeypatch.setattr(building, "record_for", lambda edition, record: record)
    with pytest.raises(JobProblems) as stopped:
        building.build(canaries[0], out, progress=lambda text: None)
    told = str(stopped.value)
    assert "index.html" in told
    assert "reminders.ics" in told or "pack.pdf" in told
    assert "advice[0].decided_by" in told
    assert [text for texts in canaries[1].placed.values() for text in texts if text in told] == []
    assert sorted(path.name for path in out.iterdir()) == [".handover-pack", "index.html"]
    assert [path.name for path in tmp_path.iterdir()] == ["pack"]


@pytest.fixture(scope="module")
def another_day(demo_pack, tmp_path_factory):
    """The demo pack, built years later in another folder and time zone from what its owner's edition carries."""
    assert shutil.which("faketime"), "no faketime on PATH; install it:  apt-get install faketime"
    folder = tmp_path_factory.mktemp("another") / "é place"
    shutil.copytree(demo_pack / "owner" / "downloads" / "record", folder / "job")
    command = ["faketime", "2031-02-03 04:05:06", sys.executable, "-m", "handover", "build", "job", "--out", "pack"]
    there = {"TZ": "Pacific/Apia", "PYTHONHASHSEED": "7", "LC_ALL": "C", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        command, cwd=folder, env=os.environ | there, capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr + done.stdout
    return folder / "pack"


def files(pack):
    return {path.relative_to(pack).as_posix(): path for path in sorted(pack.rglob("*")) if path.is_file()}


def test_a_pack_rebuilt_from_itself_on_another_day_is_the_same_to_the_byte(demo_pack, another_day):
    one, two = files(demo_pack), files(another_day)
    assert one.keys() == two.keys()
    assert [name for name in one if one[name].read_bytes() != two[name].read_bytes()] == []


def test_a_flipped_bit_in_any_file_is_found(another_day, tmp_path):
    """One bit in every file at once, then thirty alone: ``verify`` names each, and nothing else."""
    pack, dice = tmp_path / "pack", random.Random(5)
    shutil.copytree(another_day, pack)
    assert verify(pack).differences == []
    every = files(pack)

    def flip(path):
        content = bytearray(path.read_bytes())
        bit = dice.randrange(len(content) * 8)
        content[bit // 8] ^= 1 << bit % 8
        path.write_bytes(content)

    alone = dice.sample([name for name in every if every[name].stat().st_size], 30)
    for name in alone:
        before = every[name].read_bytes()
        flip(every[name])
        assert [difference.file for difference in verify(pack).differences][:1] == [name], name
        every[name].write_bytes(before)
    # A manifest that was altered vouches for nothing, so the manifests stay as they are here.
    flipped = {name for name in every if Path(name).name != NAME and every[name].stat().st_size}
    for name in flipped:
        flip(every[name])
    assert {difference.file for difference in verify(pack).differences} == flipped
