"""Without signal: the posted pages from what the browser kept, and the copies to keep, opened from disk."""

from __future__ import annotations

import functools
import http.server
import io
import re
import shutil
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from chromium import chromium
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Error, Page

from handover.offline import WORKER, write_worker
from handover.to_keep import ZIP
from handover.verifying import verify

ROOT = Path(__file__).parent.parent.parent
CONTROLLED = "() => navigator.serviceWorker && navigator.serviceWorker.controller !== null"
# The addresses below a folder that this origin keeps, under which names.
KEPT = """async folder => {
    const kept = {};
    for (const name of await caches.keys()) {
        const all = await (await caches.open(name)).keys();
        kept[name] = all.map(each => each.url.replace(folder, ""));
    }
    return kept;
}"""
PICTURES = """async () => {
    const all = [...document.images];
    for (const image of all) image.loading = "eager";
    await Promise.allSettled(all.map(image => image.decode()));
    return all.map(image => image.naturalWidth);
}"""


class Host:
    """A static host on this computer that can be slow, ill, or gone."""

    def __init__(self, folder: Path) -> None:
        self.status, self.wait = 200, 0.0
        host = self

        class Handler(http.server.SimpleHTTPRequestHandler):
            def do_GET(self) -> None:
                time.sleep(host.wait)
                if host.status == 200:
                    super().do_GET()
                else:
                    self.send_error(host.status)

            def end_headers(self) -> None:
                self.send_header("Cache-Control", "no-cache")  # so that the browser asks each time
                super().end_headers()

            def log_message(self, format: str, *args: object) -> None:
                pass

        self._server = http.server.ThreadingHTTPServer(
            ("127.0.0.1", 0), functools.partial(Handler, directory=str(folder))
        )
        self._server.handle_error = lambda *_: None  # a browser that no longer waits
        self.base = f"http://127.0.0.1:{self._server.server_address[1]}/"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def stop(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.fixture
def context(browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 360, "height": 740})
    yield made
    made.close()


@pytest.fixture(scope="module")
def small_pack(tmp_path_factory) -> Path:
    """The small job with one photo, built by the command a user types."""
    folder = tmp_path_factory.mktemp("small")
    shutil.copytree(ROOT / "tests" / "small_job", folder / "job")
    (folder / "job" / "photos").mkdir()
    Image.effect_noise((900, 600), 90).convert("RGB").save(folder / "job" / "photos" / "panel.png")
    job = folder / "job" / "job.yaml"
    photo = "\nphotos:\n  - {file: panel.png, alt: The open panel., caption: The panel., of: [P1]}\n"
    job.write_text(job.read_text(encoding="utf-8") + photo, encoding="utf-8")
    command = [sys.executable, "-m", "handover", "build", str(folder / "job"), "--out", str(folder / "pack")]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr + done.stdout
    return folder / "pack"


def site_of(pack: Path) -> Path:
    return next((pack / "posted").iterdir())


def opened(page: Page, address: str) -> str:
    """What a page says once it is there."""
    page.goto(address)
    return page.locator("main").inner_text()


