"""Do the lowest versions that pyproject.toml allows still work?  An environment of just those, a build, core tests.

    python tests/dependencies/lowest.py

Every library of the runtime, of signing and of the tests is installed at its lower bound; what these need in turn comes
as pip chooses it.  The wheel is built by the lowest hatchling and builds the small job from outside of the checkout.
Needs the package index.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
EXTRAS = ("sign", "test")
CORE = (
    "tests/record", "tests/tables", "tests/test_units.py", "tests/test_problems.py", "tests/test_words.py",
    "tests/test_photos.py", "tests/test_qr.py", "tests/test_reminders.py", "tests/test_engraving.py",
    "tests/test_labels.py", "tests/test_signing.py", "tests/test_manifest.py", "tests/test_output.py",
    "tests/test_cli.py", "tests/test_site_builder.py", "tests/test_pdf_labels.py", "tests/test_pdf_typesetting.py",
    "tests/test_pdf_blocks.py", "tests/checks/test_worked_examples.py", "tests/checks/test_power_flow.py",
)  # fmt: skip


def lowest(requirement: str) -> str:
    """``pillow>=11,<14`` as ``pillow==11``."""
    found = re.fullmatch(r"([\w.-]+)>=([\d.]+),<[\d.]+", requirement)
    if found is None:
        sys.exit(f"{requirement}: write a lower and an upper bound, like  name>=1.2,<3")
    return f"{found[1]}=={found[2]}"


def wanted() -> list[str]:
    """All that is installed, each pinned to its lower bound."""
    said = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    project = said["project"]
    asked = [*said["build-system"]["requires"], *project["dependencies"]]
    asked += [each for extra in EXTRAS for each in project["optional-dependencies"][extra]]
    return sorted(set(map(lowest, asked)))


def run(*words: str | Path, cwd: Path = ROOT) -> None:
    """One command; the script ends with its status where that is not 0."""
    print("$", *words, flush=True)
    without = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run([str(word) for word in words], cwd=cwd, env=without, check=False)
    if done.returncode:
        sys.exit(done.returncode)


def main() -> None:
    """Install, build, test."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--keep", type=Path, help="Make the environment here, and keep it.")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        place = given.keep or Path(scratch) / "environment"
        run(sys.executable, "-m", "venv", place)
        python = place / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        run(python, "-m", "pip", "install", "--quiet", *wanted())
        run(python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation", ROOT)
        shutil.copytree(ROOT / "tests" / "small_job", Path(scratch) / "job")
        run(python, "-I", "-m", "handover", "build", "job", "--out", "pack", "--quiet", cwd=Path(scratch))
        run(python, "-I", "-m", "handover", "verify", "pack", cwd=Path(scratch))
        run(python, "-m", "pytest", "-q", "-n0", "-p", "no:cacheprovider", *CORE)
    print("The lowest versions work:", *wanted())


if __name__ == "__main__":
    main()
