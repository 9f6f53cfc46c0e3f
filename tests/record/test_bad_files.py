"""Files that no record should be, and values at the ends of what can be written: refused in words, at their place.

The limits are those of the table in DEVELOPERS.md; more faults stand in ``tests/bad_jobs`` and ``test_yaml_reader.py``.
"""

from __future__ import annotations

import errno
import os
import threading
from pathlib import Path

import pytest
from test_bad_jobs import GOOD

from handover.problems import JobProblems
from handover.record import job_files
from handover.record.reader import MAX_FILES, read_job, read_record
from handover.record.yaml_reader import MAX_BYTES, MAX_DEPTH, MAX_NODES, read_yaml

GOOD_TEXT = (GOOD / "job.yaml").read_text(encoding="utf-8")
LINES = GOOD_TEXT.splitlines()


@pytest.fixture
def folder(tmp_path):
    """The good job without its photo, in a folder that a test may spoil."""
    made = tmp_path / "job"
    made.mkdir()
    (made / "job.yaml").write_text(GOOD_TEXT.split("photos:")[0], encoding="utf-8")
    read_job(made)
    return made


def told(folder) -> list[str]:
    """What is said of the folder; a reader that waits for a pipe would be noticed, not waited for."""
    found: list[JobProblems] = []

    def read() -> None:
        with pytest.raises(JobProblems) as caught:
            read_job(folder)
        found.append(caught.value)

    reading = threading.Thread(target=read, daemon=True)
    reading.start()
    reading.join(20)
    assert not reading.is_alive(), "still waiting"
    assert all(problem.remedy for problem in found[0].problems)
    return [str(problem).splitlines()[0].replace(str(folder), "JOB") for problem in found[0].problems]


def test_a_folder_named_like_a_file(folder):
    (folder / "more.yaml").mkdir()
    assert told(folder) == ["more.yaml: is not a file but a folder, a pipe or a device"]


def test_a_pipe_is_not_waited_for(folder):
    os.mkfifo(folder / "more.yaml")
    assert told(folder) == ["more.yaml: is not a file but a folder, a pipe or a device"]


@pytest.mark.parametrize("target", ["/dev/zero", "/dev/null", "../outside.yaml", "nowhere.yaml", "more.yaml"])
def test_a_link_that_leaves_the_folder(folder, target):
    (folder.parent / "outside.yaml").write_text("private_notes: secret", encoding="utf-8")
    (folder / "more.yaml").symlink_to(target)
    assert told(folder) == ["more.yaml: is a link that leads out of the job's folder, or nowhere"]


def test_a_link_within_the_folder_is_followed(folder):
    (folder / "job.yaml").rename(folder / "kept.txt")
    (folder / "job.yaml").symlink_to("kept.txt")
    assert read_job(folder).job.title == "Car charger circuit"


def test_a_job_folder_may_be_a_link_itself(folder):
    (folder.parent / "link").symlink_to(folder, target_is_directory=True)
    assert read_job(folder.parent / "link").job.title == "Car charger circuit"


def refusing(monkeypatch, name: str, number: int) -> None:
    """Opening a file of this name is refused by the system, as it would be to somebody without its permission."""
    truly = os.open

    def opened(path, flags, *more):
        if Path(path).name == name:
            raise OSError(number, os.strerror(number), str(path))
        return truly(path, flags, *more)

    monkeypatch.setattr(job_files.os, "open", opened)


@pytest.mark.parametrize("number", [errno.EACCES, errno.EIO, errno.EBUSY])
def test_a_file_that_may_not_be_read(folder, monkeypatch, number):
    """A test may run as root, whom no permission stops: so the system's answer is given for it."""
    refusing(monkeypatch, "job.yaml", number)
    assert told(folder) == [f"job.yaml: cannot be read ({os.strerror(number)})"]


def test_a_folder_that_may_not_be_looked_into(folder, monkeypatch):
    def refused(path):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(type(folder), "iterdir", refused)
    assert told(folder) == ["JOB: cannot be looked into (Permission denied)"]


def test_a_folder_with_an_endless_name(tmp_path):
    with pytest.raises(JobProblems, match="cannot be looked into"):
        read_job(tmp_path / ("x" * 5000))


