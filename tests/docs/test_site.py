"""The pages build strictly, hang together, and load nothing from elsewhere."""

from __future__ import annotations

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from tests.docs.pages import DOCS, PAGES, ROOT, TEXTS, name

from tierwright.web.sheet import sheets

LOADED = {"script": "src", "img": "src", "link": "href", "iframe": "src", "source": "src", "object": "data"}


class Read(HTMLParser):
    """What one page loads, links to, and can be linked at."""

    def __init__(self, page: Path) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.links: list[str] = []
        self.ids: set[str] = set()
        self.feed(page.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {key: value or "" for key, value in attrs}
        if "id" in told:
            self.ids.add(told["id"])
        if tag in LOADED and LOADED[tag] in told and told.get("rel") != "canonical":
            self.loads.append(told[LOADED[tag]])
        if tag == "a" and "href" in told:
            self.links.append(told["href"])


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> dict[Path, Read]:
    folder = tmp_path_factory.mktemp("site")
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return {page: Read(page) for page in folder.rglob("*.html")}


def test_every_page_is_built(site: dict[Path, Read]) -> None:
    built = {page.stem for page in site}
    assert {page.stem for page in PAGES} <= built


def test_nothing_is_loaded_from_elsewhere(site: dict[Path, Read]) -> None:
    for page, read in site.items():
        for address in read.loads:
            assert not urlsplit(address).netloc, f"{page.name} loads {address}"
    folder = next(iter(site)).parent
    for sheet in folder.rglob("*.css"):
        assert not re.search(r"(url\(|@import)\s*[\"']?(https?:)?//", sheet.read_text(encoding="utf-8")), sheet.name


def test_every_link_and_anchor_is_there(site: dict[Path, Read]) -> None:
    # The theme's own page of not found stands at any address, so that its links begin at the root.
    pages = {page.resolve(): read for page, read in site.items() if page.name != "404.html"}
    for page, read in pages.items():
        for address in (*read.links, *read.loads):
            parts = urlsplit(address)
            if parts.scheme or parts.netloc or not (parts.path or parts.fragment):
                continue
            goal = (page.parent / unquote(parts.path)).resolve() if parts.path else page
            assert goal.exists(), f"{page.name} points at {address}"
            if parts.fragment and goal in pages:
                assert unquote(parts.fragment) in pages[goal].ids, f"{page.name} points at {address}"


def test_every_page_is_in_the_navigation() -> None:
    listed = re.findall(r"(\S+\.md)$", (ROOT / "mkdocs.yml").read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert sorted(listed) == sorted(str(page.relative_to(DOCS)) for page in PAGES)


def test_every_method_is_in_the_overview() -> None:
    overview = (DOCS / "methods.md").read_text(encoding="utf-8")
    for page in (DOCS / "method").glob("*.md"):
        title = page.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
        assert f"[{title}](method/{page.name})" in overview


def test_every_sheet_of_work_has_its_how_to() -> None:
    overview = (DOCS / "how-to" / "index.md").read_text(encoding="utf-8")
    for key, sheet in sheets().items():
        page = DOCS / "how-to" / f"{key}.md"
        assert page.read_text(encoding="utf-8").startswith(f"# {sheet.title}\n")
        assert f"[{sheet.title}]({key}.md)" in overview


@pytest.mark.parametrize("path", TEXTS, ids=name)
def test_files_that_a_page_points_at_are_there(path: Path) -> None:
    for goal in re.findall(r"\]\(([^)#\s]+)[^)]*\)", path.read_text(encoding="utf-8")):
        if not urlsplit(goal).scheme:
            assert (path.parent / goal).exists(), f"{name(path)} points at {goal}"
