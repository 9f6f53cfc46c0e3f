"""Show a pack while it is being written: build, serve, watch the job folder, build again."""

from __future__ import annotations

import contextlib
import functools
import http.server
import socket
import threading
import time
from collections.abc import Callable
from pathlib import Path

from handover.build import build
from handover.problems import JobProblems
from handover.qr import terminal_code

_LOOK_EVERY_SECONDS = 0.7


class _Quiet(http.server.SimpleHTTPRequestHandler):
    """Files of the pack, never kept by the browser, and no line a request."""

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: the terminal is for the build."""


def serve_job(job: Path, out: Path, *, everywhere: bool, port: int, say: Callable[[str], object]) -> None:
    """Build the job, serve both editions until interrupted, and build again after each change.

    Bound to this computer alone unless ``everywhere``.  The first build must succeed (JobProblems otherwise); a later
    one that does not leaves the last good pack in place and says what is wrong.
    """
    seen = state_of(job, out)
    outcome = build(job, out, progress=lambda said: None)
    if outcome.stopped and not out.exists():
        say("A check fails, so there is no pack to show. See:  handover check")
        return
    handler = functools.partial(_Quiet, directory=str(out))
    with http.server.ThreadingHTTPServer(("0.0.0.0" if everywhere else "127.0.0.1", port), handler) as server:  # noqa: S104 - asked for with --lan
        base = f"http://{_own_address() if everywhere else '127.0.0.1'}:{server.server_address[1]}"
        posted = f"{base}/posted/{outcome.record.job.pack}/index.html"
        say(f"Owner edition:   {base}/owner/index.html")
        say(f"Posted edition:  {posted}")
        if everywhere:
            say("Anyone on this network can open these while this runs. For the phone:")
            say(terminal_code(posted))
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
    for path in sorted(job.glob("*")) + sorted(job.glob("photos/*")):
        # An editor that saves by renaming makes a file vanish for a moment; the next look finds it again.
        with contextlib.suppress(OSError):
            if path != out and path.is_file():
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
