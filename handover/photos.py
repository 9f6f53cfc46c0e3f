"""Photos of the job folder, made fit to publish: upright, sRGB, two sizes, no metadata, marks drawn on a copy.

A stage of the journey with thin edges: it reads pictures of the job folder and writes files below the site's root.
The only module that imports Pillow.  Same pictures and same Pillow, same bytes out.
"""

from __future__ import annotations

import hashlib
import io
import math
import os
import threading
import warnings
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath
from typing import Literal

import PIL
from PIL import Image, ImageCms, ImageDraw, ImageFont

from handover.pack import PhotoFile, PreparedPhoto
from handover.problems import JobProblems, Problem, nearest
from handover.record.evidence import Photo, PhotoMark

FOLDER = "photos"
MAX_PIXELS = 60_000_000
MAX_BYTES = 100_000_000
# A phone at 360 points and two dots a point asks for 721 dots across, so the small copy is made 768 wide.
SMALL_WIDTH, SMALL_HEIGHT = 768, 1024
LARGE_SIDE = 1600
WEBP_QUALITY, WEBP_METHOD = 70, 4
JPEG_QUALITY = 72
WORKERS = max(1, min(4, os.cpu_count() or 1))
_BIG_PIXELS = 16_000_000
_BIG = threading.Lock()
"""Pictures that must be decoded whole and are big take turns, so that memory stays bounded whatever the job holds."""
_SETTINGS = (
    f"pillow {PIL.__version__}; {SMALL_WIDTH}x{SMALL_HEIGHT} {LARGE_SIDE}; "
    f"webp {WEBP_QUALITY}/{WEBP_METHOD}; jpeg {JPEG_QUALITY}; marks 1"
)
_SUFFIXES = {"JPEG": (".jpg", ".jpeg"), "MPO": (".jpg", ".jpeg"), "PNG": (".png",), "WEBP": (".webp",)}
_SRGB = ImageCms.createProfile("sRGB")
# EXIF 2.32, tag 0x0112: what turns the stored picture upright.
_ORIENTATION_TAG = 0x0112
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_270, 7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}  # fmt: skip
_TURNED = (5, 6, 7, 8)
_AS_JPEG = "Save it again as a JPEG, and name that file here."


@dataclass(frozen=True, slots=True)
class _Copy:
    """One encoding to make: the name's ending, the box the picture must fit, the format."""

    ending: str
    box: tuple[int, int]
    kind: Literal["image/webp", "image/jpeg"]


_SMALL = _Copy("768.webp", (SMALL_WIDTH, SMALL_HEIGHT), "image/webp")
_LARGE = _Copy("1600.webp", (LARGE_SIDE, LARGE_SIDE), "image/webp")
_FALLBACK = _Copy("768.jpg", (SMALL_WIDTH, SMALL_HEIGHT), "image/jpeg")


class _Unfit(Exception):
    """A picture that cannot be published: ``what`` is wrong, and the ``remedy``."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what)
        self.what = what
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class _Header:
    """What a picture's first bytes say: format, size when shown upright, and how it must be turned."""

    format: str
    width: int
    height: int
    orientation: int


def check_photos(record_photos: Iterable[Photo], folder: Path) -> tuple[Problem, ...]:
    """Every fault of the recorded pictures below ``folder``/photos, found without making any copy."""
    problems = []
    for photo in record_photos:
        try:
            _check(photo, folder)
        except _Unfit as unfit:
            problems.append(_problem(photo, unfit))
        problems.extend(_problem(photo, unfit) for unfit in _mark_faults(photo))
    return tuple(problems)


def prepare_photos(
    record_photos: Sequence[Photo], folder: Path, out: Path, cache: Path, progress: Callable[[str], None]
) -> tuple[PreparedPhoto, ...]:
    """The published copies of all pictures, written below ``out``/photos and numbered in the record's order.

    ``cache`` keeps each copy under a name made from the picture's bytes, the settings and the marks, so that an
    unchanged picture is not encoded again.  Raises JobProblems with every unfit picture, before anything is written.
    """
    problems = check_photos(record_photos, folder)
    if problems:
        raise JobProblems(problems)
    if not record_photos:
        return ()
    (out / FOLDER).mkdir(parents=True, exist_ok=True)
    cache.mkdir(parents=True, exist_ok=True)

    def prepare(numbered: tuple[int, Photo]) -> PreparedPhoto | Problem:
        number, photo = numbered
        try:
            return _prepare(photo, number, folder, out, cache)
        except _Unfit as unfit:
            return _problem(photo, unfit)

    done: list[PreparedPhoto] = []
    late: list[Problem] = []
    with ThreadPoolExecutor(WORKERS) as pool:  # Pillow lets go of the interpreter while it decodes, scales and encodes
        for made in pool.map(prepare, enumerate(record_photos, start=1)):
            if isinstance(made, Problem):
                late.append(made)
                continue
            done.append(made)
            progress(f"photo {made.number} of {len(record_photos)}")
    if late:
        raise JobProblems(late)
    return tuple(done)


