"""A disk that fills, without the right to mount one: Python loads this at its start, also in a builder's helpers.

Every opening for writing and every new folder below HELD_FOLDER fails as on a full disk once the files there hold
HELD_ROOM bytes.
"""

import errno
import os
import sys

FOLDER, ROOM = os.environ["HELD_FOLDER"], int(os.environ["HELD_ROOM"])
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def _used() -> int:
    total, folders = 0, [FOLDER]
    while folders:
        try:
            for entry in os.scandir(folders.pop()):
                if entry.is_dir(follow_symlinks=False):
                    folders.append(entry.path)
                else:
                    total += entry.stat(follow_symlinks=False).st_size
        except FileNotFoundError:  # another process took it away meanwhile
            continue
    return total


def _full_disk(event: str, told: tuple) -> None:
    if event == "open":
        path, mode, flags = told
        writes = bool(set(mode) & set("wax+")) if isinstance(mode, str) else bool(flags & _WRITES)
    elif event == "os.mkdir":
        path, writes = told[0], True
    else:
        return
    if writes and isinstance(path, str | os.PathLike) and os.fspath(path).startswith(FOLDER) and _used() >= ROOM:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), os.fspath(path))


sys.addaudithook(_full_disk)
