"""Pictures that no pack should be made of, and odd ones that are good: each refused in words or published right.

How the published copies look, cut or mislabeled files and broken notes in them: ``test_photos.py``.
"""

from __future__ import annotations

import errno
import io
import json
import os
import shutil
import struct
import subprocess
import sys
import threading
import unicodedata
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from handover.photos import check_photos, prepare_photos
from handover.photos.source import MAX_PASSES, MAX_PIXELS, MAX_WEBP_PIXELS
from handover.problems import JobProblems
from handover.record import job_files
from handover.record.evidence import Photo
from handover.record.reader import read_job

ROOT = Path(__file__).parent.parent
SMALL_JOB = ROOT / "tests" / "small_job"
BASE = (SMALL_JOB / "job.yaml").read_text(encoding="utf-8")
RED = (200, 30, 40)
PEAK_MIB = 900
"""What DEVELOPERS.md promises of the memory that a process holds at most while it prepares photos."""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "job" / "photos").mkdir(parents=True)
    return tmp_path / "job"


def photo(file: str) -> Photo:
    return Photo.model_validate({"file": file, "alt": "A test", "caption": "A test"})


def recorded(job: Path, *names: str) -> None:
    """The small job with these photos in its record."""
    shutil.copy(SMALL_JOB / "job.yaml", job / "job.yaml")
    entries = "".join(f"  - {{file: {json.dumps(name)}, alt: A test picture., caption: A test.}}\n" for name in names)
    with (job / "job.yaml").open("a", encoding="utf-8") as file:
        file.write(f"photos:\n{entries}")


def encoded(picture: Image.Image, kind: str, **how: object) -> bytes:
    made = io.BytesIO()
    picture.save(made, kind, **how)
    return made.getvalue()


