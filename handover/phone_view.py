"""The posted pages in the frame of a phone, for whoever looks at a pack while writing it.  No part of any pack."""

from __future__ import annotations

import html
from pathlib import Path

WIDTH, HEIGHT = 360, 740
"""CSS pixels of the phone whose first screen the pages are made for."""
_FIRST = ("index.html", "trouble.html", "switch-off.html")


def phone_view(posted: Path, at: str) -> str:
    """A page with the posted edition in a phone's frame, and links that open each of its main pages there.

    ``posted``: the folder that holds the pages; ``at``: its address as seen from this page.
    """
    pages = [name for name in _FIRST if (posted / name).is_file()]
    pages += sorted(path.relative_to(posted).as_posix() for path in posted.glob("[A-Z]*/index.html"))
    links = "\n".join(
        f'<li><a href="{html.escape(f"{at}/{page}")}" target="phone">{html.escape(_called(page))}</a></li>'
        for page in pages
    )
    return _PAGE.format(width=WIDTH, height=HEIGHT, start=html.escape(f"{at}/index.html"), links=links)


def _called(page: str) -> str:
    return page.removesuffix("/index.html").removesuffix(".html")


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Phone view</title>
<style>
body {{ display: flex; flex-wrap: wrap; gap: 2rem; margin: 1.5rem; font: 1rem/1.5 system-ui, sans-serif; }}
iframe {{ width: {width}px; height: {height}px; border: 12px solid #333; border-radius: 28px; background: #fff; }}
div {{ flex: 1; min-width: 18rem; }}
ul {{ columns: 3; margin: 0; padding-left: 1.2rem; }}
</style>
</head>
<body>
<iframe name="phone" src="{start}" title="The posted page, {width} by {height}"></iframe>
<div>
<h1>Phone view</h1>
<p>What somebody sees who scans a code: {width} by {height}. What ends above the lower edge needs no scrolling.
For dark mode, set this computer to dark.</p>
<ul>
{links}
</ul>
</div>
</body>
</html>
"""
