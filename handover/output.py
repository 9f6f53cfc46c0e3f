"""The output folder: built beside the old one and swapped in at the end, so that nothing published is lost.

A build works in a folder of its own beside the target, ``.NAME.new-xxxxxxxx``: the new pack, what it is made from, and
for a moment the old pack.  A lock beside the target lets one build at a time work on it, so whoever holds the lock
knows that any other such folder is left over from a build that was killed, and clears it away.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from handover.exchange import exchange
from handover.problems import JobProblems, one_problem

MARKER = ".handover-pack"
"""A file that says a folder was made by ``handover build``, and may be made again."""
MARKER_TEXT = "This folder is written by: handover build. Anything added here is lost at the next build.\n"
_WORKING = ".handover-work"
"""A file that says a folder beside the target is a build's own, and may be cleared away once that build is dead."""
_WAIT_SECONDS = 120.0
_FSYNC_THREADS = 16  # most of the wait is the disk's, and it settles many files in one go
_REMEDIES = {
    errno.ENOSPC: "The disk is full: free some space and build again.",
    errno.EDQUOT: "Your share of the disk is used up: free some space and build again.",
    errno.EFBIG: "A file grew larger than the system allows: free the limit, or name another folder with --out.",
    errno.EROFS: "The disk can only be read: name a folder elsewhere with --out.",
    errno.EBUSY: "Something holds the folder, such as a mount or an open program: name a folder inside it with --out.",
    errno.EIO: "The disk reports a fault: name a folder on another disk with --out, and look after this one.",
}
_NO_LEAVE = "You may not write there: name another folder with --out, or ask for leave to write."


@contextlib.contextmanager
def replacing(out: Path, *, job: Path | None = None, say: Callable[[str], object] | None = None) -> Iterator[Path]:
    """A fresh folder to build in.  It takes the place of ``out`` when the block ends well; else ``out`` stays.

    ``out`` holds the old pack whole or the new one whole at every moment, also where the process is killed; on systems
    that cannot exchange two folders in one step, a kill between two renames leaves the old pack beside ``out``, and
    the next build puts it back first.  Raises JobProblems where ``out`` holds something that no build made, would
    swallow ``job``, is being written by another build all along, or cannot be written.
    """
    target = out.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target, say):
            _clear_up(target)
            _refuse_strangers(target, out, job)
            workspace = _workspace(target)
            try:
                fresh = workspace / "pack"
                fresh.mkdir()
                (fresh / MARKER).write_text(MARKER_TEXT, encoding="utf-8", newline="\n")
                yield fresh
                _settle(fresh)
                _swap(fresh, target)
            finally:
                _remove(workspace)
    except OSError as error:
        told = _told(error, out, target)
        if told is None:
            raise
        raise told from None


def scratch_beside(fresh: Path) -> Path:
    """A folder for what the fresh one is made from: on the same disk, and gone with the build, also a killed one."""
    scratch = fresh.with_name("scratch")
    scratch.mkdir(exist_ok=True)
    return scratch


@contextlib.contextmanager
def _alone(target: Path, say: Callable[[str], object] | None) -> Iterator[None]:
    """Hold the target's lock.  The system lets go of it when the process ends, however it ends."""
    from filelock import FileLock, Timeout  # noqa: PLC0415 - costs 50 ms that only a build need pay

    lock = FileLock(target.with_name(f".{target.name}.lock"))
    try:
        try:
            lock.acquire(timeout=0)
        except Timeout:
            if say is not None:
                say("Another build of this pack is at work; waiting for it")
            lock.acquire(timeout=_WAIT_SECONDS)
    except Timeout:
        what = f"another build has been writing this pack for {_WAIT_SECONDS:.0f} seconds"
        raise one_problem(str(target), what, "Let it end, or stop it, and build again.") from None
    try:
        yield
    finally:
        # Taken away while still held: who waits for it sees that the file is gone and makes a new one (filelock
        # looks whether the file it locked still has a name).  Windows refuses, and the empty file stays.
        with contextlib.suppress(OSError):
            Path(lock.lock_file).unlink()
        lock.release()


