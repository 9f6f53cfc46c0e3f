"""Is a known vulnerability on record for anything that is installed here?  Asks the Python Packaging Advisory Database.

    pip install -e '.[test,audit]'
    python tests/dependencies/audit.py

pip-audit asks the package index; ``-s osv`` asks osv.dev instead.  A package that it cannot ask about counts as
a failure: by itself pip-audit would end well where it could ask about none at all.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path


def main() -> None:
    """Ask, and end with pip-audit's own status: 0 where nothing is known against any package."""
    freeze = [sys.executable, "-m", "pip", "freeze", "--exclude-editable"]
    listed = subprocess.run(freeze, capture_output=True, text=True, encoding="utf-8", check=True).stdout
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "installed.txt"
        file.write_text(listed, encoding="utf-8")
        ask = [sys.executable, "-m", "pip_audit", "--strict", "--no-deps", "--disable-pip", "-r", str(file)]
        done = subprocess.run([*ask, *sys.argv[1:]], check=False)
    if done.returncode:
        print("Not all is well, or not all could be asked about; see above. Without pip_audit: pip install pip-audit")
    sys.exit(done.returncode)


if __name__ == "__main__":
    main()
