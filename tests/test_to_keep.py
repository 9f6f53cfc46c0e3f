"""What is kept of a pack: the worker's version, the one file's limit, the zip.  In a browser: test_offline.py."""

from __future__ import annotations

import base64
import gzip
import io
import json
import os
import re
import zipfile
from dataclasses import replace

import pytest
from PIL import Image

from handover.offline import KEEP, WORKER, keeping, write_worker
from handover.pack import Edition, Page, PhotoFile, PreparedPhoto
from handover.record.evidence import Photo
from handover.record.reader import read_job
from handover.resources import shipped
from handover.single_file import LIMIT, SingleFile
from handover.to_keep import zip_up
from handover.verifying import verify
from tests.pages.packs import JOBS, pack_of
from tests.small_pack import small_pack

VERSION = re.compile(r'VERSION = "([0-9a-f]{16})"')


def page(path, body="<h1>A page</h1>", language="en"):
    whole = f'<header></header>\n<main id="main">\n{body}\n</main>\n<footer class="foot"></footer>'
    return Page(path=path, title=path, body=whole, reader="everybody", language=language)


# The worker.


def worker_of(folder, text):
    folder.mkdir()
    (folder / "index.html").write_text(text)
    write_worker(folder, [page("index.html"), page("trouble.html"), page("care.html"), page("lang-es/index.html")])
    return (folder / WORKER).read_text(encoding="utf-8")


def test_the_workers_version_goes_by_the_content_alone(tmp_path):
    one, same, other = (worker_of(tmp_path / name, text) for name, text in (("1", "a"), ("2", "a"), ("3", "b")))
    assert one == same
    assert VERSION.findall(one) != VERSION.findall(other)
    assert VERSION.sub("", one) == VERSION.sub("", other)


def test_a_renamed_file_is_another_version(tmp_path):
    one = worker_of(tmp_path / "1", "a")
    (tmp_path / "1" / WORKER).unlink()
    (tmp_path / "1" / "index.html").rename(tmp_path / "1" / "other.html")
    write_worker(tmp_path / "1", [page("index.html"), page("trouble.html")])
    assert VERSION.findall((tmp_path / "1" / WORKER).read_text("utf-8")) != VERSION.findall(one)


def test_the_worker_names_the_first_pages_that_there_are(tmp_path):
    (core,) = re.findall(r"const CORE = (.*);", worker_of(tmp_path / "1", "a"))
    assert json.loads(core) == ["site.css", "keep.js", "index.html", "trouble.html", "lang-es/index.html"]


def test_both_scripts_are_small():
    """A phone in a cellar waits for them: below 2000 bytes gzipped, together."""
    scripts = (keeping()[KEEP], shipped("site_templates", "offline", WORKER).read_bytes())
    assert 300 < sum(len(gzip.compress(script)) for script in scripts) < 2000


# The one file.


def with_photos(tmp_path, number):
    """A pack of one page with so many photos of noise, which packs badly; and its finished site."""
    pack = pack_of(read_job(JOBS["small"]), Edition.OWNER)
    noise = io.BytesIO()
    Image.effect_noise((768, 576), 90).convert("RGB").save(noise, "WEBP", quality=70)
    (tmp_path / "photos").mkdir(parents=True)
    photos, figures = [], []
    for place in range(1, number + 1):
        file = PhotoFile(path=f"photos/photo-{place:02d}-768.webp", kind="image/webp", width=768, height=576)
        (tmp_path / file.path).write_bytes(noise.getvalue())
        photo = Photo.model_construct(file="x.png", alt="The panel", caption="The panel")
        photos.append(PreparedPhoto(photo=photo, number=place, files=(file,)))
        figures.append(
            f'<figure class="photo" id="photo-{place}">\n<picture>\n'
            f'<source type="image/webp" srcset="{file.path} 768w">\n'
            f'<img src="photos/photo-{place:02d}-768.jpg" width="768" height="576" alt="The panel {place}.">\n'
            "</picture>\n</figure>"
        )
    return replace(pack, photos=tuple(photos)), page("photos.html", "\n".join(figures))


def written(tmp_path, pack, *pages):
    said = SingleFile(pack, pages, pack.drawings).write(tmp_path)
    return said, (tmp_path / "pack.html").read_bytes()


