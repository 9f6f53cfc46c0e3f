"""The demo pack, built once for all tests that look at a finished site."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from filelock import FileLock

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def demo_pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The finished demo pack, built by the command a user types; shared by all test processes."""
    # Beside the folders of the other processes of this run; one process alone has a folder of its own for the run.
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    out = shared / "demo-pack"
    with FileLock(str(shared / "demo-pack.lock")):
        if not out.exists():
            command = [sys.executable, "-m", "handover", "build", str(ROOT / "demo_property"), "--out", str(out)]
            done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False)
            assert done.returncode == 0, done.stderr + done.stdout
    return out
