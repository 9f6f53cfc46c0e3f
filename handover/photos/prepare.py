"""The published copies of the job's pictures: upright, sRGB, two sizes, no metadata, marks drawn on."""

from __future__ import annotations

import hashlib
import io
import itertools
import math
import os
import threading
import warnings
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import PIL
from PIL import Image, ImageCms

from handover.pack import PhotoFile, PreparedPhoto
from handover.photos import weights
from handover.photos.encoding import SETTINGS, as_jpeg, as_webp
from handover.photos.source import (
    FOLDER,
    TURNED,
    Header,
    Unfit,
    bytes_of,
    examine,
    open_picture,
    problem,
    whole,
)
from handover.problems import JobProblems, Problem
from handover.record.evidence import Photo

# A phone at 360 points and two dots a point asks for 721 dots across, so the small copy is made 768 wide.
SMALL_WIDTH, SMALL_HEIGHT = 768, 1024
LARGE_SIDE = 1600
WORKERS = max(1, min(4, os.cpu_count() or 1))
_HEAVY = threading.Lock()
"""Heavy pictures take turns, so that memory stays bounded whatever the job holds: see DEVELOPERS.md, Limits."""
_BAND_PIXELS = 1_000_000
_SETTINGS = f"pillow {PIL.__version__}; {SMALL_WIDTH}x{SMALL_HEIGHT} {LARGE_SIDE}; {SETTINGS}; marks 1; bands 1"
_PLAIN = ("L", "RGB", "CMYK")
_SRGB = ImageCms.createProfile("sRGB")
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_270, 7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Copy:
    """One encoding to make: the name's ending, the box the picture must fit, the format; bytes at most, if limited."""

    ending: str
    box: tuple[int, int]
    kind: Literal["image/webp", "image/jpeg"]
    most: int = 0


_SMALL = _Copy("768.webp", (SMALL_WIDTH, SMALL_HEIGHT), "image/webp")
_LARGE = _Copy("1600.webp", (LARGE_SIDE, LARGE_SIDE), "image/webp", weights.LARGE)
_FALLBACK = _Copy("768.jpg", (SMALL_WIDTH, SMALL_HEIGHT), "image/jpeg")


def prepare_photos(
    record_photos: Sequence[Photo], folder: Path, out: Path, cache: Path, progress: Callable[[str], None]
) -> tuple[PreparedPhoto, ...]:
    """The published copies of all pictures, written below ``out``/photos and numbered in the record's order.

    ``cache`` (a folder used for nothing else) keeps each copy under a name made from the picture's bytes, the settings
    and the marks, so that an unchanged picture is not encoded again; what this record does not use is removed from it.
    Raises JobProblems with every unfit picture, nearly always before anything is written.
    """
    headers, problems = examine(record_photos, folder)
    if problems:
        raise JobProblems(problems)
    cache.mkdir(parents=True, exist_ok=True)
    if record_photos:
        (out / FOLDER).mkdir(parents=True, exist_ok=True)

    shares = weights.shares(record_photos, [_fitted(header, _SMALL) for header in headers])

    def prepare(number: int, photo: Photo, header: Header, share: int) -> tuple[PreparedPhoto, set[Path]] | Problem:
        try:
            copies = _copies(header, share)
            turn: AbstractContextManager[object] = _HEAVY if header.heavy else nullcontext()
            with turn:
                return _prepare(photo, header, bytes_of(photo, folder), copies, number=number, out=out, cache=cache)
        except Unfit as unfit:
            return problem(photo, unfit)

    done: list[tuple[PreparedPhoto, set[Path]]] = []
    late: list[Problem] = []
    # Pillow lets go of the interpreter while it decodes, scales and encodes, so threads are enough.
    with warnings.catch_warnings(action="ignore"), ThreadPoolExecutor(WORKERS) as pool:
        for made in pool.map(prepare, itertools.count(1), record_photos, headers, shares):
            if isinstance(made, Problem):
                late.append(made)
                continue
            done.append(made)
            progress(f"Photo {len(done)} of {len(record_photos)} ready")
    if late:
        raise JobProblems(late)
    used: set[Path] = set().union(*(kept for _, kept in done))
    for old in sorted(path for path in cache.iterdir() if path.is_file() and path not in used):
        old.unlink()  # a picture taken out of the record must not live on here
    return tuple(photo for photo, _ in done)


def _copies(header: Header, share: int) -> list[_Copy]:
    """The copies to make of a picture.  ``share``: the bytes of what a phone takes."""
    copies = [replace(_SMALL, most=share), _FALLBACK]
    small, large = _fitted(header, _SMALL), _fitted(header, _LARGE)
    if large != small:  # else the picture is smaller than the small box, and would come out twice the same
        # Of a picture much higher than wide the small copy is too narrow for a phone, which then takes the large one.
        copies.insert(1, replace(_LARGE, most=share) if small[0] < weights.PHONE else _LARGE)
    return copies


