"""One turn: the job with payloads and its control, both built by the command a user types, and all that is judged."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser

from tests.injection.browsing import Seen, differences, look, pages_of, served, squeezed
from tests.injection.files import (
    data_faults,
    drawing_faults,
    missing,
    name_faults,
    paper_faults,
    paper_text,
    record_faults,
    up_to_what_turns,
)
from tests.injection.jobs import Job, filled
from tests.injection.terminal import commands_in

ROOT = Path(__file__).parent.parent.parent
FROM_DISK = ("index.html", "about.html", "C1/index.html", "P1/index.html", "care.html", "findings.html", "labels.html")

SAID = "said.txt"
"""What the build of the job told, beside the packs."""


@dataclass
class Turn:
    """What a turn came to: faults in words, and figures to be told."""

    job: Job
    control: Job
    packs: tuple[Path, Path]
    faults: list[str] = field(default_factory=list)
    figures: Counter[str] = field(default_factory=Counter)


def built(groups: Sequence[Sequence[str]], turn: int, scratch: Path) -> Turn:
    """Both jobs written and built below ``scratch``, at once; only read where another test process has built them."""
    jobs = filled(groups, turn), filled(groups, turn, harmless=True)
    packs = scratch / "pack", scratch / "control-pack"
    done = scratch / SAID
    if not done.exists():
        done.write_bytes(_built(jobs, packs, scratch))
    said = done.read_bytes().decode()
    made = Turn(*jobs, packs)
    made.faults += [f"build tells {what}" for what in commands_in(said)]
    made.figures["places"] = len(made.job.placed)
    return made


def _built(jobs: tuple[Job, Job], packs: tuple[Path, Path], scratch: Path) -> bytes:
    processes = []
    for job, name, pack in zip(jobs, ("job", "control"), packs, strict=True):
        folder = job.write(scratch / name)
        words = ["-m", "handover", "build", str(folder), "--out", str(pack), "--label-sheet", "letter-6"]
        processes.append(
            subprocess.Popen([sys.executable, *words], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        )
    said = [process.communicate()[0] for process in processes]
    assert [process.returncode for process in processes] == [0, 0], b"\n".join(said).decode()
    return said[0]


def words_alone(text: str) -> str:
    """A text squeezed, without the lines below letters that a page takes out of a rule's name."""
    return squeezed(text.replace("_", " "))


def judge_pages(turn: Turn, browser: Browser) -> None:
    """Every page from a server with the policy left out, so that only escaping counts; some from disk with it."""
    found, control = (_seen(browser, pack) for pack in turn.packs)
    turn.faults += [*found.faults, *differences(found, control)]
    told, by_control = words_alone(found.text), words_alone(control.text)
    whole, lost = missing(turn.job, turn.control, told, by_control, words_alone)
    turn.faults += [f"not on any page: {what}" for what in lost]
    turn.figures["pages"] += len(found.pages)
    turn.figures["shown on pages"] += whole
    some = [path for path in pages_of(turn.packs[0]) if path.partition("/")[2].endswith(FROM_DISK)]
    from_disk = look(browser, turn.packs[0], f"{turn.packs[0].as_uri()}/", some, without_policy=False)
    turn.faults += [f"from disk: {what}" for what in from_disk.faults]
    turn.figures["pages from disk"] += len(from_disk.pages)


def _seen(browser: Browser, pack: Path) -> Seen:
    with served(pack) as base:
        return look(browser, pack, base, pages_of(pack), without_policy=True)


def judge_files(turn: Turn, folder: Path) -> None:
    """All that is no page."""
    pack, control = turn.packs
    turn.faults += [
        *name_faults(pack, turn.job),
        *record_faults(pack, folder),
        *drawing_faults(pack, control),
        *data_faults(pack, control, turn.job),
        *paper_faults(pack),
    ]
    turn.figures["drawings"] += len(list(pack.rglob("*.svg")))
    for name in ("owner/pack.pdf", "owner/labels.pdf"):
        told, by_control = paper_text(pack / name, turn.job), paper_text(control / name, turn.control)
        whole, lost = missing(
            turn.job, turn.control, told, by_control, up_to_what_turns, pieces=3, cut=name == "owner/labels.pdf"
        )
        turn.faults += [f"not in {name}: {what}" for what in lost]
        turn.figures[f"shown in {name}"] += whole