@pytest.mark.parametrize("data", [b"", b"\xef\xbb\xbf", b"# nothing\r\n", b"---\n"])
def test_a_file_that_holds_nothing(folder, data):
    (folder / "job.yaml").write_bytes(data)
    assert told(folder) in (["job.yaml: is empty"], ["job.yaml:1: the file does not hold named values"])


def test_too_many_files(folder):
    for number in range(MAX_FILES):
        (folder / f"{number}.yaml").touch()
    assert told(folder) == [f"JOB: holds {MAX_FILES + 1} .yaml files, and a job has {MAX_FILES} at the most"]


def test_a_file_that_is_too_large_is_not_read_to_its_end(folder):
    with (folder / "job.yaml").open("r+b") as file:
        file.truncate(50_000_000_000)  # a hole, which takes no room on the disk and would take all of the memory
    assert told(folder) == [f"job.yaml: the file is larger than {MAX_BYTES // 1_000_000} MB"]


def faults(text: str | bytes) -> list[str]:
    with pytest.raises(JobProblems) as found:
        read_record(read_yaml("job.yaml", text if isinstance(text, bytes) else text.encode()))
    assert all(problem.remedy for problem in found.value.problems)
    return [str(problem).splitlines()[0] for problem in found.value.problems]


@pytest.mark.parametrize(
    ("data", "first"),
    [
        (b"~\n", "job.yaml:1: the file does not hold named values"),
        ("a: 1\r\n".encode("utf-16"), "job.yaml:1: the file is not UTF-8 text"),
        ("a: 1\r\n".encode("utf-16-be"), "job.yaml:1: an invisible or control character (U+0000)"),
        ("a: 1\r\n".encode("utf-32-le"), "job.yaml:1: an invisible or control character (U+0000)"),
        ("a: 1\r\nb: Küche\r\n".encode("latin-1"), "job.yaml:2: the file is not UTF-8 text"),
        ("a: 1\nb: 5 \u03a9\n".encode("iso8859-7"), "job.yaml:2: the file is not UTF-8 text"),
        (b"a: 1\n---\nb: 2\n---\nc: 3\n", "job.yaml:2: a second document begins here (---)"),
        (b"a: x\nb:\n\t- y\n", "job.yaml:3: not valid YAML: a tab"),
        (b"a: {" + b"b: {" * (MAX_DEPTH + 1), f"job.yaml:1: lists within lists deeper than {MAX_DEPTH} levels"),
        (b"a:\n" + b"- 1\n" * MAX_NODES, f"job.yaml:99999: more than {MAX_NODES} values in one file"),
        (b"a: " + b"x" * 1_000_000, "job.yaml:1: a text of 1000000 characters"),
        (b"x" * 1_000_000 + b": a", "job.yaml:1: a text of 1000000 characters"),
        (
            b"a: &l [x, x]\nb: &m [*l, *l]\nc: [*m, *m]\n",
            "job.yaml:1: &l is read as an anchor, and anchors are not used",
        ),
        (b"a: !!python/object/apply:os.system [true]\n", "job.yaml:1: the tag !!python/object/apply:os.system"),
    ],
    ids=lambda value: repr(value[:24]) if isinstance(value, bytes) else "-",
)
def test_a_file_that_is_no_record(data, first):
    found = faults(data)
    assert found[0].startswith(first), found[:3]
    assert all(len(line) < 300 for line in found)


@pytest.mark.parametrize(
    "sign", ["\xad", "\u034f", "\u115f", "\u200d", "\u202e", "\u2067", "\u206a", "\u2800", "\u3164"]
)
def test_a_name_with_signs_that_nobody_sees(sign):
    where = LINES.index("    name: House panel") + 1
    told = faults(GOOD_TEXT.replace("name: House panel", f"name: House{sign} panel"))
    assert told == [f"job.yaml:{where}: an invisible or control character (U+{ord(sign):04X})"]


@pytest.mark.parametrize("name", ["Küche", "Ku\u0308che", "日本語", "لوحة", "Voie d’accès", "\u26a0\ufe0f roof"])
def test_a_name_in_any_writing_is_read(name):
    text = GOOD_TEXT.replace("name: House panel", f"name: {name} panel")
    assert read_record(read_yaml("job.yaml", text.encode())).panels[1].name == f"{name} panel"