def _workspace(target: Path) -> Path:
    """A new folder beside the target, readable like any other: what is published comes out of it."""
    made = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
    made.chmod(0o755)
    (made / _WORKING).touch()
    return made


def _left_over(target: Path) -> list[Path]:
    """The workspaces of dead builds: our name, a real folder, and our marker in it or nothing at all."""
    named = re.compile(rf"\.{re.escape(target.name)}\.new-[a-z0-9_]{{8}}")
    found = [path for path in target.parent.iterdir() if named.fullmatch(path.name)]
    folders = [path for path in found if path.is_dir() and not path.is_symlink()]
    return [path for path in folders if (path / _WORKING).is_file() or not any(path.iterdir())]


def _clear_up(target: Path) -> None:
    for dead in _left_over(target):
        old = dead / "old"
        if not target.exists() and (old / MARKER).is_file():
            old.rename(target)
        _remove(dead)


def _remove(workspace: Path) -> None:
    """Take a workspace away, its marker last, so that one half removed is still known as ours."""
    with contextlib.suppress(OSError):
        for path in workspace.iterdir():
            if path.name != _WORKING:
                shutil.rmtree(path, ignore_errors=True)
        if [path.name for path in workspace.iterdir()] == [_WORKING]:
            (workspace / _WORKING).unlink()
        workspace.rmdir()


def _refuse_strangers(target: Path, out: Path, job: Path | None) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise one_problem(str(out), "is a file, not a folder", "Name another folder with --out.")
    if any(target.iterdir()) and not (target / MARKER).is_file():
        what = "holds files that no build of a pack made"
        raise one_problem(str(out), what, "Name an empty or new folder with --out; nothing here was touched.")
    if job is not None and job.resolve().is_relative_to(target):
        what = f"holds the job itself ({job}), which a build there would sweep away"
        raise one_problem(str(out), what, "Name another folder with --out.")


def _settle(folder: Path) -> None:
    """Bring every file and folder safely to the disk: a power cut must not leave a pack of empty files in place."""
    every = [folder, *folder.rglob("*")]
    with ThreadPoolExecutor(_FSYNC_THREADS) as pool:
        list(pool.map(_to_disk, every))


def _to_disk(path: Path) -> None:
    if os.name == "nt" and path.is_dir():
        return  # Windows keeps its folders itself, and lets nobody ask
    file = os.open(path, os.O_RDWR if os.name == "nt" else os.O_RDONLY)
    try:
        os.fsync(file)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.ENOSYS):
            raise  # those three: a file system, such as some network shares, that knows no such request
    finally:
        os.close(file)


def _swap(fresh: Path, target: Path) -> None:
    if not target.exists():
        fresh.rename(target)
    elif not exchange(fresh, target):
        old = fresh.with_name("old")
        target.rename(old)
        try:
            fresh.rename(target)
        except OSError:
            old.rename(target)
            raise
    _to_disk(target.parent)


def _ours(path: Path, target: Path) -> bool:
    """Whether a path is the target, in it, on the way to it, or one of the files and folders that stand beside it."""
    if target.is_relative_to(path):
        return True
    below = path.relative_to(target.parent).parts if path.is_relative_to(target.parent) else ("",)
    return below[0] == target.name or below[0].startswith(f".{target.name}.")


def _told(error: OSError, out: Path, target: Path) -> JobProblems | None:
    """The trouble of writing as a problem with its remedy, or None where it has to do with something else."""
    remedy = _REMEDIES.get(error.errno or 0)
    if remedy is None:
        if not isinstance(error.filename, str | bytes) or not _ours(Path(os.fsdecode(error.filename)), target):
            return None
        remedy = _NO_LEAVE if error.errno in (errno.EACCES, errno.EPERM) else "Name another folder with --out."
    return one_problem(str(out), f"the pack could not be written here ({error.strerror})", remedy)