def chunk(name: bytes, body: bytes) -> bytes:
    """A piece of a PNG (PNG, third edition, 5.3)."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, body: bytes, *more: bytes) -> bytes:
    head = chunk(b"IHDR", struct.pack(">2I5B", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(more) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def many_passes() -> bytes:
    """A progressive JPEG whose last scan comes again and again: a small file that takes hours to decode when large."""
    data = encoded(Image.new("RGB", (64, 64), RED), "JPEG", progressive=True)
    last = data.rindex(b"\xff\xda")
    return data[:-2] + data[last:-2] * (MAX_PASSES + 1) + data[-2:]


def moving(kind: str) -> bytes:
    other = Image.new("RGB", (60, 40), "navy")
    return encoded(Image.new("RGB", (60, 40), RED), kind, save_all=True, append_images=[other], duration=90)


SOLID = Image.new("RGB", (60, 40), RED)
BOMB = zlib.compress(bytes(50_000_000), 9)
UNFIT = {
    "bomb.png": (png(60_000, 60_000, BOMB), "more than 60 million pixels"),
    "claims-too-much.png": (png(2**31 - 1, 1, zlib.compress(b"\0")), "more than 60 million pixels"),
    "claims-nothing.png": (png(0, 0, zlib.compress(b"\0")), "damaged"),
    "notes-bomb.png": (png(60, 40, zlib.compress(bytes(181 * 40)), chunk(b"zTXt", b"a\0\0" + BOMB)), "damaged"),
    "profile-bomb.png": (png(60, 40, zlib.compress(bytes(181 * 40)), chunk(b"iCCP", b"a\0\0" + BOMB)), "damaged"),
    "hundred.jpg": (encoded(Image.new("L", (10_000, 10_000)), "JPEG", quality=1), "more than 60 million pixels"),
    "large.webp": (encoded(Image.new("RGB", (6000, 4001)), "WEBP", quality=0, method=0), "more than 24 million pixels"),
    "passes.jpg": (many_passes(), f"is written in {MAX_PASSES + 11} passes"),
    "empty.jpg": (b"", "the file is empty"),
    "one-byte.jpg": (b"\xff", "is not a JPEG, PNG or WebP picture"),
    "head-alone.jpg": (b"\xff\xd8\xff", "damaged"),
    "head-alone.webp": (b"RIFF\0\0\0\0WEBP", "damaged"),
    "cut.jpg": (encoded(SOLID, "JPEG")[:-30], "damaged"),
    "sums-wrong.png": (encoded(SOLID, "PNG").replace(b"IDAT", b"IDAT\x01", 1), "damaged"),
    "really-png.jpg": (encoded(SOLID, "PNG"), "the content is PNG"),
    "really-webp.png": (encoded(SOLID, "WEBP"), "the content is WEBP"),
    "no-ending": (encoded(SOLID, "JPEG"), "the content is JPEG"),
    "moving.gif": (moving("GIF"), "is not a JPEG, PNG or WebP picture"),
    "moving.png": (moving("PNG"), "is a moving picture"),
    "moving.webp": (moving("WEBP"), "is a moving picture"),
    "phone.heic": (b"\0\0\0\x18ftypheic" + bytes(40), "HEIC"),
    "phone.jpg": (b"\0\0\0\x18ftypmif1" + bytes(40), "HEIC"),
    "drawing.svg": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is not a JPEG, PNG or WebP picture"),
    "scan.tif": (encoded(SOLID, "TIFF"), "is not a JPEG, PNG or WebP picture"),
    "page.jpg": (b"%PDF-1.7\n" + bytes(99), "is not a JPEG, PNG or WebP picture"),
}


@pytest.mark.parametrize("name", UNFIT)
def test_an_unfit_picture_is_told_of_with_its_line(job, tmp_path, name):
    """By the look that ``check`` takes, and by the build, with the same words."""
    data, what = UNFIT[name]
    (job / "photos" / name).write_bytes(data)
    recorded(job, name)
    record = read_job(job)
    (told,) = check_photos(record.photos, job)
    lines = (job / "job.yaml").read_text(encoding="utf-8").splitlines()
    assert (told.place.file, told.place.line) == ("job.yaml", len(lines))
    assert what in told.what
    assert told.remedy
    with pytest.raises(JobProblems) as caught:
        prepare_photos(record.photos, job, tmp_path / "site", tmp_path / "cache", str)
    assert caught.value.problems == (told,)
    assert not (tmp_path / "site").exists()


def test_just_as_many_pixels_as_may_be(job, tmp_path):
    width = MAX_WEBP_PIXELS // 4000
    Image.new("L", (6000, MAX_PIXELS // 6000), 90).save(job / "photos" / "a.jpg", quality=1)
    Image.new("RGB", (width, 4000), RED).save(job / "photos" / "b.webp", quality=0, method=0)
    made = prepare_photos([photo("a.jpg"), photo("b.webp")], job, tmp_path / "site", tmp_path / "cache", str)
    assert [(file.width, file.height) for file in made[1].files] == [(768, 512), (1600, 1067), (768, 512)]


NOT_A_FILE = "is not a file but a folder, a pipe, a device, or a link that leads to no file"
LINK_OUT = "a link leads out of the photos folder"


def spoil(job: Path, what: str) -> None:
    """Put something that is no picture where  a.jpg  is looked for."""
    target = job / "photos" / "a.jpg"
    if what == "folder":
        target.mkdir()
    elif what == "pipe":
        os.mkfifo(target)
    elif what == "endless device":
        target.symlink_to("/dev/zero")
    elif what == "empty device":
        target.symlink_to("/dev/null")
    elif what == "link to nowhere":
        target.symlink_to("nowhere.jpg")
    elif what == "link to itself":
        target.symlink_to("a.jpg")
    else:
        SOLID.save(job / "outside.jpg")
        elsewhere = job.parent / "elsewhere"
        elsewhere.mkdir()
        SOLID.save(elsewhere / "a.jpg")
        if what == "link out":
            target.symlink_to(job / "outside.jpg")
        elif what == "link out by dots":
            target.symlink_to("../outside.jpg")
        else:
            target.parent.rmdir()
            target.parent.symlink_to(elsewhere, target_is_directory=True)


PLACES = {
    "folder": NOT_A_FILE, "pipe": NOT_A_FILE, "endless device": NOT_A_FILE, "empty device": NOT_A_FILE,
    "link to nowhere": NOT_A_FILE, "link to itself": NOT_A_FILE,
    "link out": LINK_OUT, "link out by dots": LINK_OUT, "folder that is a link": LINK_OUT,
}  # fmt: skip


@pytest.mark.parametrize("what", PLACES)
def test_what_is_no_picture_file_is_neither_waited_for_nor_read(job, what):
    spoil(job, what)
    recorded(job, "a.jpg")
    said = []

    def look() -> None:
        try:
            said.extend(check_photos(read_job(job).photos, job))
        except JobProblems as found:
            said.extend(found.problems)
        said.extend(check_photos([photo("a.jpg")], job))  # the second look alone, in case the first missed it

    looking = threading.Thread(target=look, daemon=True)
    looking.start()
    looking.join(20)
    assert not looking.is_alive(), "still waiting"
    first, second = said
    assert (first.what, first.place.file) == (PLACES[what], "job.yaml")
    assert first.place.line
    assert "link" in second.what or "is not a file" in second.what
    assert second.remedy


@pytest.mark.parametrize(
    "name", ["../a.jpg", "/etc/hostname", "C:\\a.jpg", "..", ".", "sub/a.jpg", "~/a.jpg", "a\\b.jpg"]
)
def test_a_name_that_leads_elsewhere(job, name):
    recorded(job, name)
    with pytest.raises(JobProblems) as caught:
        read_job(job)
    (told,) = caught.value.problems
    assert (told.what, told.place.file) == ("is not a plain file name", "job.yaml")
    assert check_photos([photo(name)], job)  # nor does the look at the pictures find one there


@pytest.mark.parametrize("number", [errno.EACCES, errno.EIO])
def test_a_picture_that_may_not_be_read(job, monkeypatch, number):
    """A test may run as root, whom no permission stops: so the system's answer is given for it."""
    SOLID.save(job / "photos" / "a.jpg")

    def refused(path, flags, *more):
        raise OSError(number, os.strerror(number), str(path))

    monkeypatch.setattr(job_files.os, "open", refused)
    (told,) = check_photos([photo("a.jpg")], job)
    assert told.what == f"cannot be read ({os.strerror(number)})"
    assert "permissions" in told.remedy