def _problem(photo: Photo, unfit: _Unfit) -> Problem:
    return Problem(photo.written_at, f'photos "{photo.file}"', unfit.what, unfit.remedy)


def _mark_faults(photo: Photo) -> list[_Unfit]:
    faults = []
    for number, mark in enumerate(photo.marks, start=1):
        if not (0 <= mark.x <= 1 and 0 <= mark.y <= 1):
            remedy = "x and y run from 0 to 1, from the top left corner: half way across is 0.5."
            faults.append(_Unfit(f"mark {number} lies outside the picture", remedy))
        if not 0.01 <= mark.size <= 1:
            faults.append(_Unfit(f"mark {number} has a size that cannot be drawn", "Write a size from 0.01 to 1."))
    return faults


def _located(photo: Photo, folder: Path) -> Path:
    """The picture's path, if it lies in the job's photos folder for certain."""
    inside = "Put the picture in the job's photos folder, and write its name as it is in there."
    written = PureWindowsPath(photo.file)  # takes both kinds of slash, so a record reads alike on every system
    if written.is_absolute() or written.drive or written.root or ".." in written.parts:
        raise _Unfit("the name leaves the photos folder", inside)
    photos = folder.resolve() / FOLDER
    path = photos.joinpath(*written.parts)
    if not path.resolve().is_relative_to(photos):
        raise _Unfit("a link leads out of the photos folder", "Put the picture itself there instead of a link.")
    if not path.is_file():
        names = {found.name.lower(): found.name for found in photos.iterdir()} if photos.is_dir() else {}
        near = nearest(written.name, names)
        raise _Unfit("there is no such picture", f"Did you mean  {names[near]} ?" if near else inside)
    return path


def _bytes_of(photo: Photo, folder: Path) -> bytes:
    path = _located(photo, folder)
    try:
        if path.stat().st_size > MAX_BYTES:
            raise _Unfit(f"the file is larger than {MAX_BYTES // 1_000_000} MB", _AS_JPEG)
        return path.read_bytes()
    except OSError as error:
        raise _Unfit(f"cannot be read ({error.strerror})", "Check the file.") from None


def _open(data: bytes) -> Image.Image:
    try:
        return Image.open(io.BytesIO(data), formats=tuple(_SUFFIXES))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_big() from None
    except (OSError, SyntaxError, ValueError):
        if data[4:8] == b"ftyp":  # the box that opens HEIF and AVIF pictures
            raise _Unfit("is a phone picture in a format that cannot be read here", _AS_JPEG) from None
        raise _Unfit("is not a JPEG, PNG or WebP picture", _AS_JPEG) from None


def _too_big() -> _Unfit:
    return _Unfit(f"has more than {MAX_PIXELS // 1_000_000} million pixels", "Save a smaller copy, and name that here.")


def _orientation(picture: Image.Image) -> int:
    try:
        return int(picture.getexif().get(_ORIENTATION_TAG, 1))
    except Exception:  # broken EXIF comes in many shapes, and none of them spoils the picture itself
        return 1


def _header(picture: Image.Image, name: str) -> _Header:
    width, height = picture.size
    if width * height > MAX_PIXELS:
        raise _too_big()
    form = picture.format or ""
    suffixes = _SUFFIXES[form]
    if Path(name).suffix.lower() not in suffixes:
        raise _Unfit(
            f"its name does not say what it is: the content is {'JPEG' if form == 'MPO' else form}",
            f"Rename the file so that it ends in {suffixes[0]}, here and in the folder.",
        )
    orientation = _orientation(picture)
    if orientation in _TURNED:
        width, height = height, width
    return _Header(form, width, height, orientation)


def _check(photo: Photo, folder: Path) -> None:
    data = _bytes_of(photo, folder)
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        picture = _open(data)
    with picture:
        header = _header(picture, photo.file)
        if header.format == "PNG":
            _whole(picture.verify)  # the check sums of all chunks, without unpacking a pixel
        else:
            picture.draft(picture.mode, (1, 1))  # JPEG: an eighth of the size is enough to see that all of it is there
            _whole(picture.load)


