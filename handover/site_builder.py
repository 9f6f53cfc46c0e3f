"""Pages to a static site.  The only module that knows mkdocs: another builder is this file and its test.

mkdocs 1.x sees no more releases and the theme announces its end, so nothing of ours is a plugin or a hook: a complete
folder of Markdown and a written configuration go in, one subprocess runs, finished HTML comes out.
"""

from __future__ import annotations

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
_NEVER_PUBLISHED = ("sitemap.xml", "sitemap.xml.gz", "search", "assets", "404.html")
"""What mkdocs or the theme adds that a pack must not have.

A listing of its pages; files that no page uses; a page for addresses that are not there, which only a host can serve
and whose links hold only at the top of a host.
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


def write_tree(site: Site, name: str, files: Mapping[str, bytes]) -> None:
    """Write what mkdocs reads: one ``.md`` a page (its body one raw HTML block), files as they are, configuration."""
    docs = site.tree / "docs"
    for page in site.pages:
        target = docs / page.path.replace(".html", ".md")
        target.parent.mkdir(parents=True, exist_ok=True)
        head = f"---\ntitle: {json.dumps(page.title)}\nreader: {page.reader}\n---\n\n"
        target.write_text(f'{head}<div class="page">\n{page.body}\n</div>\n', encoding="utf-8", newline="\n")
    for path, content in files.items():
        target = docs / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
    (site.tree / "mkdocs.yml").write_text(_configuration(name), encoding="utf-8", newline="\n")


def _configuration(name: str) -> str:
    """The top-level mkdocs.yml, with what only this build knows.  JSON is YAML, so JSON quotes any text safely."""
    own = {
        "INHERIT": str(shipped("mkdocs.yml").resolve()),
        "site_name": name,
        "docs_dir": "docs",
        "theme": {"custom_dir": str(shipped("site_templates", "theme").resolve())},
    }
    return "".join(f"{key}: {json.dumps(value)}\n" for key, value in own.items())


def run_builder(*sites: Site) -> None:
    """Build several sites at once, one process each.  Raises SiteFault with what a failing one printed."""
    environment = dict(os.environ, NO_MKDOCS_2_WARNING="1", PYTHONDONTWRITEBYTECODE="1", SOURCE_DATE_EPOCH="0")
    running = []
    for site in sites:
        command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict"]
        # mkdocs reads a relative site folder from where the configuration stands, so it is given in full.
        command += ["--config-file", str(site.tree / "mkdocs.yml"), "--site-dir", str(site.into.resolve())]
        started = subprocess.Popen(  # noqa: S603 - our own interpreter, no shell, paths we made
            command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8"
        )
        running.append(started)
    printed = [process.communicate()[0] for process in running]
    for process, said in zip(running, printed, strict=True):
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