def test_a_photos_folder_that_may_not_be_looked_into(job, monkeypatch):
    recorded(job, "a.jpg")
    listed = Path.iterdir

    def refused(path):
        if path.name == "photos":
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        return listed(path)

    monkeypatch.setattr(Path, "iterdir", refused)
    with pytest.raises(JobProblems, match="photos: the folder cannot be looked into"):
        read_job(job)


LONG = "x" * 200 + ".jpg"
NAMES = [
    "two words.jpg",
    "  edges  .jpg",
    "Küche.jpg",
    "Ku\u0308che 2.jpg",
    "分電盤.jpg",
    "#1 & 50%.jpg",
    "'q'.JPG",
    LONG,
]


def test_odd_names_are_found_and_never_published(job, tmp_path):
    for name in map(str.strip, NAMES):
        SOLID.save(job / "photos" / name, "JPEG")
    recorded(job, *map(str.strip, NAMES))
    record = read_job(job)
    assert check_photos(record.photos, job) == ()
    made = prepare_photos(record.photos, job, tmp_path / "site", tmp_path / "cache", str)
    assert {file.path for one in made for file in one.files} == {
        f"photos/photo-{number:02d}-768.{ending}" for number in range(1, 9) for ending in ("webp", "jpg")
    }


@pytest.mark.parametrize(("written", "stored"), [("NFC", "NFD"), ("NFD", "NFC")])
def test_a_name_is_found_whichever_way_its_accents_are_stored(job, tmp_path, written, stored):
    """A Mac's disk, an archive and a phone keep ü as one sign or as two; both look the same to whoever types it."""
    SOLID.save(job / "photos" / unicodedata.normalize(stored, "Küche.jpg"), "JPEG")
    recorded(job, unicodedata.normalize(written, "Küche.jpg"))
    record = read_job(job)
    assert len(prepare_photos(record.photos, job, tmp_path / "site", tmp_path / "cache", str)) == 1


@pytest.mark.parametrize("name", ["ü" * 200 + ".jpg", "x" * 300 + ".jpg", "x" * 5000 + ".jpg"])
def test_a_name_longer_than_a_disk_can_hold(job, name):
    recorded(job, name)
    with pytest.raises(JobProblems) as caught:
        read_job(job)
    assert all(problem.remedy and problem.place.line for problem in caught.value.problems)
    assert check_photos([photo(name)], job)[0].what == "there is no such picture"


