"""What a terminal is told: nothing that commands it, turns its writing round or cannot be seen."""

from __future__ import annotations

import os
import subprocess
import sys
import unicodedata
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent


def commands_in(said: str) -> list[str]:
    """Every control, format or unassigned sign of an output but the ends of lines, by number."""
    kinds = ((sign, unicodedata.category(sign)) for sign in said if sign != "\n")
    return sorted({f"U+{ord(sign):04X}" for sign, kind in kinds if kind in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")})


def run(*words: str | bytes, folder: Path = ROOT) -> tuple[int, str]:
    """The command line with these words: status and everything it tells, with the bytes it tells it in."""
    command = [os.fsencode(sys.executable), b"-m", b"handover", *map(os.fsencode, words)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}
    done = subprocess.run(
        command, cwd=folder, env=environment, stdin=subprocess.DEVNULL, capture_output=True, check=False, timeout=120
    )
    return done.returncode, (done.stdout + done.stderr).decode("utf-8")
