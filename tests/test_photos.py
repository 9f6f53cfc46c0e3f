"""Photos are published upright, in sRGB, at two sizes, without metadata; unfit ones are named all at once."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from handover.photos import check_photos, prepare_photos
from handover.problems import JobProblems
from handover.record.evidence import Photo

DEMO = Path(__file__).parent.parent / "demo_property"
GPS_IFD, ORIENTATION, ARTIST = 0x8825, 0x0112, 0x013B


def photo(file: str, *marks: dict[str, str]) -> Photo:
    return Photo.model_validate({"file": file, "alt": "A test", "caption": "A test", "marks": list(marks)})


def ring(x="0.5", y="0.5", size="0.2"):
    return {"kind": "ring", "x": x, "y": y, "size": size, "says": "Here"}


@pytest.fixture
def job(tmp_path):
    (tmp_path / "job" / "photos").mkdir(parents=True)
    return tmp_path / "job"


def quarters(width=400, height=200) -> Image.Image:
    """Red, green, blue and white quarters: which way is up can be seen from any corner."""
    picture = Image.new("RGB", (width, height), "white")
    for colour, left, top in (("red", 0, 0), ("lime", width // 2, 0), ("blue", 0, height // 2)):
        picture.paste(colour, (left, top, left + width // 2, top + height // 2))
    return picture


def published(job, tmp_path, *photos):
    told = []
    made = prepare_photos(photos, job, tmp_path / "site", tmp_path / "cache", told.append)
    assert len(told) == len(photos)
    return [[Image.open(tmp_path / "site" / file.path).convert("RGB") for file in one.files] for one in made]


def corner_colours(picture):
    inset = min(picture.size) // 8
    right, bottom = picture.width - inset, picture.height - inset
    return [picture.getpixel(at) for at in ((inset, inset), (right, inset), (inset, bottom), (right, bottom))]


def near(colours, wanted, within=40):
    return all(abs(a - b) <= within for one, other in zip(colours, wanted, strict=True)
               for a, b in zip(one, other, strict=True))  # fmt: skip


QUARTERS = [(255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255)]
# EXIF 2.32, 4.6.4, tag 0112: how the stored picture must be turned to stand upright, undone to make the stored one.
STORED = {
    1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}  # fmt: skip


@pytest.mark.parametrize("orientation", STORED)
def test_exif_orientation_is_honoured(job, tmp_path, orientation):
    upright = quarters(2000, 1000)
    turn = STORED[orientation]
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    (upright.transpose(turn) if turn is not None else upright).save(job / "photos" / "a.jpg", exif=exif, quality=95)
    small, large, fallback = published(job, tmp_path, photo("a.jpg"))[0]
    assert [small.size, large.size, fallback.size] == [(768, 384), (1600, 800), (768, 384)]
    assert all(near(corner_colours(copy), QUARTERS) for copy in (small, large, fallback))


def segments_of_jpeg(data: bytes) -> list[int]:
    """The marker codes of a JPEG up to its picture data (ITU-T T.81, annex B)."""
    markers, at = [], 2
    while data[at + 1] != 0xDA:
        markers.append(data[at + 1])
        at += 2 + struct.unpack(">H", data[at + 2 : at + 4])[0]
    return markers


def chunks_of_webp(data: bytes) -> list[bytes]:
    """The chunk names of a WebP file (RFC 9649)."""
    names, at = [], 12
    while at < len(data):
        names.append(data[at : at + 4])
        size = struct.unpack("<I", data[at + 4 : at + 8])[0]
        at += 8 + size + size % 2
    return names


def with_everything(job, *, profile: bool) -> None:
    """A JPEG that carries a place, an owner, a comment, an XMP packet, perhaps a profile, and bytes after its end."""
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes() if profile else None
    exif = Image.Exif()
    exif[ARTIST] = "SECRET-OWNER"
    exif.get_ifd(GPS_IFD)[2] = (12.0, 34.0, 56.0)
    quarters(1800, 900).save(
        job / "photos" / "SECRET-NAME.jpg", exif=exif, comment="SECRET-COMMENT", xmp=b"<x>SECRET-XMP</x>",
        icc_profile=icc, dpi=(300, 300),
    )  # fmt: skip
    with (job / "photos" / "SECRET-NAME.jpg").open("ab") as file:
        file.write(b"SECRET-TAIL")


@pytest.mark.parametrize("profile", [True, False])
def test_nothing_that_came_with_the_picture_is_published(job, tmp_path, profile):
    with_everything(job, profile=profile)
    assert b"SECRET" in (job / "photos" / "SECRET-NAME.jpg").read_bytes()
    made = prepare_photos([photo("SECRET-NAME.jpg")], job, tmp_path / "site", tmp_path / "cache", str)
    for file in made[0].files:
        data = (tmp_path / "site" / file.path).read_bytes()
        assert b"SECRET" not in data
        assert "SECRET" not in file.path
        if file.kind == "image/jpeg":
            # APP1 to APP15 and COM carry metadata; APP0 is the bare JFIF header, without a thumbnail (18 bytes).
            assert not set(segments_of_jpeg(data)) & {*range(0xE1, 0xF0), 0xFE}
            assert data[2:6] == b"\xff\xe0\x00\x10"
        else:
            assert chunks_of_webp(data) == [b"VP8 "]


def test_demo_photos_lose_their_positions(tmp_path):
    """Three demo photos carry a position (0° 30' N, 0° 30' W) to be stripped."""
    names = sorted(path.name for path in (DEMO / "photos").glob("*.jpg"))
    placed = [name for name in names if Image.open(DEMO / "photos" / name).getexif().get_ifd(GPS_IFD)]
    assert len(placed) == 3
    made = prepare_photos([photo(name) for name in names], DEMO, tmp_path / "site", tmp_path / "cache", str)
    for one in made:
        for file in one.files:
            with Image.open(tmp_path / "site" / file.path) as picture:
                assert not picture.getexif()
                assert (picture.width, picture.height) == (file.width, file.height)
                assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive",
                                             "progression", "loop", "background", "timestamp", "duration"}  # fmt: skip


def test_names_are_numbers_in_the_records_order(job, tmp_path):
    for name in ("z.jpg", "a.jpg"):
        quarters(900, 600).save(job / "photos" / name)
    made = prepare_photos([photo("z.jpg"), photo("a.jpg")], job, tmp_path / "site", tmp_path / "cache", str)
    assert [(one.number, one.photo.file) for one in made] == [(1, "z.jpg"), (2, "a.jpg")]
    assert [file.path for file in made[1].files] == [
        "photos/photo-02-768.webp", "photos/photo-02-1600.webp", "photos/photo-02-768.jpg",
    ]  # fmt: skip


@pytest.mark.parametrize(("size", "expected"), [
    ((400, 200), [(400, 200), (400, 200)]),  # smaller than both boxes: nothing is enlarged, no second WebP
    ((4000, 100), [(768, 19), (1600, 40), (768, 19)]),
    ((100, 4000), [(26, 1024), (40, 1600), (26, 1024)]),
    ((1, 9000), [(1, 1024), (1, 1600), (1, 1024)]),
])  # fmt: skip
def test_sizes(job, tmp_path, size, expected):
    Image.new("RGB", size, "teal").save(job / "photos" / "a.png")
    assert [copy.size for copy in published(job, tmp_path, photo("a.png"))[0]] == expected


def test_kinds_of_colour(job, tmp_path):
    """Grey, 16-bit grey, palette with a see-through colour, see-through, CMYK: all come out as plain RGB."""
    base = quarters()
    grey16 = Image.fromarray(np.full((200, 400), 0x8000, np.uint16))
    clear = base.convert("RGBA")
    clear.putalpha(0)
    palette = base.quantize(4)
    made = {
        "grey.png": base.convert("L"), "grey16.png": grey16, "palette.png": palette, "clear.png": clear,
        "one.png": base.convert("1"), "cmyk.jpg": base.convert("CMYK"), "la.png": base.convert("LA"),
        "clear.webp": clear,
    }  # fmt: skip
    for name, picture in made.items():
        picture.save(job / "photos" / name)
    palette.save(job / "photos" / "palette-clear.png", transparency=palette.getpixel((399, 199)))
    names = [*made, "palette-clear.png"]
    shown = dict(zip(names, published(job, tmp_path, *(photo(name) for name in names)), strict=True))
    assert near(corner_colours(shown["grey16.png"][0]), [(128, 128, 128)] * 4, within=3)
    assert near(corner_colours(shown["clear.png"][0]), [(255, 255, 255)] * 4, within=3)
    assert near(corner_colours(shown["clear.webp"][0]), [(255, 255, 255)] * 4, within=3)
    for name in ("palette.png", "palette-clear.png", "cmyk.jpg"):
        assert near(corner_colours(shown[name][0]), QUARTERS), name


def test_sixteen_bits_a_colour(job, tmp_path):
    """A PNG of 16 bits a channel, written by hand (PNG, third edition, 11.2), comes out with its colour."""
    import zlib

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    rows = (b"\0" + struct.pack(">3H", 0xFFFF, 0x8000, 0x0000) * 40) * 30
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">2I5B", 40, 30, 16, 2, 0, 0, 0))
    data += chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    (job / "photos" / "deep.png").write_bytes(data)
    assert near([published(job, tmp_path, photo("deep.png"))[0][0].getpixel((20, 15))], [(255, 128, 0)], within=6)


def test_a_colour_profile_is_applied_and_dropped(job, tmp_path):
    """Under a profile whose red and green are exchanged, red comes out green; a broken profile changes nothing."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for tag in (b"XYZ", b"TRC"):
        profile = (
            profile.replace(b"r" + tag, b"?" + tag).replace(b"g" + tag, b"r" + tag).replace(b"?" + tag, b"g" + tag)
        )
    red = Image.new("RGB", (300, 200), (220, 30, 40))
    red.save(job / "photos" / "exchanged.png", icc_profile=profile)
    red.save(job / "photos" / "bare.png")
    red.save(job / "photos" / "broken.png", icc_profile=b"no profile at all")
    exchanged, bare, broken = (one[0].getpixel((9, 9)) for one in published(
        job, tmp_path, photo("exchanged.png"), photo("bare.png"), photo("broken.png")))  # fmt: skip
    assert near([exchanged], [(30, 220, 40)], within=12)
    assert near([bare, broken], [(220, 30, 40)] * 2, within=6)


