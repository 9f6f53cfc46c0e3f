"""Whole-process times of check and build on the demo, beside what they cannot do without.

Run by hand:  python tests/benchmarks/whole_process.py [ROUNDS]
Prints seconds (the median of ROUNDS runs) and the ratios that DEVELOPERS.md states the aims for.  Compare ratios of one
run only: seconds depend on the machine and on what else it is doing.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "demo_property"
IMPORTS_ONLY = "import pydantic, yaml, click, pint; pint.UnitRegistry()"


def seconds(*command: str | Path) -> float:
    """Wall time of one process that must end well."""
    # As an installed program runs: with its bytecode kept, like that of the libraries beside it.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    subprocess.run([sys.executable, *map(str, command)], cwd=ROOT, env=environment, check=True, capture_output=True)
    return time.perf_counter() - begun


def main() -> None:
    """Time each pair in turn, alternating, so that a busy moment strikes both."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    with tempfile.TemporaryDirectory() as scratch:
        out = Path(scratch) / "pack"
        build = ("-m", "handover", "build", DEMO, "--out", out, "--keep-tree", "--quiet")
        seconds(*build)  # fills the photo cache, so that the timed builds do no photo work
        tree = Path(scratch) / "tree"
        (out / "tree").rename(tree)
        bare = ("-m", "mkdocs", "build", "--quiet", "-f", tree / "posted" / "mkdocs.yml", "-d", Path(scratch) / "bare")
        timed = {
            "imports only": ("-c", IMPORTS_ONLY),
            "check": ("-m", "handover", "check", DEMO),
            "bare build of one edition's tree": bare,
            "build of both editions, photos cached": build,
        }
        times: dict[str, list[float]] = {name: [] for name in timed}
        for _ in range(rounds):
            for name, command in timed.items():
                times[name].append(seconds(*command))
    middle = {name: statistics.median(taken) for name, taken in times.items()}
    for name, taken in middle.items():
        print(f"{taken:7.2f} s  {name}")
    imports, check, one, both = middle.values()
    print(f"{check / imports:7.2f}    check / imports only (aim 1.30)")
    print(f"{both / one / 2:7.2f}    build / bare build, an edition (aim 1.25)")


if __name__ == "__main__":
    main()
