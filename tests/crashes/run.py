"""The long form: builds that are killed, that run out of room, and that meet each other.  Linux; the second needs root.

    python tests/crashes/run.py --kills 200 --sizes 20 --pairs 50

Each time a whole pack stands at its place beforehand.  Afterwards a whole one must stand there, the old or the new, and
one more build must leave nothing beside it, nor among the system's temporary files.  Ends with status 1 where that was
not so.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from tests.crashes.builds import Place, cleared, killed, losses, moments, size_on_disk, starved, two_at_once


@contextmanager
def mounted(size: int) -> Iterator[Path]:
    """A file system in memory of that many bytes."""
    with tempfile.TemporaryDirectory() as name:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", name], check=True)
        try:
            yield Path(name)
        finally:
            subprocess.run(["umount", name], check=True)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--sizes", type=int, default=20)
    parser.add_argument("--pairs", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    dice, lost = random.Random(told.seed), 0

    def say(what: str, ended: Counter[str]) -> int:
        print(what, dict(ended), flush=True)
        return sum(losses(ended).values())

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kept = folder / "kept"
        first = Place(kept, folder)
        start = time.monotonic()
        status, said = first.built()
        assert status == 0, said
        length = time.monotonic() - start

        place, ended = Place.prepared(folder / "kills", kept), Counter[str]()
        for number, moment in enumerate(dice.sample(moments(told.kills, length * 1.05, dice), told.kills)):
            ended += killed(place, moment, with_helpers=number % 2 == 1)
            if number % 20 == 19:
                ended += cleared(place)
        ended += cleared(place)
        lost += say("kills", ended)

        ended, pack = Counter[str](), size_on_disk(kept)
        for number in range(told.sizes):
            # From barely more than the old pack to more than both need: the last must end well.
            with mounted(int(pack * (1.1 + 3.9 * number / max(1, told.sizes - 1)))) as small:
                ended += starved(Place.prepared(small, kept))
        lost += say("sizes", ended)

        place, ended = Place.prepared(folder / "pairs", kept), Counter[str]()
        for _ in range(told.pairs):
            ended += two_at_once(place, dice.uniform(0, length))
        lost += say("pairs", ended)
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