def bad_pictures(job: Path) -> list[str]:
    folder = job / "photos"
    quarters(900, 600).save(folder / "good.jpg")
    good = (folder / "good.jpg").read_bytes()
    (folder / "cut.jpg").write_bytes(good[: len(good) // 2])
    buffer = io.BytesIO()
    quarters(900, 600).save(buffer, "PNG")
    (folder / "cut.png").write_bytes(buffer.getvalue()[:-60])
    buffer = io.BytesIO()
    quarters(900, 600).save(buffer, "WEBP")
    (folder / "cut.webp").write_bytes(buffer.getvalue()[:-60])
    (folder / "words.jpg").write_text("not a picture")
    (folder / "empty.jpg").write_bytes(b"")
    (folder / "really-jpeg.png").write_bytes(good)
    (folder / "phone.heic").write_bytes(b"\0\0\0\x18ftypheic" + bytes(40))
    Image.new("1", (8000, 8000)).save(folder / "huge.png")
    Image.new("1", (14000, 14000)).save(folder / "bomb.png")
    (job / "outside.jpg").write_bytes(good)
    (folder / "link.jpg").symlink_to(job / "outside.jpg")
    (folder / "inner.jpg").mkdir()
    return [
        "cut.jpg", "cut.png", "cut.webp", "words.jpg", "empty.jpg", "really-jpeg.png", "phone.heic", "huge.png",
        "bomb.png", "link.jpg", "inner.jpg", "goood.jpg", "nowhere.jpg", "../outside.jpg", "/etc/passwd",
        "C:\\pictures\\a.jpg", "..\\outside.jpg", "sub/../../outside.jpg",
    ]  # fmt: skip


def test_every_unfit_picture_is_named_at_once(job, tmp_path):
    names = bad_pictures(job)
    photos = [photo(name) for name in ["good.jpg", *names]]
    problems = {problem.where: problem for problem in check_photos(photos, job)}
    assert set(problems) == {f'photos "{name}"' for name in names}
    assert all(problem.what and problem.remedy for problem in problems.values())
    said = {name: problems[f'photos "{name}"'].what + problems[f'photos "{name}"'].remedy for name in names}
    assert [name for name in ("cut.jpg", "cut.png", "cut.webp") if "cut short" not in said[name]] == []
    assert "60 million" in said["huge.png"]
    assert "60 million" in said["bomb.png"]
    assert "JPEG" in said["really-jpeg.png"]
    assert ".jpg" in said["really-jpeg.png"]
    assert "good.jpg" in said["goood.jpg"]
    assert "link" in said["link.jpg"]
    assert all("leaves" in said[name] for name in names[-5:])
    with pytest.raises(JobProblems) as caught:
        prepare_photos(photos, job, tmp_path / "site", tmp_path / "cache", str)
    assert len(caught.value.problems) == len(names)
    assert not (tmp_path / "site").exists()


def test_a_problem_points_to_the_line(job):
    from handover.record.yaml_reader import read_yaml

    source = read_yaml("job.yaml", b"photos:\n  - file: none.jpg\n    alt: A\n    caption: B\n")
    (problem,) = check_photos([Photo.model_validate(source["photos"][0])], job)
    assert str(problem).startswith('job.yaml:2: photos "none.jpg": there is no such picture')


def test_marks_are_black_and_white_on_any_ground(job, tmp_path):
    """A ring shows a black stroke and a white halo both on black and on white ground; the middle stays the picture."""
    for ground in ("black", "white"):
        Image.new("RGB", (1600, 1200), ground).save(job / "photos" / f"{ground}.png")
    marked = published(job, tmp_path, photo("black.png", ring()), photo("white.png", ring()))
    for ground, copies in zip((0, 255), marked, strict=True):
        for copy in copies:
            row = np.asarray(copy.convert("L"))[copy.height // 2]
            middle = copy.width // 2
            crossing = row[middle - int(0.13 * copy.width) : middle]
            assert crossing.min() < 60
            assert crossing.max() > 195
            assert abs(int(row[middle]) - ground) < 10


def test_a_mark_at_the_very_edge_is_drawn(job, tmp_path):
    quarters(900, 600).save(job / "photos" / "a.png")
    marks = [ring(x="0", y="0"), ring(x="1", y="1"), {"kind": "arrow", "x": "1", "y": "0", "says": "There"}]
    plain = published(job, tmp_path, photo("a.png"))[0][0]
    marked = published(job, tmp_path, photo("a.png", *marks))[0][0]
    assert np.abs(np.asarray(plain, int) - np.asarray(marked, int)).max() > 200


def test_same_pictures_same_bytes_and_the_cache_saves_the_work(job, tmp_path, monkeypatch):
    quarters(2000, 1500).save(job / "photos" / "a.jpg")
    entry = photo("a.jpg", ring())

    def files(site):
        prepare_photos([entry], job, tmp_path / site, tmp_path / f"cache-{site[0]}", str)
        return {path.name: path.read_bytes() for path in sorted((tmp_path / site / "photos").iterdir())}

    first = files("one")
    assert files("two") == first
    monkeypatch.setattr("handover.photos.prepare._encodings", None)  # a call would fail: the cache must do
    assert files("one-again") == first


def test_the_cache_follows_marks_and_forgets_what_is_not_used(job, tmp_path):
    quarters(900, 600).save(job / "photos" / "a.jpg")
    for entry in (photo("a.jpg"), photo("a.jpg", ring()), photo("a.jpg", ring(x="0.2"))):
        prepare_photos([entry], job, tmp_path / "site", tmp_path / "cache", str)
        kept = {path.name for path in (tmp_path / "cache").iterdir()}
        assert len(kept) == 3


def test_no_photos_is_no_fault(job, tmp_path):
    assert prepare_photos([], job, tmp_path / "site", tmp_path / "cache", str) == ()


def test_the_cache_forgets_the_last_picture_too(job, tmp_path):
    quarters(900, 600).save(job / "photos" / "a.jpg")
    prepare_photos([photo("a.jpg")], job, tmp_path / "site", tmp_path / "cache", str)
    prepare_photos([], job, tmp_path / "site", tmp_path / "cache", str)
    assert not list((tmp_path / "cache").iterdir())


@pytest.mark.parametrize("cut", range(20, 400, 19))
def test_broken_notes_in_a_picture_do_no_harm(job, tmp_path, cut):
    """EXIF cut anywhere: the picture is published, or refused with a Problem, never a traceback."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS_IFD)[2] = (1.0, 2.0, 3.0)
    body = exif.tobytes()
    quarters().save(job / "photos" / "a.jpg", exif=body[: cut % len(body)] + b"\xff" * 9)
    noted = PngImagePlugin.PngInfo()
    noted.add_text("note", "SECRET")
    quarters().save(job / "photos" / "b.png", pnginfo=noted)
    published(job, tmp_path, photo("a.jpg"), photo("b.png"))
