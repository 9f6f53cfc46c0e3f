"""The long form: whole jobs altered in places, each through check, every so many through drawings, labels and pages.

    python tests/fuzzing/records.py --records 5000 --workers 2

Prints how many were refused, checked and made; the numbers of those with a fault are printed with it, and make the same
input again.  Ends with status 1 where there was one.
"""

from __future__ import annotations

import argparse
import sys
import time
import traceback
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def one(number: int, every: int) -> tuple[str, str, float, float]:
    """What came of an input: how it ended, the fault if any, seconds, and this process's memory so far in MiB."""
    from fuzzing.mutants import altered_job
    from fuzzing.targets import memory_peak, whole_journey

    begun = time.perf_counter()
    try:
        ended, fault = whole_journey(altered_job(number), pages=number % every == 0), ""
    except Exception:  # every kind of exception is a fault here
        ended, fault = "fault", f"input {number}: {traceback.format_exc(limit=-4)}"
    return ended, fault, time.perf_counter() - begun, memory_peak()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=5000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--pages-every", type=int, default=10)
    parser.add_argument("--workers", type=int, default=2)
    told = parser.parse_args()
    ended: Counter[str] = Counter()
    slowest = largest = 0.0
    with ProcessPoolExecutor(told.workers) as pool:
        numbers = range(told.first, told.first + told.records)
        for how, fault, seconds, memory in pool.map(partial(one, every=told.pages_every), numbers, chunksize=20):
            ended[how] += 1
            slowest, largest = max(slowest, seconds), max(largest, memory)
            if fault:
                print(fault, flush=True)
    print(f"{told.records} records: {dict(ended)}; slowest {slowest:.1f} s, most memory {largest:.0f} MiB")
    return 1 if ended["fault"] or largest > 1024 else 0


if __name__ == "__main__":
    sys.exit(main())
