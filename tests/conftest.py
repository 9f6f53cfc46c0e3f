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
    return _built("demo", ROOT / "demo_property", tmp_path_factory)


@pytest.fixture(scope="session")
def crowded_pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The finished pack of the house with the longest names and the fullest panels; made as the demo pack is."""
    return _built("crowded", ROOT / "tests" / "crowded_house", tmp_path_factory)


def _built(name: str, job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    # Beside the folders of the other processes of this run; one process alone has a folder of its own for the run.
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    out = shared / f"{name}-pack"
    with FileLock(str(shared / f"{name}-pack.lock")):
        if not out.exists():
            command = [sys.executable, "-m", "handover", "build", str(job), "--out", str(out)]
            done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False)
            assert done.returncode == 0, done.stderr + done.stdout
    return out
