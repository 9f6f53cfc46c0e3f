"""The long form: every payload in every text field that takes it, ten or so in a text, in as many turns as it takes.

    python tests/injection/run.py                 # all turns
    python tests/injection/run.py --turns 2       # the first two

Each turn builds a job and its control and looks at every page and file of both.  Needs a Chromium on PATH.  Ends with
status 1 where anything was more than text.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "browser")]


def main() -> int:
    from chromium import chromium

    from tests.injection.jobs import fields, groups_of
    from tests.injection.payloads import ACCEPTED, REFUSED
    from tests.injection.refusals import not_refused, of_several_lines
    from tests.injection.turns import built, judge_files, judge_pages

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", type=int, default=10, help="payloads in one text")
    parser.add_argument("--turns", type=int, default=None)
    told = parser.parse_args()
    groups = groups_of(told.size)
    faults: list[str] = []
    figures: Counter[str] = Counter()
    pairs: set[tuple[str, str]] = set()
    begun = time.monotonic()
    with chromium() as browser:
        for number in range(len(groups) if told.turns is None else told.turns):
            with tempfile.TemporaryDirectory(prefix="handover-injection-") as scratch:
                turn = built(groups, number, Path(scratch))
                judge_pages(turn, browser)
                judge_files(turn, Path(scratch) / "job")
            pairs |= {(placed.path, payload) for placed in turn.job.placed for payload in placed.payloads}
            figures += turn.figures
            faults += [f"turn {number}: {what}" for what in turn.faults]
            print(
                f"turn {number}: {len(turn.faults)} faults, {time.monotonic() - begun:.0f} s",
                *turn.faults,
                sep="\n  ",
                flush=True,
            )
    refused = 0
    for payload in REFUSED:
        count, missed = not_refused(payload)
        refused += count
        faults += missed
    count, missed = of_several_lines()
    refused += count
    faults += missed
    free = sum(each.free for each in fields().values())
    print(
        f"{len(ACCEPTED)} payloads and {len(REFUSED)} that no record may hold, {free} text fields and every fact's note"
    )
    print(f"{len(pairs)} pairs of field and payload built, {refused} refused in words")
    print(f"sums over all turns: {dict(figures)}")
    print(*faults[:50], f"{len(faults)} faults", sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
