"""Every page of a pack as a browser takes it: what ran, what was asked for, what was made of it, what it says."""

from __future__ import annotations

import base64
import functools
import hashlib
import http.server
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Browser, BrowserContext, Error

POLICY = {
    "default-src": "'none'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "base-uri": "'none'",
    "form-action": "'none'",
}
"""The content security policy of the owner's pages: no script, frame or form at all, styles and pictures of its own."""
POSTED_POLICY = POLICY | {"script-src": "'self'", "worker-src": "'self'", "connect-src": "'self'"}
"""That of the posted pages: besides, scripts that are files of the pack, and none written into a page.

From within a page a program that looks it over may ask the pack's own host (for robots.txt), and no other one.
"""
SINGLE = "pack.html"
"""All pages in one file: no script at all, and its own styles told by their digest."""
_STYLES = re.compile("<style>(.*?)</style>", re.DOTALL)
_PICTURE = re.compile(r"data:image/webp;base64,[A-Za-z0-9+/]+=*")
_SCRIPT = re.compile(r"(\.\./)*keep\.js")

# What a page is made of.  Where a drawing breaks its lines depends on the width of letters, so of drawings only the
# kinds of elements count; of the rest every element in its order.
_LOOK = """() => {
    const made = [], drawn = new Set(), ids = [], leads = [], said = [];
    for (const element of document.querySelectorAll('*')) {
        const names = element.getAttributeNames().sort();
        const kind = `${element.namespaceURI} ${element.tagName} ${names} .${element.getAttribute('class') ?? ''}`;
        if (element.closest('svg')) drawn.add(kind); else made.push(`${kind} #${element.id}`);
        if (element.id) ids.push(element.id);
        for (const name of ['href', 'src', 'srcset', 'action', 'data', 'poster', 'xlink:href', 'style', 'formaction'])
            if (element.hasAttribute(name)) leads.push([element.tagName, name, element.getAttribute(name)]);
        for (const name of ['alt', 'title', 'aria-label', 'content', 'aria-labelledby'])
            if (element.hasAttribute(name)) said.push(element.getAttribute(name));
    }
    const walker = document.createTreeWalker(document, NodeFilter.SHOW_COMMENT);
    let comments = 0;
    while (walker.nextNode()) comments++;
    const policy = document.querySelector('head > meta[http-equiv="Content-Security-Policy"]');
    const before = policy && [...document.querySelectorAll('script, link, style, img')].filter(
        each => policy.compareDocumentPosition(each) & Node.DOCUMENT_POSITION_PRECEDING).length;
    return {made, drawn: [...drawn].sort(), ids, leads, comments, said: [document.title, ...said],
        text: document.documentElement.textContent, ran: window.ran ?? null,
        policy: policy && policy.getAttribute('content'), before};
}"""
_RELATIVE = re.compile(r"(\.\./)*[A-Za-z0-9][A-Za-z0-9./_-]*(#[A-Za-z0-9-]+)?|#[A-Za-z0-9-]+")
_PHONE = re.compile(r"tel:\+?\d+")