NUMBERS = {
    "1e999 A": "is not a unit this record knows",
    "-1e999 A": "is not a unit this record knows",
    "9" * 30 + " A": "is not a number this record can hold",
    "1" * 10_000 + " A": "is too long for one value",
    "1" * 10_000: "is too long for one value",
    "nan A": "is not a number with a unit",
    ".nan": "is not a number with a unit",
    "inf A": "is not a number with a unit",
    "-.inf": "is not a number with a unit",
    "-32 A": "is out of range",
    "٣٢ A": "is not a number with a unit",
    "3²2 A": "is not a unit this record knows",
    "32 A; 33 A": None,
}


@pytest.mark.parametrize("written", NUMBERS, ids=lambda text: text[:12])
def test_a_number_that_is_none(written):
    where = LINES.index("    load: 32 A") + 1
    (told,) = faults(GOOD_TEXT.replace("load: 32 A", f'load: "{written}"'))
    assert told.startswith(f'job.yaml:{where}: circuits C1 "Car charger", load: ')
    assert NUMBERS[written] is None or NUMBERS[written] in told
    assert len(told) < 200


@pytest.mark.parametrize("written", ["-5 ft", "-0.1 in", "1e999 ft", "nan ft", "9" * 60 + " ft", "5 ft -6 in"])
def test_a_length_that_is_none(written):
    where = LINES.index("        length: 12 ft 6 in") + 1
    (told,) = faults(GOOD_TEXT.replace("length: 12 ft 6 in", f"length: {written}"))
    assert told.startswith(f'job.yaml:{where}: runs R1 "Panel to carport", path entry 2 (straight), length: ')


@pytest.mark.parametrize("written", ["-3", "1e999", "9" * 19, "1" * 10_000, "nan", ".inf", "2.5", "0x10", "0"])
def test_a_count_that_is_none(written):
    where = LINES.index("    spaces: 20") + 1
    told = faults(GOOD_TEXT.replace("spaces: 20", f"spaces: {written}"))
    assert told[0].startswith(f'job.yaml:{where}: panels P1 "House panel", spaces: ')


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ("2026-02-30", "is not in the calendar"),
        ("2026-02-29", "is not in the calendar"),
        ("2026-13-01", "is not in the calendar"),
        ("2026-00-10", "is not in the calendar"),
        ("0000-01-01", "lies outside the years 1850 to 2200"),
        ("0001-01-01", "lies outside the years 1850 to 2200"),
        ("9999-12-31", "lies outside the years 1850 to 2200"),
        ("99999-01-01", "is not a date"),
        ("-2026-05-04", "is not a date"),
        ("2026-05-04T10:00", "is not a date"),
        ("٢٠٢٦-٠٥-٠٤", "is not a date"),
        ("1" * 10_000, "is too long for one value"),
    ],
    ids=lambda text: text[:16],
)
def test_a_date_that_is_none(written, what):
    where = LINES.index("    energized: 2026-05-04") + 1
    (told,) = faults(GOOD_TEXT.replace("energized: 2026-05-04", f"energized: {written}"))
    assert told.startswith(f"job.yaml:{where}: job, dates, energized: ")
    assert what in told


def test_a_panel_that_feeds_itself():
    without = "        feeds: F1\n", "  - code: F1\n    name: Feeder to the house panel\n"
    text = GOOD_TEXT.replace(without[0], "").replace(without[1], "  - code: F1\n    name: Round and round\n")
    where = LINES.index("  - code: P1")  # a line less above it
    told = faults(text.replace("        breaker: unknown\n", "        breaker: 60 A\n        feeds: F1\n"))
    assert told == [f'job.yaml:{where}: panels P1 "House panel": is fed from itself: P1 from P1']


@pytest.mark.parametrize("key", ["1", "true", "2026-01-01", "1.5", "0x1F", ".nan"])
def test_a_key_that_is_no_word_is_a_key_that_nobody_knows(key):
    """YAML would read numbers, truth values and dates; here they are text like any other, and named as written."""
    assert faults(f"{key}: a\n{GOOD_TEXT}") == [f'job.yaml:1: "{key}" is not a key this record knows']


@pytest.mark.parametrize("key", ["~", "null", "''", "[a]", "{a: b}", "? [x]\n", "? |\n  two\n  lines\n", "y" * 101])
def test_a_key_that_is_no_word_at_all(key):
    told = faults(f"{key}: a\n{GOOD_TEXT}")
    assert told == ["job.yaml:1: a key that is not a plain word"]
