"""The served bench of a test, and what its page is watched for."""

import contextlib
import json
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import BrowserContext, Page

PATIENCE = 240.0
"""Seconds that kernels may take to compile, where nothing is compiled yet."""
LONG = 240_000
"""Milliseconds that a page may take for its first answer, on a machine with other work."""
QUIET = (
    "WebSocket connection",
    "net::ERR_CONNECTION_REFUSED",
    "net::ERR_CONNECTION_RESET",
    "status of 409",
    "status of 422",
)
"""Parts of messages that a browser writes by itself when a server is gone, or refuses as it should."""
CUT_OFF = (
    "net::ERR_CONTENT_LENGTH_MISMATCH",
    "net::ERR_EMPTY_RESPONSE",
    "net::ERR_INCOMPLETE_CHUNKED_ENCODING",
)
"""What it writes of an answer that was under way when the server ended; a fault while the server lives."""


class Bench:
    """A bench served over a folder; the same port again after a stop."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.address = ""
        self.port = "0"
        self.process: subprocess.Popen[str] | None = None
        self.ended = False

    def start(self) -> None:
        """Serve, and learn where."""
        command = [sys.executable, "-m", "gapwright", "bench", str(self.folder), "--no-browser"]
        self.process = subprocess.Popen(
            [*command, "--port", self.port], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        assert self.process.stdout is not None
        said = self.process.stdout.readline()
        self.address = next(word for word in said.split() if word.startswith("http")).rstrip("/")
        self.port = self.address.rsplit(":", 1)[1]

    def stop(self) -> None:
        """Kill it, as a crash would."""
        self.ended = True
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            if self.process.stdout is not None:
                self.process.stdout.close()
            self.process = None

    def about(self) -> dict[str, object]:
        """What the bench says of itself."""
        with urllib.request.urlopen(f"{self.address}/api/about", timeout=10) as reply:
            answer: dict[str, object] = json.load(reply)
        return answer

    def wait_until_warm(self) -> None:
        """Wait until its kernels are ready."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            with contextlib.suppress(OSError):
                prepared = self.about()["prepared"]
                if isinstance(prepared, dict) and prepared["warm"]:
                    return
            time.sleep(0.3)
        raise TimeoutError("the bench did not get ready")


def open_page(context: BrowserContext, bench: Bench) -> Iterator[Page]:
    """A page of a context, watched: no error in it, and no request to anywhere else."""
    faults: list[str] = []
    elsewhere: list[str] = []
    context.on(
        "request",
        lambda asked: (
            None if asked.url.startswith((bench.address, "data:", "blob:")) else elsewhere.append(asked.url)
        ),
    )
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    yield page
    context.close()
    quiet = QUIET + CUT_OFF if bench.ended else QUIET
    loud = [fault for fault in faults if not any(part in fault for part in quiet)]
    assert not loud, loud
    assert not elsewhere, elsewhere


def visit(page: Page, bench: Bench, place: str = "joule/store") -> None:
    """Open a page of the bench and wait until the flow is drawn."""
    page.goto(f"{bench.address}/#/{place}")
    if place.startswith(("joule", "hole")):
        page.get_by_role("heading", level=1).wait_for()
    if place.startswith("joule"):
        page.get_by_role("tab").first.wait_for()


def put_on_desk(page: Page, bench: Bench, *, rig: str, job: str, place: str) -> None:
    """Open a place of the page, for the first time in its context, with a rig and a job on the desk.

    The choice is there before the page runs: one that is still opening writes its own over it.
    """
    choice = json.dumps(json.dumps({"rig": rig, "job": job, "compare": []}))
    page.add_init_script(
        f"if (!sessionStorage.getItem('gapwright tab')) sessionStorage.setItem('gapwright choice', {choice});"
    )
    visit(page, bench, place)


def wait_for_forecast(page: Page) -> None:
    """Wait until the drilling of what is on the desk has been told, be it coarse."""
    page.locator("h1", has_text="hole").wait_for(timeout=LONG)
    page.get_by_role("heading", name="What your meters should show").wait_for(timeout=LONG)