def _whole(step: Callable[[], object]) -> None:
    try:
        step()
    except (OSError, SyntaxError, ValueError, EOFError):
        raise _Unfit("the picture is cut short or damaged", "Copy it again from the camera or phone.") from None


def _prepare(photo: Photo, number: int, folder: Path, out: Path, cache: Path) -> PreparedPhoto:
    data = _bytes_of(photo, folder)
    with _open(data) as picture:
        header = _header(picture, photo.file)
    drawn = [(mark.kind, mark.x, mark.y, mark.size) for mark in photo.marks]
    key = hashlib.sha256(f"{_SETTINGS}; {drawn}\0".encode() + data).hexdigest()
    # A picture smaller than the small box would come out twice the same, so then there is no large copy.
    copies = [_SMALL, _FALLBACK]
    if _fitted(header, _LARGE) != _fitted(header, _SMALL):
        copies.insert(1, _LARGE)
    kept = {copy: cache / f"{key}-{copy.ending}" for copy in copies}
    if not all(path.is_file() for path in kept.values()):
        for copy, encoded in _encodings(data, header, photo, copies).items():
            _keep(kept[copy], encoded)
    files = []
    for copy, path in kept.items():
        name = f"{FOLDER}/photo-{number:02d}-{copy.ending}"
        (out / name).write_bytes(path.read_bytes())
        width, height = _fitted(header, copy)
        files.append(PhotoFile(path=name, kind=copy.kind, width=width, height=height))
    return PreparedPhoto(photo=photo, number=number, files=tuple(files))


def _fitted(header: _Header, copy: _Copy) -> tuple[int, int]:
    """The size of a copy: as large as its box allows, never enlarged, in the picture's own proportions."""
    scale = min(1.0, copy.box[0] / header.width, copy.box[1] / header.height)
    return max(1, round(header.width * scale)), max(1, round(header.height * scale))


def _encodings(data: bytes, header: _Header, photo: Photo, copies: list[_Copy]) -> dict[_Copy, bytes]:
    largest = max((_fitted(header, copy) for copy in copies), key=lambda size: size[0] * size[1])
    big = header.format != "JPEG" and header.width * header.height > _BIG_PIXELS
    turn: AbstractContextManager[object] = _BIG if big else nullcontext()
    with turn:
        upright = _upright(data, header, largest)
    encoded = {}
    for copy in copies:
        size = _fitted(header, copy)
        # Drawn after scaling, so that a mark has the same weight and the number the same size on every copy.
        shown = _with_marks(upright.resize(size, Image.Resampling.LANCZOS), photo.marks)
        buffer = io.BytesIO()
        if copy.kind == "image/webp":
            shown.save(buffer, "WEBP", quality=WEBP_QUALITY, method=WEBP_METHOD)
        else:
            shown.save(buffer, "JPEG", quality=JPEG_QUALITY, optimize=True, progressive=True)
        encoded[copy] = buffer.getvalue()
    return encoded


def _upright(data: bytes, header: _Header, size: tuple[int, int]) -> Image.Image:
    """The picture upright, in sRGB, scaled to ``size``, and with nothing attached to it."""
    stored = (size[1], size[0]) if header.orientation in _TURNED else size
    with _open(data) as picture:
        picture.draft(picture.mode, stored)  # JPEG only: the decoder skips what would be scaled away
        _whole(picture.load)
        profile = picture.info.get("icc_profile")
        small = _plain(picture).resize(stored, Image.Resampling.LANCZOS, reducing_gap=3.0)
    coloured = _to_srgb(small, profile)
    turned = coloured.transpose(_UPRIGHT[header.orientation]) if header.orientation in _UPRIGHT else coloured
    # Pasted into a new picture, because Pillow carries comments and other notes along from the one it read.
    clean = Image.new("RGB", turned.size)
    clean.paste(turned)
    return clean


def _plain(picture: Image.Image) -> Image.Image:
    """The picture in a mode that scales well: grey, RGB or CMYK, eight bits, see-through parts on white."""
    if picture.mode.startswith("I;16"):
        return picture.convert("I").point(lambda value: value * (1 / 257)).convert("L")
    if picture.mode in ("L", "RGB", "CMYK"):
        if "transparency" not in picture.info:
            return picture
    elif picture.mode not in ("1", "P", "PA", "LA", "La", "RGBA", "RGBa", "RGBX"):
        return picture.convert("RGB")
    layered = picture.convert("RGBA")
    white = Image.new("RGBA", layered.size, "white")
    white.alpha_composite(layered)
    return white.convert("RGB")


