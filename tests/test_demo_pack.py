"""The finished demo pack as files: what is in it, and what is not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image

from handover.build import RECORD
from handover.editions import private_values
from handover.record.reader import read_job

DEMO = Path(__file__).parent.parent / "demo_property"


@pytest.fixture(scope="module")
def posted(demo_pack):
    return next((demo_pack / "posted").iterdir())


def every_file(folder):
    found = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    assert len(found) > 30
    return found


def test_the_posted_edition_holds_no_private_value(demo_pack, posted):
    """Every private text of the record, looked for in every built file: bytes as they are, spacing and case ignored."""
    record = read_job(DEMO)
    open_text = re.sub(r"\s+", " ", shown_openly(record)).lower()
    private = {
        path: re.sub(r"\s+", " ", value).lower()
        for path, value in private_values(record)
        if len(value) >= 4 and re.sub(r"\s+", " ", value).lower() not in open_text
    }
    assert len(private) > 10
    leaks = []
    for file in every_file(demo_pack / "posted"):
        text = re.sub(r"\s+", " ", file.read_bytes().decode("utf-8", errors="ignore")).lower()
        leaks += [
            f"{file.name}: {path}" for path, value in private.items() if value in text or value in file.name.lower()
        ]
    assert leaks == []


def posted_record(record):
    from handover.editions import record_for
    from handover.pack import Edition

    return record_for(Edition.POSTED, record)


def shown_openly(record):
    """Every text that the posted edition may show, in each language: what a private value may also say."""
    from handover.editions import record_in
    from handover.pack import Edition
    from handover.words import languages

    # A language without a translation of the record has it as it stands.
    return "\n".join(
        text for language in languages() for text in record_texts(record_in(language, Edition.POSTED, record))
    )


def record_texts(value):
    """Every text of a record, each as it stands."""
    if hasattr(type(value), "model_fields"):
        return [text for name in type(value).model_fields for text in record_texts(getattr(value, name))]
    if isinstance(value, tuple):
        return [text for item in value for text in record_texts(item)]
    return [str(value)]


def test_the_owner_edition_does_hold_them(demo_pack):
    record = read_job(DEMO)
    text = "\n".join(path.read_text("utf-8") for path in every_file(demo_pack / "owner") if path.suffix == ".html")
    assert record.site.address.splitlines()[0] in text
    assert record.permit.number.written in text


def test_no_picture_carries_metadata(demo_pack):
    pictures = [path for path in every_file(demo_pack) if path.suffix in (".webp", ".jpg", ".jpeg", ".png")]
    pictures = [path for path in pictures if ".photo-cache" not in path.parts]
    pictures = [path for path in pictures if not path.is_relative_to(demo_pack / "owner" / RECORD)]
    assert len(pictures) >= 40
    for path in pictures:
        with Image.open(path) as picture:
            assert not picture.getexif(), path
            assert not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & set(picture.info), path
        data = path.read_bytes()
        assert b"Demo Camera" not in data
        assert b"http://ns.adobe.com" not in data


def test_the_owner_edition_alone_carries_the_photos_as_they_were_taken(demo_pack):
    """With all that the camera wrote in them, so that the pack can be built again from there."""
    kept = demo_pack / "owner" / RECORD / "photos"
    for photo in read_job(DEMO).photos:
        assert (kept / photo.file).read_bytes() == (DEMO / "photos" / photo.file).read_bytes()
        assert not list((demo_pack / "posted").rglob(photo.file))


def test_turned_photos_stand_upright(demo_pack):
    """Three sources store their pixels turned (EXIF tag 6 or 8); upright they are 4:3 or 3:4 as listed here."""
    record = read_job(DEMO)
    upright = {"car-charger.jpg": (4, 3), "house-wall-conduit.jpg": (3, 4), "trench-open.jpg": (3, 4)}
    for number, photo in enumerate(record.photos, 1):
        if photo.file in upright:
            across, down = upright[photo.file]
            (file,) = (demo_pack / "owner" / "photos").glob(f"photo-{number:02}*768.jpg")
            with Image.open(file) as picture:
                assert abs(picture.width * down - picture.height * across) < 5, photo.file


def test_nothing_is_published_that_no_page_uses(posted):
    assert not (posted / "assets").exists()
    assert not (posted / "search").exists()
    assert not list(posted.glob("sitemap*"))
    assert {path.suffix for path in every_file(posted)} <= {
        ".html", ".css", ".js", ".webp", ".jpg", ".ics", ".pdf", ".json",
    }  # fmt: skip
    assert [path.name for path in every_file(posted) if path.suffix == ".js"] == ["keep.js", "worker.js"]
    assert [path.name for path in every_file(posted) if path.suffix == ".pdf"] == ["pack.pdf"]
    assert [path.name for path in every_file(posted) if path.suffix == ".json"] == ["manifest.json"]


def test_pages_stay_out_of_search_and_send_no_referrer(demo_pack):
    for page in demo_pack.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert '<meta name="robots" content="noindex' in text, page
        assert '<meta name="referrer" content="no-referrer">' in text, page
        assert "Content-Security-Policy" in text, page
        assert 'lang="en"' in text, page


def test_no_page_names_this_machine(demo_pack):
    for path in every_file(demo_pack):
        if path.suffix in (".html", ".css", ".ics", ".json", ".svg"):
            assert str(Path.home()) not in path.read_text("utf-8"), path
            assert str(DEMO.parent) not in path.read_text("utf-8"), path
