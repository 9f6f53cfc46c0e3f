"""A picture of the job folder: found, opened with care, and judged fit or unfit to publish."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath

from PIL import Image

from handover.problems import Problem, nearest
from handover.record.evidence import Photo
from handover.record.job_files import REMEDY_UNREADABLE, NotAFile, leads_out, same_name, start_of

# Pillow keeps a picture in blocks of 16 MiB, which the C library does not always give back to the system: the next
# large picture then comes on top.  Blocks above 32 MiB (the highest M_MMAP_THRESHOLD, mallopt(3)) it always gives back.
Image.core.set_block_size(64 * 1024 * 1024)  # type: ignore[attr-defined]  # as PILLOW_BLOCK_SIZE does

FOLDER = "photos"
MAX_PIXELS = 60_000_000
MAX_WEBP_PIXELS = 24_000_000
"""Less, since this decoder takes 16 bytes for each pixel, and cannot scale down while it reads."""
MAX_BYTES = 100_000_000
MAX_PASSES = 60
"""How often a JPEG may go over its picture.  Cameras write one pass, web sites some ten; each costs the whole time."""
_HEAVY_DECODED = 32_000_000
_HEAVY_BYTES = 16_000_000
_READ = ("JPEG", "PNG", "WEBP")  # and, as a kind of JPEG, the several pictures in one (MPO) that some phones write
_SUFFIXES = {"JPEG": (".jpg", ".jpeg"), "MPO": (".jpg", ".jpeg"), "PNG": (".png",), "WEBP": (".webp",)}
_ORIENTATION_TAG = 0x0112  # EXIF 2.32, 4.6.4: what turns the stored picture upright
TURNED = (5, 6, 7, 8)
"""The orientations that swap width and height."""
_FROM_A_PHONE = (
    "Open it on the phone or computer, save or export it as JPEG, and name that file here. The phone's camera settings"
    " can make it write JPEG from the start."
)
_AS_JPEG = "Save it again as a JPEG, and name that file here."


class Unfit(Exception):
    """A picture that cannot be published: ``what`` is wrong, and the ``remedy``."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what)
        self.what = what
        self.remedy = remedy


_END_OF_JPEG = b"\xff\xd9"
_PASS_OF_JPEG = b"\xff\xda"
"""The markers that end the image and that start a scan (ITU-T T.81, table B.1)."""


@dataclass(frozen=True, slots=True)
class Header:
    """What a picture's first bytes say: format, size when shown upright, and how it must be turned.

    ``heavy``: it must be decoded whole, or its file is large, so that it is prepared while no other such picture is.
    """

    format: str
    width: int
    height: int
    orientation: int
    heavy: bool


def check_photos(record_photos: Iterable[Photo], folder: Path) -> tuple[Problem, ...]:
    """Every fault of the recorded pictures below ``folder``/photos, found without making any copy."""
    return examine(record_photos, folder)[1]


def examine(record_photos: Iterable[Photo], folder: Path) -> tuple[tuple[Header, ...], tuple[Problem, ...]]:
    """The headers of all fit pictures, in order, and the problems of all others."""
    headers, problems = [], []
    for photo in record_photos:
        try:
            headers.append(_examine(photo, folder))
        except Unfit as unfit:
            problems.append(problem(photo, unfit))
    return tuple(headers), tuple(problems)


def problem(photo: Photo, unfit: Unfit) -> Problem:
    """What is wrong with a recorded photo, at the place where it is written."""
    return Problem(photo.written_at, f'photos "{photo.file}"', unfit.what, unfit.remedy)


def _located(photo: Photo, folder: Path) -> Path:
    """The picture's path, if it lies in the job's photos folder for certain."""
    inside = "Put the picture in the job's photos folder, and write its name as it is in there."
    written = PureWindowsPath(photo.file)  # takes both kinds of slash, so a record reads alike on every system
    if written.is_absolute() or written.drive or written.root or ".." in written.parts:
        raise Unfit("the name leaves the photos folder", inside)
    photos = folder.resolve() / FOLDER
    try:
        names = [path.name for path in photos.joinpath(*written.parts[:-1]).iterdir()]
    except OSError:
        names = []
    there = same_name(written.name, names)
    if there is None:
        near = nearest(written.name, names)
        raise Unfit("there is no such picture", f"Did you mean  {near} ?" if near else inside)
    path = photos.joinpath(*written.parts[:-1], there)
    if leads_out(path, photos) or photos.is_symlink():
        raise Unfit("a link leads out of the photos folder", "Put the picture itself there instead of a link.")
    return path


def bytes_of(photo: Photo, folder: Path) -> bytes:
    """The picture's bytes, from below the job's photos folder and nowhere else.  Raises Unfit."""
    path = _located(photo, folder)
    try:
        data = start_of(path, MAX_BYTES)
    except NotAFile:
        raise Unfit("is not a file but a folder, a pipe or a device", "Put the picture itself there.") from None
    except OSError as error:
        if path.is_dir():  # Windows does not open one at all
            raise Unfit("is not a file but a folder", "Put the picture itself there.") from None
        raise Unfit(f"cannot be read ({error.strerror})", REMEDY_UNREADABLE) from None
    if len(data) > MAX_BYTES:
        raise Unfit(f"the file is larger than {MAX_BYTES // 1_000_000} MB", _AS_JPEG)
    if not data:
        raise Unfit("the file is empty", "Copy the picture again from the camera or phone.")
    return data


