"""The browser that the browser tests drive.  A missing one fails the test with the install line: no silent skip."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, sync_playwright

_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]


@contextmanager
def chromium() -> Iterator[Browser]:
    """A headless Chromium from PATH."""
    path = next((found for name in _NAMES if (found := shutil.which(name))), None)
    assert path, "no Chromium on PATH; install it:  apt-get install chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=_ARGUMENTS)
        yield browser
        browser.close()
