"""How smoothly the cake turns without a graphics chip, and how long its picture takes; run by hand from the checkout.

Needs Chromium (``TIERWRIGHT_BROWSER``, or one on the path) for the turning view, and the extra ``picture``.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter
from typing import Literal

from playwright.sync_api import Page, sync_playwright

from tierwright.brief import read_brief
from tierwright.dossier import prepare
from tierwright.drawings.fineness import FOR_A_PICTURE, FOR_SOFTWARE
from tierwright.drawings.picture import Wanted, is_installed, picture_of
from tierwright.drawings.scene import Scene, look, plain, scene_of

EXAMPLE = Path(__file__).parents[1] / "examples" / "centenary"
PORT = 8679
SERVE = (
    "import sys; from pathlib import Path; from tierwright.web.serve import serve; "
    "serve(host='127.0.0.1', port=int(sys.argv[1]), example=Path(sys.argv[2]), say=print)"
)
SOFTWARE = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-dev-shm-usage")
SIZES = {"phone, 360 x 740": (360, 740), "desktop, 1280 x 900": (1280, 900)}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
SETTLE_MS, COUNT_MS = 6000, 8000
COUNTED = """(span) => new Promise((done) => {
  const begun = performance.now();
  const canvas = document.querySelector("canvas");
  const before = Number(canvas.dataset.frames);
  let frames = 0;
  const next = () => {
    frames += 1;
    const gone = performance.now() - begun;
    if (gone < span) requestAnimationFrame(next);
    else done([1000 * (frames - 1) / gone, 1000 * (Number(canvas.dataset.frames) - before) / gone, canvas.width]);
  };
  requestAnimationFrame(next);
})"""


def _cpu_s(profile: str) -> float:
    """Time that a browser's processes have taken on all cores. [s]"""
    parent: dict[int, int] = {}
    ticks: dict[int, int] = {}
    roots: set[int] = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rsplit(")", 1)[1].split()
            pid = int(stat.parent.name)
            parent[pid], ticks[pid] = int(fields[1]), int(fields[11]) + int(fields[12])
            if profile.encode() in stat.with_name("cmdline").read_bytes():
                roots.add(pid)
        except OSError:
            continue
    total = 0
    for pid, spent in ticks.items():
        line = [pid]
        while line[-1] in parent:
            line.append(parent[line[-1]])
        total += spent if roots & set(line) else 0
    return total / os.sysconf("SC_CLK_TCK")


def _browser() -> str:
    found = os.environ.get("TIERWRIGHT_BROWSER") or shutil.which("chromium") or shutil.which("google-chrome")
    if not found:
        raise RuntimeError("no Chromium was found; set TIERWRIGHT_BROWSER to one")
    return found


def turning(folder: str) -> list[tuple[str, float, str]]:
    """Open the view in a real browser that draws in software, and count its frames."""
    pictures = os.environ.get("TIERWRIGHT_LOOK_SHOTS", "")
    env = os.environ | {"TIERWRIGHT_HOME": folder, "TIERWRIGHT_WORKERS": "0"}
    server = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(PORT), str(EXAMPLE)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        env=env, text=True,
    )  # fmt: skip
    found: list[tuple[str, float, str]] = []
    try:
        assert server.stdout is not None
        while "open at" not in (line := server.stdout.readline()):
            if not line:
                raise RuntimeError("the server did not start")
        with sync_playwright() as play:
            for name, (width, height) in SIZES.items():
                for scheme in SCHEMES:
                    profile = f"{folder}/{width}-{scheme}"
                    browser = play.chromium.launch_persistent_context(
                        profile, executable_path=_browser(), args=list(SOFTWARE), color_scheme=scheme,
                        viewport={"width": width, "height": height},
                    )  # fmt: skip
                    found += _counted(browser.new_page(), name, scheme, pictures, profile)
                    browser.close()
    finally:
        server.terminate()
        server.wait(10)
    return found


def _counted(page: Page, name: str, scheme: str, pictures: str, profile: str) -> list[tuple[str, float, str]]:
    said: list[str] = []
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("console", lambda m: said.append(m.text) if m.type == "error" else None)
    page.goto(f"http://127.0.0.1:{PORT}/")
    page.goto(f"{page.url.rstrip('/')}/c/1/look/", timeout=120_000)
    page.wait_for_selector("canvas[data-ready]", timeout=120_000)
    if pictures:
        page.wait_for_timeout(3000)
        page.screenshot(path=f"{pictures}/look-{name[:5]}-{scheme}.png", full_page=True)
    if scheme == "dark":
        return [(f"{name}, dark: errors", float(len(said)), "errors")]
    page.wait_for_timeout(SETTLE_MS)
    spent = _cpu_s(profile)
    ticks, frames, wide = page.evaluate(COUNTED, COUNT_MS)
    load = os.getloadavg()[0]
    each = 1000 * (_cpu_s(profile) - spent) / max(1.0, frames * COUNT_MS / 1000)
    return [
        (f"{name}, in software: pictures of the cake", frames, "1/s"),
        (f"{name}, in software: frames of the browser", ticks, "1/s"),
        (f"{name}, in software: time of all cores for each picture", each, "ms"),
        (f"{name}: how much the machine had to do besides (its load)", load, "processes"),
        (f"{name}: points across that it settled on", wide, "px"),
        (f"{name}: errors", float(len(said)), "errors"),
    ]


def _triangles(scene: Scene) -> float:
    return sum(len(model.mesh.triangles) * len(model.places) for model in scene.models) / 1000


def rows() -> list[tuple[str, float, str]]:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    seen = look(prepare(brief.commission, brief.kitchen))
    start = perf_counter()
    data = json.dumps(plain(scene_of(seen)), separators=(",", ":"))
    found = [
        ("the cake as surfaces for a browser", 1000 * (perf_counter() - start), "ms"),
        ("its data", len(data) / 1000, "kB"),
        ("its triangles", _triangles(scene_of(seen)), "thousand"),
        ("the same for a browser that draws in software", _triangles(scene_of(seen, FOR_SOFTWARE)), "thousand"),
    ]
    start = perf_counter()
    fine = scene_of(seen, FOR_A_PICTURE)
    found += [
        ("the cake as surfaces for a picture", 1000 * (perf_counter() - start), "ms"),
        ("their triangles", _triangles(fine), "thousand"),
    ]
    if is_installed():
        start, cpu = perf_counter(), os.times()
        picture_of(seen, Wanted(width_px=180, height_px=220, samples=8))
        spent = os.times()
        found += [
            ("picture of 180 x 220 points, 8 paths each", perf_counter() - start, "s"),
            ("the same, time of all cores", spent.user - cpu.user, "s"),
        ]
    with tempfile.TemporaryDirectory(prefix="tierwright-bench-") as folder:
        return found + turning(folder)


if __name__ == "__main__":
    for name, value, unit in rows():
        sys.stdout.write(f"{name:70} {value:10.2f} {unit}\n")
