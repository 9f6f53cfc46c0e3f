"""The long form: builds that are killed, that run out of room, and that meet each other.  Linux; the second needs root.

    python tests/crashes/run.py --kills 200 --sizes 20 --pairs 50

Each time a whole pack stands at its place beforehand.  Afterwards a whole one must stand there, the old or the new, and
one more build must leave nothing beside it.  Ends with status 1 where that was not so.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))
JOB = ROOT / "tests" / "small_job"


def command(out: Path) -> list[str]:
    return [sys.executable, "-m", "handover", "build", str(JOB), "--out", str(out), "--quiet"]


def begun(out: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        command(out), cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True
    )


def is_whole(out: Path) -> bool:
    """Whether a pack stands there, every file as its manifest says."""
    from handover.verifying import verify

    found = verify(out)
    return not found.differences and found.files > 20


def beside(out: Path) -> list[str]:
    return sorted(path.name for path in out.parent.iterdir() if path != out)


def kills(count: int, folder: Path, dice: random.Random) -> Counter[str]:
    """Builds killed at random moments, every other one with all its helpers."""
    out, ended = folder / "pack", Counter[str]()
    start = time.monotonic()
    assert begun(out).wait() == 0
    length = time.monotonic() - start
    for number in range(count):
        running = begun(out)
        time.sleep(dice.uniform(0, length * 1.05))
        if running.poll() is None:
            (os.killpg if number % 2 else os.kill)(running.pid, signal.SIGKILL)
        running.communicate()
        ended["killed" if running.returncode < 0 else "ended before"] += 1
        ended["whole" if out.is_dir() and is_whole(out) else "BROKEN"] += 1
        if number % 20 == 19:
            ended["cleared" if begun(out).wait() == 0 and beside(out) == [] else "LEFT OVER"] += 1
    return ended


def sizes(count: int) -> Counter[str]:
    """Builds on a disk too small for them: a file system in memory of that size, with the old pack on it."""
    ended = Counter[str]()
    with tempfile.TemporaryDirectory() as name:
        measured = Path(name) / "pack"
        assert begun(measured).wait() == 0
        pack = sum(path.stat().st_blocks * 512 for path in measured.rglob("*"))
    for number in range(count):
        room = int(pack * (1.1 + 1.4 * number / count))
        with tempfile.TemporaryDirectory() as name:
            subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={room}", "tmpfs", name], check=True)
            try:
                out = Path(name) / "pack"
                subprocess.run(["cp", "-a", str(_kept()), str(out)], check=True)
                done = subprocess.run(command(out), cwd=ROOT, capture_output=True, text=True, check=False)
                said = done.stdout + done.stderr
                plain = done.returncode == 0 or (done.returncode == 2 and "Traceback" not in said)
                ended["built" if done.returncode == 0 else "told" if plain else "NOT TOLD"] += 1
                ended["whole" if is_whole(out) else "BROKEN"] += 1
                ended["cleared" if beside(out) == [] else "LEFT OVER"] += 1
                if not plain:
                    print(said)
            finally:
                subprocess.run(["umount", name], check=True)
    return ended


def _kept() -> Path:
    """An old pack to begin from, built once."""
    kept = Path(tempfile.gettempdir()) / f"handover-crashes-{os.getpid()}"
    if not kept.exists():
        assert begun(kept).wait() == 0
    return kept


def pairs(count: int, folder: Path, dice: random.Random) -> Counter[str]:
    """Two builds into one place, begun at nearly the same time: both must end well."""
    out, ended = folder / "pack", Counter[str]()
    for _ in range(count):
        first = begun(out)
        time.sleep(dice.uniform(0, 1.0))
        second = begun(out)
        good = first.wait() == 0 and second.wait() == 0
        ended["both built" if good else "NOT BUILT"] += 1
        ended["whole" if is_whole(out) and beside(out) == [] else "BROKEN"] += 1
    return ended


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--sizes", type=int, default=20)
    parser.add_argument("--pairs", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    dice, every = random.Random(told.seed), Counter[str]()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for what, ended in (
            ("kills", kills(told.kills, _made(folder / "a"), dice) if told.kills else Counter()),
            ("sizes", sizes(told.sizes) if told.sizes else Counter()),
            ("pairs", pairs(told.pairs, _made(folder / "b"), dice) if told.pairs else Counter()),
        ):
            print(what, dict(ended), flush=True)
            every += ended
    return 1 if any(kind.isupper() for kind in every) else 0


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


if __name__ == "__main__":
    sys.exit(main())