@dataclass
class Seen:
    """What was seen of a pack's pages: path to what the page is made of, and every fault in words."""

    pages: dict[str, dict[str, Any]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """All that all pages say, white space squeezed."""
        return squeezed("\n".join("\n".join((page["text"], *page["said"])) for page in self.pages.values()))


def squeezed(text: str) -> str:
    """A text with each run of white space as one space."""
    return " ".join(text.split())


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The address below which a folder is served, on this computer alone."""
    handler = functools.partial(_Quiet, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}/"
        server.shutdown()


def pages_of(pack: Path) -> list[str]:
    """The pages of both editions, by path within the pack."""
    return sorted(
        path.relative_to(pack).as_posix()
        for part in ("owner", "posted")
        for path in pack.joinpath(part).rglob("*.html")
    )


def look(browser: Browser, pack: Path, base: str, paths: list[str], *, without_policy: bool) -> Seen:
    """Open pages in a browser.  ``without_policy``: as if no policy forbade anything, so that escaping alone counts."""
    context = browser.new_context(bypass_csp=without_policy)
    try:
        return _look(context, pack, base, paths)
    finally:
        context.close()


def _look(context: BrowserContext, pack: Path, base: str, paths: list[str]) -> Seen:
    seen, now = Seen(), [""]
    page = context.new_page()

    def fault(what: str) -> None:
        seen.faults.append(f"{now[0]}: {what}")

    def asked(url: str) -> None:
        inside = unquote(url.removeprefix(base).partition("#")[0].partition("?")[0])
        if url != "data:," and not (url.startswith(base) and "?" not in url and pack.joinpath(inside).is_file()):
            fault(f"asks for {url}")

    page.on("request", lambda request: asked(request.url))
    page.on("console", lambda line: fault(f"console: {line.text}"))
    page.on("pageerror", lambda error: fault(f"error: {error}"))
    page.on("dialog", lambda dialog: (fault("a dialog"), dialog.dismiss()))
    page.on("popup", lambda _: fault("a window"))
    for path in paths:
        now[0] = path
        try:
            page.goto(base + path, wait_until="load")
            found = page.evaluate(_LOOK)
        except Error as broken:  # such as a page that leads away by itself while it is looked at
            fault(broken.message)
            continue
        seen.pages[path] = found
        if page.url != base + path:
            fault(f"went to {page.url}")
        if found["ran"] is not None:
            fault(f"ran {found['ran']}")
        told = dict(part.strip().split(" ", 1) for part in (found["policy"] or "x x").split(";"))
        if told != policy_of(pack, path):
            fault(f"policy {found['policy']}")
        if found["before"]:
            fault("something stands before the policy")
        if found["comments"]:
            fault("a comment was made")
        if len(found["ids"]) != len(set(found["ids"])):
            fault("an id stands twice")
        for tag, name, value in found["leads"]:
            if not lawful(tag, name, value):
                fault(f"{tag} {name} leads to {value}")
    return seen


def policy_of(pack: Path, path: str) -> dict[str, str]:
    """The content security policy that a page must have."""
    if Path(path).name == SINGLE:
        (styles,) = _STYLES.findall(pack.joinpath(path).read_text(encoding="utf-8"))
        digest = base64.b64encode(hashlib.sha256(styles.encode()).digest()).decode()
        return POLICY | {"style-src": f"'sha256-{digest}'", "img-src": "data:"}
    return POSTED_POLICY if path.startswith("posted/") else POLICY


def lawful(tag: str, name: str, value: str) -> bool:
    """Whether an address in a page is one that our templates make: a file of the pack, a place in the page, a phone."""
    if name == "srcset":
        return all(_RELATIVE.fullmatch(part.split()[0]) for part in value.split(", "))
    if tag == "LINK" and value == "data:,":
        return True
    if tag == "image":
        return bool(_PICTURE.fullmatch(value))
    if tag == "SCRIPT":
        return bool(_SCRIPT.fullmatch(value))
    if name not in ("href", "src"):
        return False
    return bool(_RELATIVE.fullmatch(value) or (tag == "A" and _PHONE.fullmatch(value))) and not urlsplit(value).netloc


def differences(found: Seen, control: Seen) -> list[str]:
    """Where pages are made of something else than those of the control."""
    faults = [f"pages only in one: {sorted(found.pages.keys() ^ control.pages.keys())}"]
    faults = faults if found.pages.keys() != control.pages.keys() else []
    for path in found.pages.keys() & control.pages.keys():
        one, other = found.pages[path], control.pages[path]
        if one["made"] != other["made"]:
            pairs = zip(one["made"], other["made"], strict=False)
            first = next((pair for pair in pairs if pair[0] != pair[1]), (len(one["made"]), len(other["made"])))
            faults.append(f"{path}: {first[0]} where the control has {first[1]}")
        if set(one["drawn"]) != set(other["drawn"]):
            faults.append(f"{path}: drawn {set(one['drawn']) ^ set(other['drawn'])}")
        if set(one["ids"]) != set(other["ids"]):
            faults.append(f"{path}: ids {set(one['ids']) ^ set(other['ids'])}")
    return faults