def open_picture(data: bytes) -> Image.Image:
    """The picture by its content, whatever its name says; no pixel is decoded yet.  Raises Unfit."""
    try:
        return Image.open(io.BytesIO(data), formats=_READ)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_big(MAX_PIXELS) from None
    except (OSError, SyntaxError, ValueError):
        if data[4:8] == b"ftyp":  # the box that opens HEIF and AVIF pictures
            raise Unfit("is a phone picture of a kind that is not read here (HEIC or AVIF)", _FROM_A_PHONE) from None
        if data.startswith((b"\xff\xd8", b"\x89PNG")) or data[8:12] == b"WEBP":
            raise _damaged() from None
        raise Unfit("is not a JPEG, PNG or WebP picture", _AS_JPEG) from None


def _too_big(most: int, kind: str = "") -> Unfit:
    what = f"has more than {most // 1_000_000} million pixels{kind}"
    return Unfit(what, "Save a smaller copy as a JPEG, and name that here.")


def _damaged() -> Unfit:
    return Unfit("the picture is cut short or damaged", "Copy it again from the camera or phone.")


def _orientation(picture: Image.Image) -> int:
    if picture.format == "PNG" and "exif" not in picture.info:
        return 1  # Pillow would unpack the whole picture to look behind it
    try:
        return int(picture.getexif().get(_ORIENTATION_TAG, 1))
    except Exception:  # broken EXIF comes in many shapes, and none of them spoils the picture itself
        return 1


def _passes(data: bytes) -> int:
    """How many scans a JPEG's first picture has; 0 where its segments (ITU-T T.81, annex B) do not lead to one."""
    at = 2
    while data[at : at + 2] != _PASS_OF_JPEG:
        if data[at : at + 1] != b"\xff":
            return 0
        at += 1 if data[at + 1 : at + 2] == b"\xff" else 2 + int.from_bytes(data[at + 2 : at + 4])
    end = data.find(_END_OF_JPEG, at)
    return data.count(_PASS_OF_JPEG, at, end if end > 0 else len(data))


def _header(picture: Image.Image, name: str, data: bytes) -> Header:
    width, height = picture.size
    if width * height > MAX_PIXELS:
        raise _too_big(MAX_PIXELS)
    form = picture.format or ""
    if form == "WEBP" and width * height > MAX_WEBP_PIXELS:
        raise _too_big(MAX_WEBP_PIXELS, ", the most that a WebP picture may have")
    moving = form in ("PNG", "WEBP") and getattr(picture, "n_frames", 1) > 1  # an MPO's others are the same view again
    if moving:
        raise Unfit("is a moving picture", "Save one still picture of it as a JPEG, and name that file here.")
    passes = _passes(data) if form in ("JPEG", "MPO") else 1
    if passes > MAX_PASSES:
        raise Unfit(f"is written in {passes} passes, and {MAX_PASSES} are the most", _AS_JPEG)
    suffixes = _SUFFIXES[form]
    if Path(name).suffix.lower() not in suffixes:
        raise Unfit(
            f"its name does not say what it is: the content is {'JPEG' if form == 'MPO' else form}",
            f"Rename the file so that it ends in {suffixes[0]}, here and in the folder.",
        )
    orientation = _orientation(picture)
    if orientation in TURNED:
        width, height = height, width
    # What a decoder keeps of each pixel.  A JPEG in one pass is scaled while it is read, so its size hardly matters; in
    # more passes, two bytes for each of three colors wait for the last one.
    kept = {"PNG": 4, "WEBP": 16}.get(form, 6 if passes != 1 else 0)
    heavy = len(data) > _HEAVY_BYTES or kept * width * height > _HEAVY_DECODED
    return Header(form, width, height, orientation, heavy)


def _examine(photo: Photo, folder: Path) -> Header:
    data = bytes_of(photo, folder)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # broken EXIF, which is left behind anyway
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        with open_picture(data) as picture:
            header = _header(picture, photo.file, data)
            if header.format == "PNG":
                whole(picture.verify)  # the check sums of all chunks, without unpacking a pixel
            elif not (header.format == "JPEG" and data.endswith(_END_OF_JPEG)):
                # A JPEG that ends as one should was not cut short; damage inside shows when its copies are made.
                picture.draft(picture.mode, (1, 1))  # JPEG: an eighth of the size shows that all of it is there
                whole(picture.load)
            return header


def whole(step: Callable[[], object]) -> None:
    """Decode by ``step``.  Raises Unfit where the picture turns out to be cut short or damaged."""
    try:
        step()
    except (OSError, SyntaxError, ValueError, EOFError):
        raise _damaged() from None
