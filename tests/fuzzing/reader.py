"""The long form: the reader of job files under a coverage-guided fuzzer (atheris), or under plain chance.

    python tests/fuzzing/reader.py --inputs 200000 --workers 2

Ends with status 1 at the first fault of a worker, and keeps its input in the folder given with --keep.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def _worker(inputs: int, seed: int, keep: Path) -> None:
    import atheris

    with atheris.instrument_imports(include=["handover"]):
        from handover.record import reader, yaml_reader  # noqa: F401 - loaded here to be watched
    from fuzzing.mutants import seeds
    from fuzzing.targets import LONGEST, MOST_MEMORY, memory_peak, read_or_refuse

    corpus = Path(tempfile.mkdtemp(prefix="fuzz-corpus-"))
    for number, data in enumerate(seeds()):
        (corpus / f"{number:04}").write_bytes(data)
    words = sorted({word for data in seeds() for word in data.decode(errors="ignore").split() if 2 < len(word) < 30})
    (dictionary := corpus.with_suffix(".dict")).write_text(
        "".join(f'"{word}"\n' for word in words if word.replace(":", "").replace("_", "").isalnum()), encoding="ascii",
        errors="ignore",
    )  # fmt: skip
    read = 0

    def one(data: bytes) -> None:
        nonlocal read
        read += read_or_refuse(data)
        if memory_peak() > MOST_MEMORY:
            raise AssertionError(f"more than {MOST_MEMORY} MiB")

    atheris.Setup(
        [sys.argv[0], f"-atheris_runs={inputs}", f"-seed={seed}", f"-timeout={LONGEST:.0f}", "-max_len=5000",
         f"-rss_limit_mb={MOST_MEMORY}", f"-dict={dictionary}", f"-artifact_prefix={keep}/", "-print_final_stats=1",
         str(corpus)],
        one,
    )  # fmt: skip
    atheris.Fuzz()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=200_000)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "fuzz-faults")
    parser.add_argument("--worker", action="store_true", help=argparse.SUPPRESS)
    told = parser.parse_args()
    told.keep.mkdir(parents=True, exist_ok=True)
    if told.worker:
        _worker(told.inputs, told.seed, told.keep)
        return 0
    try:
        import atheris  # noqa: F401
    except ModuleNotFoundError:
        print("atheris is missing. Install it:  pip install -e '.[test,fuzzing]'", file=sys.stderr)
        return 2
    each = -(-told.inputs // told.workers)
    running = [
        subprocess.Popen(
            [sys.executable, __file__, "--worker", f"--inputs={each}", f"--seed={told.seed + n}", f"--keep={told.keep}"]
        )
        for n in range(told.workers)
    ]
    failed = sum(process.wait() != 0 for process in running)
    print(f"{each * told.workers} inputs, {failed} of {told.workers} workers found a fault")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