def _prepare(
    photo: Photo, header: Header, data: bytes, copies: list[_Copy], *, number: int, out: Path, cache: Path
) -> tuple[PreparedPhoto, set[Path]]:
    """One picture's copies written below ``out``, and the files of the cache that hold them."""
    drawn = [(mark.kind, mark.x, mark.y, mark.size) for mark in photo.marks]
    hashed = hashlib.sha256(f"{_SETTINGS}; {drawn}\0".encode())
    hashed.update(data)
    kept = {copy: cache / _kept_as(copy, hashed.copy()) for copy in copies}
    missing = [copy for copy, path in kept.items() if not path.is_file()]
    if missing:
        largest = max((_fitted(header, copy) for copy in copies), key=math.prod)
        for copy, encoded in _encodings(data, header, photo, missing, largest).items():
            _keep(kept[copy], encoded)
    files = []
    for copy, path in kept.items():
        name = f"{FOLDER}/photo-{number:02d}-{copy.ending}"
        (out / name).write_bytes(path.read_bytes())
        width, height = _fitted(header, copy)
        files.append(PhotoFile(path=name, kind=copy.kind, width=width, height=height))
    return PreparedPhoto(photo=photo, number=number, files=tuple(files)), set(kept.values())


def _fitted(header: Header, copy: _Copy) -> tuple[int, int]:
    """The size of a copy: as large as its box allows, never enlarged, in the picture's own proportions."""
    scale = min(1.0, copy.box[0] / header.width, copy.box[1] / header.height)
    return max(1, round(header.width * scale)), max(1, round(header.height * scale))


def _kept_as(copy: _Copy, hashed: hashlib._Hash) -> str:
    """The name of a copy in the cache.  ``hashed``: the picture, the settings and the marks."""
    hashed.update(f"\0{copy.most}".encode())
    return f"{hashed.hexdigest()}-{copy.ending}"


def _encodings(
    data: bytes, header: Header, photo: Photo, copies: list[_Copy], largest: tuple[int, int]
) -> dict[_Copy, bytes]:
    """These copies as bytes, all made from the picture brought to the size of the largest that there is of it."""
    upright = _upright(data, header, largest)
    encoded = {}
    for copy in copies:
        # Drawn after scaling, so that a mark has the same weight and the number the same size on every copy.
        scaled = upright.resize(_fitted(header, copy), Image.Resampling.LANCZOS)
        webp = copy.kind == "image/webp"
        encoded[copy] = as_webp(scaled, photo.marks, copy.most) if webp else as_jpeg(scaled, photo.marks)
    return encoded


def _upright(data: bytes, header: Header, size: tuple[int, int]) -> Image.Image:
    """The picture upright, in sRGB, scaled to ``size``, and with nothing attached to it."""
    stored = (size[1], size[0]) if header.orientation in TURNED else size
    with open_picture(data) as picture:
        picture.draft(picture.mode, stored)  # JPEG only: the decoder skips what would be scaled away
        whole(picture.load)
        profile = picture.info.get("icc_profile")
        small = _scaled(picture, stored)
    coloured = _to_srgb(small, profile)
    turned = coloured.transpose(_UPRIGHT[header.orientation]) if header.orientation in _UPRIGHT else coloured
    # Pasted into a new picture, because Pillow carries comments and other notes along from the one it read.
    clean = Image.new("RGB", turned.size)
    clean.paste(turned)
    return clean


def _scaled(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    """The picture in a plain mode and of this size, made without a second copy in full size."""
    if picture.mode in _PLAIN and "transparency" not in picture.info:
        return picture.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
    # Band by band, each brought to a whole fraction of its size first: at least twice the size that is asked for.
    factor = max(1, min(picture.width // size[0], picture.height // size[1]) // 2)
    mode = "L" if picture.mode.startswith("I;16") else "RGB"
    reduced = Image.new(mode, (-(-picture.width // factor), -(-picture.height // factor)))
    rows = max(1, _BAND_PIXELS // (picture.width * factor)) * factor
    for top in range(0, picture.height, rows):
        band = picture.crop((0, top, picture.width, min(top + rows, picture.height)))
        reduced.paste(_plain(band).convert(mode).reduce(factor), (0, top // factor))
    # The last fraction may hang over the edge; what is beyond the picture must not count.
    true_edge = (0, 0, picture.width / factor, picture.height / factor)
    return reduced.resize(size, Image.Resampling.LANCZOS, box=true_edge)


def _plain(picture: Image.Image) -> Image.Image:
    """The picture in a mode that scales well: grey, RGB or CMYK, eight bits, see-through parts on white."""
    if picture.mode.startswith("I;16"):
        return picture.convert("I").point(lambda value: value * (1 / 257)).convert("L")
    if picture.mode in _PLAIN:
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
