"""Build, check and verify the small job where there is no network at all (Linux, as root or with user namespaces).

    unshare --net --map-root-user python tests/dependencies/no_network.py

The suite's own test watches what Python asks for; here the system has no network, whatever a library written in another
language may try.  Ends with an error where an address outside could be reached after all.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
JOB = ROOT / "tests" / "small_job"


def reachable() -> bool:
    """Whether this process can send to an outside address (one kept for documents by RFC 5737; nothing is sent)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return False
    return True


def main() -> None:
    """The three commands, one after the other."""
    if reachable():
        sys.exit("There is a network here. Start it as its first lines say; unshare is part of util-linux.")
    with tempfile.TemporaryDirectory() as scratch:
        pack = str(Path(scratch) / "pack")
        for words in (("check", str(JOB)), ("build", str(JOB), "--out", pack, "--quiet"), ("verify", pack)):
            subprocess.run([sys.executable, "-m", "handover", *words], cwd=ROOT, check=True)
    print("Checked, built and verified without a network.")


if __name__ == "__main__":
    main()
