"""Pages to a static site.  The only module that knows mkdocs: another builder is this file and its test.

mkdocs 1.x sees no more releases and the theme announces its end, so nothing of ours is a plugin or a hook: a complete
folder of Markdown and a written configuration go in, one subprocess runs, finished HTML comes out.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from handover.pack import Drawing, Page
from handover.resources import shipped

_DRAWING = re.compile(r"<!-- drawing ([A-Za-z0-9-]+) -->")
_FENCE = re.compile(r"^([ \t]*)([`~])(?=\2\2)", re.MULTILINE)
"""A line that begins with three of these signs: Markdown looks for fenced code before it looks for HTML."""
_NEVER_PUBLISHED = ("sitemap.xml", "sitemap.xml.gz", "search", "assets", "404.html")
"""What mkdocs or the theme adds that a pack must not have.

A listing of its pages; files that no page uses; a page for addresses that are not there, which only a host can serve
and whose links hold only at the top of a host.
"""


_NO_ROOM_STATUS = 74
"""How a builder ends that could not write, with number, words and file as its last line.  As in <sysexits.h>."""
_WAIT_THEN_BUILD = f"""
import json, os, sys, threading
import markdown.extensions.fenced_code, markdown.extensions.tables, markdown.extensions.toc
import material, mkdocs.commands.build, mkdocs.config.defaults
from mkdocs.__main__ import cli
def end_with_the_one_who_asked():
    while os.read(0, 1):
        pass
    os._exit(1)
order = sys.stdin.readline()
if order:
    threading.Thread(target=end_with_the_one_who_asked, daemon=True).start()
    try:
        cli(json.loads(order))
    except OSError as error:
        print()
        print(json.dumps([error.errno, error.strerror, error.filename]))
        sys.exit({_NO_ROOM_STATUS})
"""
"""Loads all that mkdocs loads for a build, then waits for its command line as one line of JSON.

Its standard input stays open while it builds: that it closes tells that the process that asked was killed, and nobody
wants the site any more.
"""


class SiteFault(Exception):
    """The site builder itself failed.  The message is what it printed: a fault of ours, not of the record."""


@dataclass(frozen=True, slots=True)
class Site:
    """One edition on its way through the builder: its written tree and the folder the finished site goes to."""

    tree: Path
    into: Path
    pages: tuple[Page, ...]
    drawings: Mapping[str, Drawing]


def write_tree(site: Site, name: str, files: Mapping[str, bytes], script: str = "") -> None:
    """Write what mkdocs reads: one ``.md`` a page (its body one raw HTML block), files as they are, configuration.

    ``script``: the one of the files that each page runs; none where it is empty.
    """
    docs = site.tree / "docs"
    for page in site.pages:
        target = docs / page.path.replace(".html", ".md")
        target.parent.mkdir(parents=True, exist_ok=True)
        title = json.dumps(page.title, ensure_ascii=False)
        head = f"---\ntitle: {title}\nreader: {page.reader}\nlanguage: {page.language}\n---\n\n"
        body = _FENCE.sub(lambda found: f"{found[1]}&#{ord(found[2])};", page.body)
        target.write_text(f'{head}<div class="page">\n{body}\n</div>\n', encoding="utf-8", newline="\n")
    for path, content in files.items():
        target = docs / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
    (site.tree / "mkdocs.yml").write_text(_configuration(name, script), encoding="utf-8", newline="\n")


def _configuration(name: str, script: str) -> str:
    """The top-level mkdocs.yml, with what only this build knows.  JSON is YAML, so JSON quotes any text safely."""
    own = {
        "INHERIT": str(shipped("mkdocs.yml").resolve()),
        "site_name": name,
        "docs_dir": "docs",
        "extra": {"script": script},
        "theme": {"custom_dir": str(shipped("site_templates", "theme").resolve())},
    }
    return "".join(f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in own.items())


class Builders:
    """Site builders that are started early and then wait for their site: loading the builder takes as long as building.

    A context manager; processes that were handed nothing, or that still run when it ends, are stopped.
    """

    def __init__(self, count: int) -> None:
        environment = dict(os.environ, NO_MKDOCS_2_WARNING="1", SOURCE_DATE_EPOCH="0", PYTHONUTF8="1")
        self._waiting = [
            subprocess.Popen(  # noqa: S603 - our own interpreter, no shell
                [sys.executable, "-c", _WAIT_THEN_BUILD],
                env=environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                encoding="utf-8",
                errors="replace",
            )
            for _ in range(count)
        ]
        self._building: list[subprocess.Popen[str]] = []

    def __enter__(self) -> Builders:
        return self

    def __exit__(self, *_: object) -> None:
        for process in [*self._waiting, *self._building]:
            if process.poll() is None:
                process.kill()
            process.communicate()

    def begin(self, site: Site) -> None:
        """Let a waiting builder build ``site``.  There must be one left."""
        # mkdocs reads a relative site folder from where the configuration stands, so it is given in full.
        words = ["build", "--quiet", "--strict", "--config-file", str(site.tree / "mkdocs.yml")]
        order = json.dumps([*words, "--site-dir", str(site.into.resolve())]) + "\n"
        process = self._waiting.pop()
        assert process.stdin is not None
        with contextlib.suppress(OSError):  # it died early; what it printed is told by wait()
            process.stdin.write(order)
            process.stdin.flush()
        self._building.append(process)

    def wait(self) -> None:
        """Until every site that was begun is built.

        Raises OSError where a builder could not write, and SiteFault with what it printed where it failed otherwise.
        """
        for process in self._building:
            assert process.stdout is not None
            said = process.stdout.read()  # not communicate(), which would close its standard input at once
            if process.wait() == _NO_ROOM_STATUS:
                raise OSError(*json.loads(said.splitlines()[-1]))
            if process.returncode:
                raise SiteFault(f"the site builder ended with status {process.returncode}:\n{said}")


def finish(site: Site) -> None:
    """Put the drawings in, and take out what no page uses."""
    for page in site.pages:
        file = site.into / page.path
        html = file.read_text(encoding="utf-8")
        filled = _DRAWING.sub(lambda found: site.drawings[found[1]].svg, html)
        file.write_text(filled, encoding="utf-8", newline="\n")
    for name in _NEVER_PUBLISHED:
        unwanted = site.into / name
        if unwanted.is_dir():
            shutil.rmtree(unwanted)
        else:
            unwanted.unlink(missing_ok=True)
