"""How soon a first page answers a thumb on a mid-range phone: a processor slowed four times, a slow mobile network.

Run by hand from the checkout; needs Chromium (``TIERWRIGHT_BROWSER``, or one on the path). Each page is opened in a
browser that has nothing in its store. The slowing down and the network are what web measuring commonly takes for such a
phone: a quarter of the processor, 150 ms there and back, 1.6 Mbit/s down and 0.75 Mbit/s up.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, sync_playwright

EXAMPLE = Path(__file__).parents[1] / "examples" / "centenary"
PORT = 8681
SERVE = (
    "import sys; from pathlib import Path; from tierwright.web.serve import serve; "
    "serve(host='127.0.0.1', port=int(sys.argv[1]), example=Path(sys.argv[2]), say=print)"
)
PAGES = {"the board": "/k/1/", "a commission": "/k/1/c/1/", "the sheet of tiers": "/k/1/c/1/sheet/tiers/"}
SLOWER = 4
NETWORK = {"offline": False, "latency": 150, "downloadThroughput": 1_638_400 / 8, "uploadThroughput": 750_000 / 8}
TIMES = 5
LONG_TASKS = """
  window.busyUntil = 0;
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) window.busyUntil = Math.max(window.busyUntil, one.startTime + one.duration);
  }).observe({ type: "longtask", buffered: true });
"""
READ = """() => {
  const way = performance.getEntriesByType("navigation")[0];
  const painted = performance.getEntriesByName("first-contentful-paint")[0];
  const files = performance.getEntriesByType("resource");
  return {
    answered: way.responseStart,
    painted: painted ? painted.startTime : 0,
    ready: Math.max(way.domContentLoadedEventEnd, painted ? painted.startTime : 0, window.busyUntil),
    bytes: way.transferSize + files.reduce((sum, file) => sum + file.transferSize, 0),
  };
}"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """
    One opening of a page.

    Attributes
    ----------
    answered_ms, painted_ms, ready_ms
        When the answer began, when something was to be seen, and when the page answered a thumb: scripts have run and
        nothing keeps the browser busy for longer than 50 ms. [ms]
    size_kb
        Everything that came over the network. [kB]
    """

    answered_ms: float
    painted_ms: float
    ready_ms: float
    size_kb: float


def opened(browser: Browser, url: str, *, slower: float = SLOWER, network: dict[str, float] | None = None) -> Opened:
    """Open a page once, with nothing in the store."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, device_scale_factor=2, has_touch=True)
    try:
        page = context.new_page()
        page.add_init_script(LONG_TASKS)
        told = context.new_cdp_session(page)
        told.send("Network.enable")
        told.send("Network.emulateNetworkConditions", NETWORK if network is None else network)
        told.send("Emulation.setCPUThrottlingRate", {"rate": slower})
        page.goto(f"http://127.0.0.1:{PORT}{url}", wait_until="networkidle")
        found = page.evaluate(READ)
    finally:
        context.close()
    return Opened(
        answered_ms=found["answered"],
        painted_ms=found["painted"],
        ready_ms=found["ready"],
        size_kb=found["bytes"] / 1000.0,
    )


def rows() -> list[tuple[str, float, str]]:
    path = os.environ.get("TIERWRIGHT_BROWSER") or shutil.which("chromium") or shutil.which("google-chrome")
    if path is None:
        raise RuntimeError("no Chromium was found; set TIERWRIGHT_BROWSER to one")
    found: list[tuple[str, float, str]] = []
    with tempfile.TemporaryDirectory(prefix="tierwright-bench-") as folder, sync_playwright() as play:
        server = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(PORT), str(EXAMPLE)],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=os.environ | {"TIERWRIGHT_HOME": folder}, text=True,
        )  # fmt: skip
        try:
            assert server.stdout is not None
            while "open at" not in (line := server.stdout.readline()):
                if not line:
                    raise RuntimeError("the server did not start")
            browser = play.chromium.launch(executable_path=path, args=["--disable-dev-shm-usage", "--disable-gpu"])
            for name, url in PAGES.items():
                opened(browser, url)
                times = [opened(browser, url) for _ in range(TIMES)]
                found += [
                    (f"{name}, first visit on a phone: first words", median(t.painted_ms for t in times), "ms"),
                    (f"{name}, first visit on a phone: answers a thumb", median(t.ready_ms for t in times), "ms"),
                    (f"{name}, first visit on a phone: slowest of {TIMES}", max(t.ready_ms for t in times), "ms"),
                    (f"{name}, first visit: over the network", max(t.size_kb for t in times), "kB"),
                ]
            browser.close()
        finally:
            server.terminate()
            server.wait(10)
    return found


if __name__ == "__main__":
    for name, value, unit in rows():
        sys.stdout.write(f"{name:70} {value:10.2f} {unit}\n")
