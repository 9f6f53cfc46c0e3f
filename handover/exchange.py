"""Two folders exchanged in one step: after it both have changed places, before it neither, and there is no between.

Python's library has no name for this request of Linux and macOS, so the system is asked directly.
"""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
"""Linux, <fcntl.h>: a path is taken from the current folder.  The paths given here are absolute anyway."""
_RENAME_EXCHANGE = 2
"""Linux, <linux/fs.h>; see renameat2(2)."""
_RENAME_SWAP = 2
"""macOS, <sys/stdio.h>; see renamex_np(2)."""
_CANNOT = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM)
"""A system, a disk or a sandbox that does not know the request.  EPERM: some sandboxes answer so."""


def exchange(one: Path, other: Path) -> bool:
    """Whether the two changed places.  False, with nothing done, where this system or disk knows no such step.

    Both must exist on one disk.  Any other trouble is raised as OSError.
    """
    asked = _ask(os.fsencode(one), os.fsencode(other))
    if asked is None or asked in _CANNOT:
        return False
    if asked:
        raise OSError(asked, os.strerror(asked), str(other))
    return True


def _ask(one: bytes, other: bytes) -> int | None:
    """0 where it is done, else the system's error number; None where there is nobody to ask."""
    try:
        if sys.platform == "linux":
            library = ctypes.CDLL(None, use_errno=True)
            done = library.renameat2(_AT_FDCWD, one, _AT_FDCWD, other, ctypes.c_uint(_RENAME_EXCHANGE))
        elif sys.platform == "darwin":
            library = ctypes.CDLL(None, use_errno=True)
            done = library.renamex_np(one, other, ctypes.c_uint(_RENAME_SWAP))
        else:
            return None
    except (OSError, AttributeError):  # a C library without it, such as musl before 1.2.6
        return None
    return 0 if done == 0 else ctypes.get_errno()
