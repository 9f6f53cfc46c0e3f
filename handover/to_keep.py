"""The owner's edition as one zip file to keep, which ``handover verify`` reads: the same folder, the same bytes."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

ZIP = "owner.zip"
_PACKED_ALREADY = (".jpg", ".jpeg", ".png", ".webp", ".pdf")
_NO_TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest that a zip file can say: the files are dated by the record inside, never by a clock."""
_PLAIN_FILE = 0o100644 << 16
_CHUNK = 1 << 20


def zip_up(folder: Path, into: Path) -> None:
    """Pack a finished folder, under its own name, into a zip file beside it."""
    with zipfile.ZipFile(into, "w", strict_timestamps=True) as archive:
        for path in sorted(filter(Path.is_file, folder.rglob("*")), key=Path.as_posix):
            member = zipfile.ZipInfo(f"{folder.name}/{path.relative_to(folder).as_posix()}", _NO_TIME)
            member.create_system, member.external_attr = 3, _PLAIN_FILE  # as on Unix, whatever system builds
            member.file_size = path.stat().st_size
            packed = path.suffix.lower() in _PACKED_ALREADY
            member.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            with path.open("rb") as file, archive.open(member, "w") as target:
                shutil.copyfileobj(file, target, _CHUNK)
