"""From a fresh checkout to the demo pack, or to a full test run, with nothing but Python, pip and (for tests) apt.

Run as a script, before anything is installed:  ``python3 handover/first_run.py demo``  or  ``... tests``.
Uses the standard library alone.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

_ROOT = Path(__file__).resolve().parent.parent
_ENVIRONMENT = _ROOT / ".venv"
_TOOLS = _ROOT / ".venv-tools"
_BIN = _ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin")
_PYTHON = _BIN / ("python.exe" if os.name == "nt" else "python")
_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")


def _run(*command: str | Path) -> None:
    words = [str(word) for word in command]
    print("$ " + " ".join(words), flush=True)
    done = subprocess.run(words, cwd=_ROOT, check=False)  # noqa: S603 - our own words, no shell
    if done.returncode:
        sys.exit(done.returncode)


def _make_environment() -> None:
    if _PYTHON.exists():
        return
    made = subprocess.run([sys.executable, "-m", "venv", str(_ENVIRONMENT)], check=False, capture_output=True)  # noqa: S603
    if made.returncode:
        # Debian and Ubuntu leave ensurepip out of their Python; virtualenv, from pip, does not need it.
        shutil.rmtree(_ENVIRONMENT, ignore_errors=True)
        _run(sys.executable, "-m", "pip", "install", "--quiet", "--target", _TOOLS, "virtualenv")
        os.environ["PYTHONPATH"] = str(_TOOLS)
        _run(sys.executable, "-m", "virtualenv", "--quiet", _ENVIRONMENT)
        del os.environ["PYTHONPATH"]


def _need_programs() -> None:
    """Some tests need Chromium, openssl or faketime; without them they fail with this same install line."""
    missing = [] if any(shutil.which(name) for name in _BROWSERS) else ["chromium"]
    missing += [name for name in ("openssl", "faketime") if not shutil.which(name)]
    if not missing:
        return
    if shutil.which("apt-get"):
        as_root = [] if not hasattr(os, "geteuid") or os.geteuid() == 0 else ["sudo"]
        _run(*as_root, "apt-get", "update", "-qq")
        _run(*as_root, "apt-get", "install", "-y", "-qq", *missing)
    else:
        sys.exit(f"The tests need {' and '.join(missing)} on PATH; install that and run this again.")


def demo() -> None:
    """Build the demo pack into ``pack``."""
    _make_environment()
    _run(_PYTHON, "-m", "pip", "install", "--quiet", "--editable", ".")
    _run(_PYTHON, "-m", "handover", "build", "demo_property", "--out", "pack")


def tests() -> None:
    """Lint, type check, then every test."""
    _make_environment()
    _need_programs()
    _run(_PYTHON, "-m", "pip", "install", "--quiet", "--editable", ".[test]")
    _run(_PYTHON, "-m", "ruff", "check", ".")
    _run(_PYTHON, "-m", "ruff", "format", "--check", ".")
    _run(_PYTHON, "-m", "mypy")
    _run(_PYTHON, "-m", "pytest", "-q", "-n", "2", *sys.argv[2:])


def main() -> None:
    """Do what the first word asks."""
    wanted = {"demo": demo, "tests": tests}.get(sys.argv[1] if len(sys.argv) > 1 else "")
    if wanted is None:
        sys.exit("Say what to do:  demo  or  tests")
    if sys.version_info < (3, 11):  # noqa: UP036 - nothing has checked the version yet when this runs
        sys.exit("Python 3.11 or later is needed.")
    wanted()


if __name__ == "__main__":
    main()
