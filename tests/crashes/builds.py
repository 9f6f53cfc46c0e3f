"""Builds to be killed, starved of room, or set against each other, and what must be true of a pack afterwards."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from handover.verifying import verify

ROOT = Path(__file__).parent.parent.parent
JOB = ROOT / "tests" / "small_job"
HELD_TO_A_ROOM = Path(__file__).parent / "held_to_a_room"


@dataclass(frozen=True)
class Place:
    """A folder with a whole pack in it, and beside it what its builds have for temporary files."""

    out: Path
    temporary: Path

    @classmethod
    def prepared(cls, folder: Path, kept: Path) -> Place:
        """A new place with a copy of the pack ``kept`` in it."""
        place = cls(folder / "packs" / "pack", folder / "temporary")
        place.out.parent.mkdir(parents=True)
        place.temporary.mkdir()
        shutil.copytree(kept, place.out)
        return place

    def begun(self, **environment: str) -> subprocess.Popen[str]:
        """A build of the small job into this place, in a process group of its own."""
        return subprocess.Popen(
            [sys.executable, "-m", "handover", "build", str(JOB), "--out", str(self.out), "--quiet"],
            cwd=ROOT,
            env={**os.environ, "TMPDIR": str(self.temporary), **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )

    def built(self, **environment: str) -> tuple[int, str]:
        """How a build ended that nobody disturbed, and what it said."""
        running = self.begun(**environment)
        said, _ = running.communicate()
        return running.returncode, said

    def is_whole(self) -> bool:
        """Whether a pack stands there, every file as its manifest says."""
        if not self.out.is_dir():
            return False
        found = verify(self.out)
        return not found.differences and found.files > 20

    def left_over(self) -> list[str]:
        """What stands beside the pack, or among the temporary files."""
        found = [path for folder in (self.out.parent, self.temporary) for path in folder.iterdir() if path != self.out]
        return sorted(path.name for path in found)


def killed(place: Place, seconds: float, *, with_helpers: bool) -> Counter[str]:
    """A build killed after so long, alone or with every process it started.  Words in capitals tell of a loss."""
    running = place.begun()
    time.sleep(seconds)
    if running.poll() is None:
        (os.killpg if with_helpers else os.kill)(running.pid, signal.SIGKILL)
    running.communicate()  # until its helpers, which write to the same pipe, have ended too
    ended = Counter({"killed" if running.returncode < 0 else "ended before": 1})
    ended["whole" if place.is_whole() else "BROKEN"] += 1
    stray = list(place.temporary.iterdir())
    ended["nothing outside" if not stray else "LEFT OUTSIDE"] += 1
    return ended


def cleared(place: Place) -> Counter[str]:
    """One more build, which must end well and leave nothing of its dead forerunners."""
    status, said = place.built()
    ended = Counter({"built again" if status == 0 else "NOT BUILT": 1})
    ended["cleared" if place.left_over() == [] else "LEFT OVER"] += 1
    if status:
        print(said)
    return ended


def starved(place: Place, **environment: str) -> Counter[str]:
    """A build with too little room, or just enough: it ends well or tells why not, and the pack is whole."""
    status, said = place.built(**environment)
    told = status == 2 and "Traceback" not in said and "free some space" in said
    ended = Counter({"built" if status == 0 else "told" if told else "NOT TOLD": 1})
    ended["whole" if place.is_whole() else "BROKEN"] += 1
    ended["cleared" if place.left_over() == [] else "LEFT OVER"] += 1
    if status and not told:
        print(said)
    return ended


def held_to(room: int, place: Place) -> dict[str, str]:
    """The environment in which a build, wherever it runs, finds the disk full at ``room`` bytes beside its pack."""
    return {"PYTHONPATH": str(HELD_TO_A_ROOM), "HELD_FOLDER": str(place.out.parent), "HELD_ROOM": str(room)}


def two_at_once(place: Place, apart: float) -> Counter[str]:
    """Two builds into one place, begun nearly at the same time: both must end well."""
    first = place.begun()
    time.sleep(apart)
    second = place.begun()
    said = [running.communicate()[0] for running in (first, second)]
    good = first.returncode == 0 == second.returncode
    ended = Counter({"both built" if good else "NOT BUILT": 1})
    ended["whole" if place.is_whole() else "BROKEN"] += 1
    ended["cleared" if place.left_over() == [] else "LEFT OVER"] += 1
    if not good:
        print(*said)
    return ended


def losses(ended: Counter[str]) -> dict[str, int]:
    """What of all that must never be."""
    return {what: count for what, count in ended.items() if what.isupper()}


def size_of(folder: Path) -> int:
    """Bytes of all files in a folder."""
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def size_on_disk(folder: Path) -> int:
    """Bytes of the pages of memory or disk that all files and folders in it take up."""
    return sum(path.stat().st_blocks * 512 or 4096 for path in folder.rglob("*"))


def moments(count: int, length: float, dice: random.Random) -> list[float]:
    """Moments spread over a build of ``length`` seconds, one at random in each of as many equal parts."""
    return [(place + dice.random()) * length / count for place in range(count)]
