"""Serving a pack while it is written."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from handover.problems import JobProblems
from handover.serve import rebuild, serve_job, state_of

SMALL = Path(__file__).parent / "small_job"


def test_the_pack_is_shown_on_this_computer_and_built_again_after_a_change(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    command = [sys.executable, "-u", "-m", "handover", "serve", str(job), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8") as serving:
        try:
            owner = serving.stdout.readline().split()[-1]
            posted = serving.stdout.readline().split()[-1]
            phone = serving.stdout.readline().split()[-1]
            assert owner.startswith("http://127.0.0.1:")
            with urllib.request.urlopen(phone, timeout=10) as page:
                shown = page.read().decode()
            framed = re.search(r'<iframe name="phone" src="([^"]+)"', shown)[1]
            first, *_, last = re.findall(r'href="([^"]+)" target="phone"', shown)
            assert first == framed
            assert last.endswith("/index.html")
            for address in (owner, posted, *(f"{phone.rpartition('/')[0]}/{page}" for page in (first, last))):
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


def test_a_network_is_shown_the_posted_edition_and_no_listing(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    command = [sys.executable, "-u", "-m", "handover", "serve", str(job), "--port", "0", "--lan"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8") as serving:
        try:
            posted = serving.stdout.readline().split()[-1]
            home = re.sub(r"//[^/:]+:", "//127.0.0.1:", posted)
            with urllib.request.urlopen(home, timeout=10) as page:
                assert b"<h1" in page.read()
            top = home.split("/", 3)[0:3]
            for hidden in ("", "owner/index.html", "../owner/index.html", "phone.html"):
                with pytest.raises(urllib.error.HTTPError, match="404"):
                    urllib.request.urlopen("/".join([*top, hidden]), timeout=10)
        finally:
            serving.kill()


def test_a_port_that_is_taken_is_a_problem_with_a_remedy(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(JobProblems, match="--port"):
            serve_job(job, job / "pack", everywhere=False, port=taken.getsockname()[1], say=str)


def test_the_pack_itself_is_not_watched(tmp_path):
    job = Path(shutil.copytree(SMALL, tmp_path / "job"))
    before = state_of(job, job / "pack")
    (job / "pack").mkdir()
    (job / "pack" / "index.html").write_text("x")
    assert state_of(job, job / "pack") == before
    (job / "job.yaml").write_text("changed")
    assert state_of(job, job / "pack") != before