def wide_gamut() -> bytes:
    """A profile with the primaries of Display P3 as its published profile holds them (D50), and the curve of sRGB."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    primaries = {b"rXYZ": (0.51512, 0.2412, -0.00105), b"gXYZ": (0.29198, 0.69225, 0.04189),
                 b"bXYZ": (0.1571, 0.06657, 0.78407)}  # fmt: skip
    count = struct.unpack(">I", profile[128:132])[0]
    for entry in range(132, 132 + 12 * count, 12):  # ICC.1:2022, 7.3: signature, offset, size
        name, offset, _ = struct.unpack(">4sII", profile[entry : entry + 12])
        if name in primaries:
            profile[offset + 8 : offset + 20] = struct.pack(">3i", *(round(part * 65536) for part in primaries[name]))
    return bytes(profile)


def garbage_exif() -> bytes:
    """An orientation of 6, then a directory that says it has 65535 entries, and a next one that is itself."""
    entry = struct.pack("<HHIHH", 0x0112, 3, 1, 6, 0)
    return b"Exif\0\0II*\0\x08\0\0\0" + struct.pack("<H", 0xFFFF) + entry + struct.pack("<I", 8)


# Color Level 4 of the W3C gives sRGB red as (0.9175, 0.2003, 0.1386) of Display P3, that is (234, 51, 35).
P3_OF_RED = (234, 51, 35)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def deep_png() -> bytes:
    """16 bits a channel, which Pillow does not write."""
    rows = (b"\0" + struct.pack(">3H", *(value * 257 for value in RED)) * 60) * 40
    made = png(60, 40, zlib.compress(rows))
    return made.replace(made[8:33], chunk(b"IHDR", struct.pack(">2I5B", 60, 40, 16, 2, 0, 0, 0)))


GOOD = {
    "plain.jpg": (encoded(SOLID, "JPEG", quality=95), RED),
    "cmyk ink.jpg": (encoded(SOLID.convert("CMYK"), "JPEG", quality=95), RED),
    "cmyk-rgb-profile.jpg": (encoded(SOLID.convert("CMYK"), "JPEG", quality=95, icc_profile=SRGB), RED),
    "sixteen.png": (deep_png(), RED),
    "sixteen-grey.png": (encoded(Image.new("I;16", (60, 40), 120 * 257), "PNG"), (120, 120, 120)),
    "palette.png": (encoded(SOLID.quantize(2), "PNG"), RED),
    "palette-clear.png": (encoded(SOLID.quantize(2), "PNG", transparency=0), (255, 255, 255)),
    "half-clear.png": (encoded(Image.new("RGBA", (60, 40), (*RED, 0)), "PNG"), (255, 255, 255)),
    "wide.jpg": (encoded(Image.new("RGB", (60, 40), P3_OF_RED), "JPEG", quality=95, icc_profile=wide_gamut()),
                 (255, 0, 0)),
    "wide.png": (encoded(Image.new("RGB", (60, 40), P3_OF_RED), "PNG", icc_profile=wide_gamut()), (255, 0, 0)),
    "wide-palette.png": (encoded(Image.new("RGB", (60, 40), P3_OF_RED).quantize(2), "PNG", icc_profile=wide_gamut()),
                         (255, 0, 0)),
    "profile-cut.jpg": (encoded(SOLID, "JPEG", quality=95, icc_profile=SRGB[:200]), RED),
    "profile-noise.webp": (encoded(SOLID, "WEBP", lossless=True, icc_profile=b"\xff" * 500), RED),
    "exif garbage.jpg": (encoded(SOLID, "JPEG", quality=95, exif=garbage_exif()), RED),
    "still.webp": (encoded(SOLID, "WEBP", lossless=True, save_all=True), RED),
    "Küche.png": (encoded(SOLID, "PNG"), RED),
}  # fmt: skip


@pytest.fixture(scope="module")
def odd_pack(tmp_path_factory):
    """One real build of the small job with every odd but good picture."""
    job = tmp_path_factory.mktemp("odd") / "job"
    (job / "photos").mkdir(parents=True)
    for name, (data, _) in GOOD.items():
        (job / "photos" / name).write_bytes(data)
    recorded(job, *GOOD)
    command = [sys.executable, "-m", "handover", "build", str(job), "--out", str(job.parent / "pack"), "--quiet"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr + done.stdout
    return job.parent / "pack"


@pytest.mark.parametrize("name", GOOD)
def test_an_odd_picture_comes_out_of_a_build_in_its_colors(odd_pack, name):
    number = list(GOOD).index(name) + 1
    copies = sorted((odd_pack / "posted").glob(f"*/photos/photo-{number:02d}-*"))
    assert [path.suffix for path in copies] == [".jpg", ".webp"]
    for path in copies:
        with Image.open(path) as picture:
            assert (picture.mode, picture.size) in (("RGB", (60, 40)), ("RGB", (40, 60)))
            assert not {"exif", "icc_profile", "xmp", "comment", "photoshop"} & set(picture.info)
            shown = picture.getpixel((20, 20))
        assert max(abs(one - other) for one, other in zip(shown, GOOD[name][1], strict=True)) <= 8, (path.name, shown)


_MEASURE = """
import sys, resource
from pathlib import Path
from handover.photos import check_photos, prepare, prepare_photos
from handover.record.evidence import Photo
job, out = map(Path, sys.argv[1:])
prepare.WORKERS = 4  # the most there are, whatever this machine has
photos = [Photo.model_validate({"file": path.name, "alt": "A", "caption": "A"})
          for path in sorted((job / "photos").iterdir())]
