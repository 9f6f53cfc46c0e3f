"""Show a pack while it is being written: build, serve, watch the job folder, build again."""

from __future__ import annotations

import contextlib
import functools
import http.server
import os
import socket
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from handover.build import build
from handover.phone_view import phone_view
from handover.problems import JobProblems, one_problem
from handover.qr import terminal_code

_LOOK_EVERY_SECONDS = 0.7
_VIEW = "phone.html"


class _Quiet(http.server.SimpleHTTPRequestHandler):
    """Files of the pack and a view of them as on a phone, never kept by the browser, and no line a request."""

    def __init__(self, *given: Any, pack: str, **named: Any) -> None:
        self.pack = pack  # before the base class, which answers the request while it is made
        super().__init__(*given, **named)

    def do_GET(self) -> None:
        """A file, or the view."""
        if self.path != f"/{_VIEW}" or Path(self.directory).name == "posted":
            super().do_GET()
            return
        shown = phone_view(Path(self.directory) / "posted" / self.pack, f"posted/{self.pack}").encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(shown)))
        self.end_headers()
        self.wfile.write(shown)

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def list_directory(self, path: str | os.PathLike[str]) -> None:
        """No listing: a pack's address is to be known, not found."""
        self.send_error(404)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: the terminal is for the build."""


def serve_job(job: Path, out: Path, *, everywhere: bool, port: int, say: Callable[[str], object]) -> None:
    """Build the job, serve both editions until interrupted, and build again after each change.

    Bound to this computer alone unless ``everywhere``, and then only the posted edition is shown.  The first build must
    succeed, and the port be free (JobProblems otherwise); a later build that does not leaves the last good pack in
    place and says what is wrong.
    """
    seen = state_of(job, out)
    outcome = build(job, out, progress=lambda said: None)
    if outcome.stopped and not out.exists():
        say("A check fails, so there is no pack to show. See:  handover check")
        return
    # A network may hold strangers: it is shown no more than the web will be.
    shown = str(out / "posted" if everywhere else out)
    handler = functools.partial(_Quiet, directory=shown, pack=outcome.record.job.pack)
    host = "0.0.0.0" if everywhere else "127.0.0.1"  # noqa: S104 - asked for with --lan
    with _listening(host, port, handler) as server:
        base = f"http://{_own_address() if everywhere else '127.0.0.1'}:{server.server_address[1]}"
        if everywhere:
            posted = f"{base}/{outcome.record.job.pack}/index.html"
            say(f"Posted edition:  {posted}")
            say("Anyone on this network who has this address can read it while this runs. For the phone:")
            say(terminal_code(posted))
        else:
            say(f"Owner edition:   {base}/owner/index.html")
            say(f"Posted edition:  {base}/posted/{outcome.record.job.pack}/index.html")
            say(f"On a phone:      {base}/{_VIEW}")
        say("Watching the job folder; Ctrl+C ends.")
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            while True:
                time.sleep(_LOOK_EVERY_SECONDS)
                now = state_of(job, out)
                if now != seen:
                    seen = now
                    say(rebuild(job, out))
        except KeyboardInterrupt:
            say("")
        finally:
            server.shutdown()


def _listening(host: str, port: int, handler: functools.partial[_Quiet]) -> http.server.ThreadingHTTPServer:
    try:
        return http.server.ThreadingHTTPServer((host, port), handler)
    except OSError as error:
        what = f"port {port} cannot be used ({error.strerror})"
        raise one_problem("", what, "Name another with --port, or --port 0 for any free one.") from None


def rebuild(job: Path, out: Path) -> str:
    """Build once more and say in one text how it went; the last good pack stays where it did not go well."""
    try:
        outcome = build(job, out, progress=lambda said: None)
    except JobProblems as found:
        return f"{found}\nThe pack shown is the one from before."
    if outcome.stopped:
        return "A check fails, so the pack shown is the one from before. See:  handover check"
    return f"Built again: {outcome.pages} pages."


def state_of(job: Path, out: Path) -> dict[str, tuple[int, int]]:
    """Size and time of every file of the job folder, the pack itself left out."""
    state = {}
    for path in sorted(job.glob("*")) + sorted(job.glob("photos/*")) + sorted(job.glob("earlier/*/*")):
        # An editor that saves by renaming makes a file vanish for a moment; the next look finds it again.
        with contextlib.suppress(OSError):
            if path != out and path.is_file() and not path.name.startswith("."):  # such as a build's lock
                state[str(path)] = (path.stat().st_size, path.stat().st_mtime_ns)
    return state


def _own_address() -> str:
    """This computer's address on its network.  Nothing is sent: a datagram socket only picks the way out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way_out:
        try:
            way_out.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): an address that nobody has
            return str(way_out.getsockname()[0])
        except OSError:
            return "127.0.0.1"