def widths_in(content):
    found = re.findall(rb'href="data:image/webp;base64,([^"]+)"', content)
    return [Image.open(io.BytesIO(base64.b64decode(data))).width for data in found]


@pytest.mark.parametrize(("number", "width"), [(0, 0), (3, 768), (12, 640), (22, 480), (40, 320)])
def test_photos_grow_smaller_before_any_is_left_out(tmp_path, number, width):
    pack, photos = with_photos(tmp_path, number)
    said, content = written(tmp_path, pack, photos)
    assert len(content) <= LIMIT
    assert widths_in(content) == [width] * number
    assert f"{number} of {number} photos" in said
    assert b"Left out" not in content
    assert (f"at most {width} dots wide".encode() in content) is bool(number)


def test_what_photos_are_left_out_stands_in_the_file(tmp_path):
    pack, photos = with_photos(tmp_path, 90)
    said, content = written(tmp_path, pack, photos)
    assert 0.9 * LIMIT < len(content) <= LIMIT
    held = len(widths_in(content))
    assert 20 < held < 90
    assert f"{held} of 90 photos" in said
    (told,) = re.findall(rb"<li>photos: ([\d, ]+)</li>", content)
    assert told.decode() == ", ".join(str(number) for number in range(held + 1, 91))
    assert content.count(b"This photo is left out of this file.") == 90 - held
    assert f"The panel {held + 1}.".encode() in content


def test_the_working_of_checks_goes_before_the_photos_do(tmp_path):
    pack, photos = with_photos(tmp_path, 3)
    start = page(
        "index.html", '<h1>Start</h1>\n<p><a href="numbers-C1.html">working</a> <a href="C1/index.html#x">C1</a></p>'
    )
    working = page("numbers-C1.html", f"<h1>Working</h1><p>{'word ' * 590_000}</p>")
    code = page("C1/index.html", '<h1>C1</h1><p id="x">x</p>')
    said, content = written(tmp_path, pack, start, photos, working, code)
    assert b"<li>the working of each check</li>" in content
    assert b"word word" not in content
    assert b"<span>working</span>" in content
    assert b'<a href="#C1--x">C1</a>' in content
    assert "3 of 3 photos" in said
    assert len(content) < LIMIT


def test_text_of_a_record_that_looks_like_our_marks_stays_text(tmp_path):
    pack, _ = with_photos(tmp_path, 0)
    nasty = "&lt;!-- articles --&gt; id=&#34;x&#34; &lt;a href=&#34;y&#34;&gt;"
    _, content = written(tmp_path, pack, page("index.html", f'<h1>Start</h1>\n<p id="a">{nasty} id="text"</p>'))
    assert f'<p id="index--a">{nasty} id="text"</p>'.encode() in content


# The zip.


def test_the_zip_is_the_same_bytes_again_whatever_the_clock_says(tmp_path):
    made = []
    for name, when in (("one", 1_000_000_000), ("two", 1_700_000_000)):
        pack = small_pack(tmp_path / name)
        for path in sorted((pack / "owner").rglob("*"), reverse=name == "two"):
            os.utime(path, (when, when))
            if path.is_file():
                path.chmod(0o600 if name == "one" else 0o755)
        zip_up(pack / "owner", tmp_path / f"{name}.zip")
        made.append((tmp_path / f"{name}.zip").read_bytes())
    assert made[0] == made[1]
    found = verify(tmp_path / "one.zip")
    assert (found.differences, found.files) == ([], 2)


def test_the_zip_holds_plain_readable_files_in_order_and_packs_no_picture_again(tmp_path):
    (tmp_path / "owner" / "photos").mkdir(parents=True)
    for name in ("b.html", "a.html", "photos/p.webp"):
        (tmp_path / "owner" / name).write_text("text " * 100)
    zip_up(tmp_path / "owner", tmp_path / "owner.zip")
    with zipfile.ZipFile(tmp_path / "owner.zip") as archive:
        members = archive.infolist()
    assert [member.filename for member in members] == ["owner/a.html", "owner/b.html", "owner/photos/p.webp"]
    assert {member.external_attr >> 16 for member in members} == {0o100644}
    assert [member.compress_type for member in members] == [zipfile.ZIP_DEFLATED] * 2 + [zipfile.ZIP_STORED]
