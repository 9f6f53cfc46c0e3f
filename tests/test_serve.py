"""Serving a pack while it is written."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from handover.serve import rebuild, state_of

SMALL = Path(__file__).parent / "small_job"


def test_the_pack_is_shown_on_this_computer_and_built_again_after_a_change(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    command = [sys.executable, "-u", "-m", "handover", "serve", str(job), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8") as serving:
        try:
            owner = serving.stdout.readline().split()[-1]
            posted = serving.stdout.readline().split()[-1]
            assert owner.startswith("http://127.0.0.1:")
            for address in (owner, posted):
                with urllib.request.urlopen(address, timeout=10) as page:
                    assert b"<h1" in page.read()
            assert "Watching" in serving.stdout.readline()
            file = job / "job.yaml"
            file.write_text(file.read_text("utf-8") + "\n# looked at again\n", encoding="utf-8")
            assert serving.stdout.readline().startswith("Built again:")
        finally:
            serving.send_signal(signal.SIGINT if os.name != "nt" else signal.CTRL_C_EVENT)
            deadline = time.monotonic() + 10
            while serving.poll() is None and time.monotonic() < deadline:
                time.sleep(0.1)
            serving.kill()


def test_a_fault_keeps_the_last_good_pack(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    out = job / "pack"
    assert rebuild(job, out).startswith("Built again:")
    (job / "job.yaml").write_text("job: [", encoding="utf-8")
    told = rebuild(job, out)
    assert "not valid YAML" in told
    assert told.endswith("The pack shown is the one from before.")
    assert (out / "owner" / "index.html").is_file()


def test_the_pack_itself_is_not_watched(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    before = state_of(job, job / "pack")
    (job / "pack").mkdir()
    (job / "pack" / "index.html").write_text("x")
    assert state_of(job, job / "pack") == before
    (job / "job.yaml").write_text("changed")
    assert state_of(job, job / "pack") != before
