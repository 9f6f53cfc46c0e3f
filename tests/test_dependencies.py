"""What the project depends on: bounds on both sides, a reason for each, and no network while it works."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
SMALL_JOB = ROOT / "tests" / "small_job"
SAID = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RUNTIME = SAID["project"]["dependencies"]
EXTRAS = SAID["project"]["optional-dependencies"]
ALL = sorted({*RUNTIME, *(each for extra in EXTRAS.values() for each in extra), *SAID["build-system"]["requires"]})
AGREED = {
    "mkdocs", "mkdocs-material", "jinja2", "pint", "pyyaml", "segno", "pytest", "pydantic", "pillow", "icalendar",
    "click",
}  # fmt: skip


def section(title: str) -> str:
    """A part of DEVELOPERS.md, from its heading to the next of the same rank."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return re.split(r"^## ", text.split(f"\n## {title}\n")[1], maxsplit=1, flags=re.MULTILINE)[0]


@pytest.mark.parametrize("written", ALL)
def test_a_dependency_has_a_lower_and_an_upper_bound(written):
    bounds = {each.operator: each.version for each in Requirement(written).specifier}
    assert set(bounds) == {">=", "<"}
    assert Requirement(written).marker is None
    assert Requirement(written).url is None


@pytest.mark.parametrize("written", [*RUNTIME, *EXTRAS["sign"], *EXTRAS["test"]])
def test_what_is_installed_here_lies_within_the_bounds(written):
    assert version(Requirement(written).name) in Requirement(written).specifier


def test_one_library_has_the_same_bounds_wherever_it_is_written():
    seen: dict[str, str] = {}
    for written in ALL:
        name = Requirement(written).name.lower()
        assert seen.setdefault(name, written) == written


@pytest.mark.parametrize("written", [each for each in ALL if Requirement(each).name.lower() not in AGREED])
def test_a_further_dependency_has_its_reason(written):
    """A row of the table for what is installed with us, a word in the lines below it for tests and building."""
    name = Requirement(written).name.lower()
    told = section("Dependencies").lower()
    if written in RUNTIME:
        assert re.search(rf"^\| [^|]*\b{re.escape(name)}\b[^|]*\| [^|]{{3,}} \|", told, re.MULTILINE), name
    else:
        assert re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", told), name


def test_nothing_outside_is_imported_that_is_not_declared():
    """Every library that the package imports is one that pyproject.toml names, not one that came along with another."""
    names = {"yaml": "pyyaml", "PIL": "pillow", "fontTools": "fonttools", "zxingcpp": "zxing-cpp"}
    declared = {Requirement(each).name.lower() for each in [*RUNTIME, *EXTRAS["sign"]]} | {"handover", "pydantic_core"}
    found = set()
    for path in (ROOT / "handover").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            whole = [each.name for each in node.names] if isinstance(node, ast.Import) else []
            whole += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            libraries = {each.split(".")[0] for each in whole} - sys.stdlib_module_names
            found |= {names.get(each, each) for each in libraries}
    assert found <= declared, found - declared
    assert len(found) > 10


# Every Python process below this one begins by reading sitecustomize; whatever asks for a network is written down with
# the process that did, and refused.
_WATCH = """
import os, sys

def watch(event, given):
    if event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr",
                 "socket.sendto", "socket.sendmsg", "urllib.Request", "http.client.connect"):
        with open(os.environ["NETWORK_WATCHED"], "a", encoding="utf-8") as file:
            file.write(f"{event} {given[1:]} {sys.argv[:3]}\\n")
        raise PermissionError(f"no network here: {event}")

with open(os.environ["NETWORK_WATCHED"] + ".started", "a", encoding="utf-8") as file:
    file.write(f"{sys.orig_argv[:5]}\\n")
sys.addaudithook(watch)
"""


@pytest.fixture
def watched(tmp_path):
    """Run a command with every Python process of it watched: its result, what it asked for, who was started."""
    (tmp_path / "watch").mkdir()
    (tmp_path / "watch" / "sitecustomize.py").write_text(_WATCH, encoding="utf-8")
    record = tmp_path / "asked.txt"
    path = os.pathsep.join([str(tmp_path / "watch"), str(ROOT)])
    # The proxies would turn a name into an address of this machine.
    kept = {name: value for name, value in os.environ.items() if "proxy" not in name.lower()}
    environment = kept | {"PYTHONPATH": path, "NETWORK_WATCHED": str(record)}

    def run(*words: str) -> tuple[subprocess.CompletedProcess[str], str, list[str]]:
        done = subprocess.run([sys.executable, *words], cwd=tmp_path, env=environment, capture_output=True, text=True,
                              encoding="utf-8", check=False)  # fmt: skip
        started = Path(f"{record}.started").read_text(encoding="utf-8").splitlines()
        return done, record.read_text(encoding="utf-8") if record.exists() else "", started

    return run


def test_no_network_is_asked_for(watched, tmp_path):
    pack = str(tmp_path / "pack")
    for words in (("check", str(SMALL_JOB)), ("build", str(SMALL_JOB), "--out", pack), ("verify", pack)):
        done, asked, started = watched("-m", "handover", *words)
        assert done.returncode == 0, done.stderr + done.stdout
        assert asked == ""
    assert sum("mkdocs" in each for each in started) >= 2, "the site builders were not watched"


@pytest.mark.parametrize("inner", [False, True], ids=["itself", "its child"])
@pytest.mark.parametrize(
    "ask",
    [
        "import socket; socket.create_connection(('127.0.0.1', 9))",
        "import socket; socket.getaddrinfo('packs.example', 443)",
        "import socket; socket.socket(socket.AF_INET, socket.SOCK_DGRAM).sendto(b'x', ('192.0.2.1', 9))",
        "import urllib.request; urllib.request.urlopen('https://packs.example/')",
    ],
)
def test_the_watch_sees_whoever_asks(watched, ask, inner):
    code = f"import subprocess, sys; sys.exit(subprocess.call([sys.executable, '-c', {ask!r}]))" if inner else ask
    done, asked, _ = watched("-c", code)
    assert done.returncode != 0
    assert "no network here" in done.stderr
    assert asked


def test_the_long_form_does_not_pass_where_there_is_a_network():
    """``tests/dependencies/no_network.py`` would prove nothing there, and says so; without one it does its work."""
    script = ROOT / "tests" / "dependencies" / "no_network.py"
    done = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, encoding="utf-8", check=False)
    if done.returncode:
        assert "There is a network here" in done.stderr
    else:
        assert "Checked, built and verified without a network." in done.stdout