def kept_below(page: Page, folder: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = page.evaluate(KEPT, folder)
    return found


def wait_until(page: Page, true, seconds: float = 10) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "not so within the time"
        page.wait_for_timeout(50)


def cut(context: BrowserContext, host: Host) -> None:
    context.set_offline(True)
    host.stop()


def test_what_was_opened_opens_again_without_signal_and_so_do_the_first_pages(demo_pack, context):
    host, page = Host(demo_pack / "posted"), context.new_page()
    base = f"{host.base}{site_of(demo_pack).name}/"
    paths = ("C1/", "care.html", "P1/index.html")
    page.goto(base + paths[0])  # as the code on the label leads
    page.wait_for_function(CONTROLLED)
    said = {path: opened(page, base + path) for path in paths}
    page.wait_for_load_state("networkidle")
    photos = {f"photos/{path.name}" for path in (site_of(demo_pack) / "photos").glob("*-768.webp")}
    of_these = {
        name
        for path in ("C1", "P1")
        for name in re.findall(
            r"photos/[\w-]+-768\.webp", (site_of(demo_pack) / path / "index.html").read_text("utf-8")
        )
    }
    assert of_these <= photos
    assert len(of_these) > 1
    wait_until(page, lambda: of_these <= set(*kept_below(page, base).values()))
    cut(context, host)
    page = context.new_page()
    for path in paths:
        assert opened(page, base + path) == said[path]
        shown = page.evaluate(PICTURES)
        assert all(shown), (path, shown)
        assert page.evaluate("document.styleSheets[0].cssRules.length") > 50
    assert opened(page, f"{base}C1/index.html") == said["C1/"]
    for never_opened in ("", "index.html", "trouble.html", "switch-off.html", "directory.html"):
        for folder in ("", "lang-es/"):
            assert len(opened(page, base + folder + never_opened)) > 300
    page.get_by_role("link", name="Fallas").first.click()
    assert page.url == f"{base}lang-es/trouble.html"
    with pytest.raises(Error):  # neither opened nor among the first pages: the network is really gone
        page.goto(f"{base}numbers.html")


def test_a_slow_or_ill_host_does_not_keep_anybody_waiting(small_pack, context):
    host, page = Host(small_pack / "posted"), context.new_page()
    base = f"{host.base}{site_of(small_pack).name}/"
    said = opened(page, base)
    page.wait_for_function(CONTROLLED)
    host.status = 503
    assert opened(page, base) == said
    host.status = 404
    page.goto(base)
    assert "404" in page.locator("body").inner_text()  # a page that is gone is gone
    host.status, host.wait = 200, 30.0
    begun = time.monotonic()
    assert opened(page, base) == said
    assert time.monotonic() - begun < 10
    host.wait = 0.0
    host.stop()


def test_a_new_build_takes_the_place_of_what_was_kept(small_pack, context, tmp_path):
    """What was opened is fetched anew, nothing old is left, and a neighbour on the same host keeps its own."""
    folder = tmp_path / "posted"
    shutil.copytree(small_pack / "posted", folder)
    site, neighbour = site_of(small_pack).name, "NEIGHBOUR"
    shutil.copytree(folder / site, folder / neighbour)
    host, page = Host(folder), context.new_page()
    base, beside = f"{host.base}{site}/", f"{host.base}{neighbour}/"
    for start in (base, beside):
        page.goto(start)
        page.wait_for_function(CONTROLLED)
    page.goto(f"{base}C1/")
    (before,) = (name for name in kept_below(page, base) if name.startswith(base))
    wait_until(page, lambda: "C1/" in kept_below(page, base)[before])
    code = folder / site / "C1" / "index.html"
    code.write_text(code.read_text("utf-8").replace("<h1>", "<h1>Made anew. ", 1), encoding="utf-8")
    (folder / site / WORKER).unlink()
    write_worker(folder / site, ())
    page.goto(base)
    wait_until(page, lambda: before not in kept_below(page, base))
    kept = kept_below(page, base)
    assert {name.split()[0] for name in kept} == {base, beside}
    assert len(kept) == 2
    cut(context, host)
    assert "Made anew." in opened(page, f"{base}C1/")
    assert len(opened(page, beside)) > 300


def listening(page: Page, own: Path) -> list[str]:
    """Everything that a page asks for besides itself, and everything it complains about."""
    heard: list[str] = []
    page.on("request", lambda request: heard.append(request.url) if not own_file(request.url, own) else None)
    page.on("console", lambda line: heard.append(line.text))
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


def own_file(url: str, own: Path) -> bool:
    return url.startswith("data:") or url.partition("#")[0].startswith(own.as_uri())


def colours_of(page: Page, selector: str) -> int:
    """How many colours a picture shows: one where nothing is painted in its place."""
    picture = page.locator(selector).first
    picture.scroll_into_view_if_needed()
    page.wait_for_timeout(500)  # its data are decoded once it is in sight
    with Image.open(io.BytesIO(picture.screenshot())) as shot:
        return len(shot.convert("RGB").resize((64, 48)).getcolors(64 * 48))


@pytest.mark.parametrize("edition", ["owner", "posted"])
def test_the_one_file_opens_from_disk_with_the_network_cut(demo_pack, browser, tmp_path, edition):
    site = demo_pack / "owner" if edition == "owner" else site_of(demo_pack)
    file = tmp_path / "record.html"  # alone in its folder, as on a phone
    shutil.copyfile(site / "pack.html", file)
    assert file.stat().st_size < 3_000_000
    context = browser.new_context(viewport={"width": 320, "height": 740}, offline=True, java_script_enabled=True)
    page = context.new_page()
    heard = listening(page, file)
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    page.locator(".titles a", has_text="C1 Car charger").first.click()
    assert page.url.endswith("#C1")
    heading = page.locator("#C1 h1")
    assert "Car charger" in heading.inner_text()
    assert 0 <= heading.bounding_box()["y"] < 740
    assert colours_of(page, "#C1 .photo svg") > 100
    assert colours_of(page, "#photos .photo svg") > 100
    assert colours_of(page, "#C1 .drawing") > 1
    way_on = page.locator("#C1 a[href^='#']:visible").first
    leads_to = way_on.get_attribute("href")
    way_on.click()
    assert page.url == file.as_uri() + leads_to
    assert page.locator(leads_to).is_visible()
    page.locator(".part > .short a[lang=es]").first.click()
    assert page.url.endswith("#pages-es")
    page.get_by_role("link", name="Fallas").last.click()
    assert page.url.endswith("#lang-es-trouble")
    lost = page.evaluate(
        """() => [...document.querySelectorAll('a, use')].map(each => each.getAttribute('href')).filter(
            to => !to.startsWith('tel:') && !(to.startsWith('#') && document.getElementById(to.slice(1))))"""
    )
    assert lost == []
    assert heard == []
    context.close()


def test_all_of_the_pages_stand_in_the_one_file(demo_pack, browser):
    """Each heading and each photo of each page, but for the sheet of labels; no script and no file beside it."""
    for site in (demo_pack / "owner", site_of(demo_pack)):
        whole = (site / "pack.html").read_text(encoding="utf-8")
        articles = re.findall(r'<article id="([^"]+)">', whole)
        pages = {path.relative_to(site).as_posix() for path in site.rglob("*.html")} - {"pack.html", "labels.html"}
        assert set(articles) - {"pages-en", "pages-es"} == {
            path.removesuffix(".html").removesuffix("/index").replace("/", "-") for path in pages
        }
        photos = {path.name[:8] for path in (site / "photos").iterdir()}
        assert whole.count("<image ") == len(photos) == 10
        assert not re.search(r"<(script|link rel=.stylesheet|img|iframe)|url\(", whole)
        assert len(re.findall(' href="data:image/webp;base64,', whole)) == 10


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_one_file_holds_up_to_axe(demo_pack, browser, scheme):
    """Laid out in full, because a part that the browser has not reached yet has no place that axe could judge."""
    context = browser.new_context(viewport={"width": 320, "height": 740}, color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.goto((site_of(demo_pack) / "pack.html").as_uri())
    page.add_style_tag(content=".part > article { content-visibility: visible !important; }")
    found = Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []
    assert page.locator("#photos .photo svg").count() == 10
    context.close()


def test_the_one_file_is_read_without_script_searched_and_printed_in_full(small_pack, browser):
    context = browser.new_context(viewport={"width": 360, "height": 740}, java_script_enabled=False)
    page = context.new_page()
    page.goto((small_pack / "owner" / "pack.html").as_uri())
    articles = page.locator("article").all()
    assert len(articles) > 30
    for media in ("screen", "print"):
        page.emulate_media(media=media)
        assert all(article.is_visible() and article.bounding_box()["height"] > 40 for article in articles)
    context.close()


def test_the_zip_opens_from_disk_once_unpacked_and_is_whole(demo_pack, browser, tmp_path):
    assert verify(demo_pack / ZIP).differences == []
    assert verify(demo_pack / ZIP).files > 300
    with zipfile.ZipFile(demo_pack / ZIP) as archive:
        archive.extractall(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["owner"]
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True)
    page = context.new_page()
    heard = listening(page, tmp_path)
    page.goto((tmp_path / "owner" / "index.html").as_uri())
    page.get_by_role("link", name="Car charger").first.click()
    assert page.url.endswith("/C1/index.html")
    assert all(page.evaluate(PICTURES))
    page.goto((tmp_path / "owner" / "pack.html").as_uri())
    assert heard == []
    context.close()


def test_posted_pages_from_disk_say_nothing_and_keep_nothing(demo_pack, context):
    page = context.new_page()
    heard = listening(page, site_of(demo_pack))
    page.goto((site_of(demo_pack) / "index.html").as_uri())
    page.wait_for_load_state("networkidle")
    assert heard == []
    assert page.locator("script[src]").count() == 1