def _to_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    if profile:
        try:
            given = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            made = ImageCms.profileToProfile(picture, given, _SRGB, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            made = None  # a broken or unfitting profile: plain conversion shows the picture well enough
        if made is not None:
            return made
    return picture.convert("RGB")


def _keep(path: Path, data: bytes) -> None:
    """Write whole or not at all: a build that was stopped must leave no half picture in the cache."""
    unfinished = path.with_suffix(f"{path.suffix}.{threading.get_ident()}.part")
    unfinished.write_bytes(data)
    unfinished.replace(path)


def _with_marks(picture: Image.Image, marks: Sequence[PhotoMark]) -> Image.Image:
    """The picture with its rings and arrows, numbered from 1.

    Black stroke in a white halo and the number in a white disc: told from any ground, and in black-only print.
    """
    for number, mark in enumerate(marks, start=1):
        _draw_mark(picture, mark, number)
    return picture


def _draw_mark(picture: Image.Image, mark: PhotoMark, number: int) -> None:
    longer = max(picture.size)
    stroke, disc = max(2.0, longer * 0.005), max(9.0, longer * 0.023)  # half the width of a line, radius of the disc
    x, y, reach = mark.x * picture.width, mark.y * picture.height, mark.size * longer
    # Towards the middle of the picture there is always room for the tail of an arrow, or the number of a ring.
    across, down = (1 if mark.x < 0.5 else -1), (1 if mark.y < 0.5 else -1)
    if mark.kind == "ring":
        away = (reach / 2 + disc) * math.sqrt(0.5)
    else:
        away = max(reach, 3 * disc) * math.sqrt(0.5)
    centre = (x + across * away, y + down * away)
    half = math.ceil(max(reach / 2, away) + disc + 4 * stroke)
    left, top = math.floor(x) - half, math.floor(y) - half
    # Four times as large and then scaled down, since Pillow draws hard edges; only the part around the mark.
    ink = Image.new("L", (8 * half, 8 * half), 0)
    halo = Image.new("L", ink.size, 0)

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return (point[0] - left) * 4, (point[1] - top) * 4

    for layer, more in ((halo, stroke), (ink, 0.0)):
        draw = ImageDraw.Draw(layer)
        if mark.kind == "ring":
            _circle(draw, at((x, y)), (reach / 2 + stroke + more) * 4, fill=255)
            _circle(draw, at((x, y)), (reach / 2 - stroke - more) * 4, fill=0)
        else:
            _arrow(draw, at(centre), at((x, y)), (stroke + more) * 4)
        _circle(draw, at(centre), (disc + more) * 4, fill=255)
    inside = ImageDraw.Draw(ink)
    _circle(inside, at(centre), (disc - stroke * 0.8) * 4, fill=0)
    inside.text(at(centre), str(number), fill=255, anchor="mm", font=ImageFont.load_default(disc * 4 * 1.25),
                stroke_width=round(disc * 0.12))  # fmt: skip
    for layer, colour in ((halo, "white"), (ink, "black")):
        mask = layer.resize((2 * half, 2 * half), Image.Resampling.BOX)
        picture.paste(colour, (left, top, left + 2 * half, top + 2 * half), mask)


def _circle(draw: ImageDraw.ImageDraw, centre: tuple[float, float], radius: float, fill: int) -> None:
    if radius > 0:
        draw.circle(centre, radius, fill=fill)


def _arrow(draw: ImageDraw.ImageDraw, tail: tuple[float, float], tip: tuple[float, float], half: float) -> None:
    """A line from ``tail`` to ``tip`` with a head; ``half`` is half the line's width."""
    length = math.dist(tail, tip)
    ahead = ((tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length)
    aside = (-ahead[1], ahead[0])

    def point(along: float, off: float) -> tuple[float, float]:
        return tip[0] - ahead[0] * along + aside[0] * off, tip[1] - ahead[1] * along + aside[1] * off

    draw.polygon([point(length, half), point(half * 4, half), point(half * 4, -half), point(length, -half)], fill=255)
    draw.polygon([point(0, 0), point(half * 6, half * 3.2), point(half * 6, -half * 3.2)], fill=255)