assert not check_photos(photos, job)
made = prepare_photos(photos, job, out / "site", out / "cache", str)
print(len(made), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""
# A process inherits the highest mark of the one that starts it, so a small one stands between it and this one.
_BETWEEN = """
import subprocess, sys, resource
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def peak_of(*command: str) -> float:
    """The most memory that any process of the command held, in MiB (Linux counts in KiB, macOS in bytes)."""
    run = [sys.executable, "-c", _BETWEEN, sys.executable, *command]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=True)
    status, peak = map(int, done.stdout.split())
    assert status == 0, done.stderr
    return peak / (1024 if sys.platform != "darwin" else 1024 * 1024)


@pytest.fixture(scope="module")
def heaviest(tmp_path_factory):
    """Of each kind as large as may be, and one that need not wait for others: as large as such a one can be."""
    folder = tmp_path_factory.mktemp("heaviest")
    side, webp = int(MAX_PIXELS**0.5), int(MAX_WEBP_PIXELS**0.5)
    grain = Image.effect_noise((1290, 1290), 60).resize((side, side)).convert("RGB")
    grain.save(folder / "single.jpg", subsampling=0)
    grain.save(folder / "progressive.jpg", progressive=True, subsampling=0)
    grain.crop((0, 0, 2800, 2800)).save(folder / "light.png", compress_level=1)
    Image.new("RGBA", (side, side), (*RED, 128)).save(folder / "clear.png", compress_level=1)
    Image.new("I;16", (side, side), 30_000).save(folder / "deep.png", compress_level=1)
    Image.new("RGBA", (webp, webp), (*RED, 128)).save(folder / "full.webp", lossless=True, quality=0, method=0)
    return folder


def test_memory_stays_bounded_whatever_the_job_holds(job, tmp_path, heaviest):
    """Two of each that takes turns, four of each that does not: the most that could be at work at once."""
    for path in heaviest.iterdir():
        for number in range(4 if path.stem in ("single", "light") else 2):
            # Some bytes behind the end, or the second would be taken from the cache.
            (job / "photos" / f"{number}-{path.name}").write_bytes(path.read_bytes() + bytes(number))
    peak = peak_of("-c", _MEASURE, str(job), str(tmp_path / "out"))
    print(f"preparing photos took {peak:.0f} MiB at the most")
    assert peak <= PEAK_MIB


def test_memory_of_a_whole_build_stays_bounded(job, tmp_path, heaviest):
    """One of each; the site builders and the PDFs come after the photos, not on top of them."""
    for path in heaviest.iterdir():
        shutil.copy(path, job / "photos" / path.name)
    recorded(job, *sorted(path.name for path in heaviest.iterdir()))
    peak = peak_of("-m", "handover", "build", str(job), "--out", str(tmp_path / "pack"), "--quiet")
    print(f"the build took {peak:.0f} MiB at the most")
    assert peak <= PEAK_MIB
