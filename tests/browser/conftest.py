"""A real browser: Chromium through Playwright, failing on any error that the page reports."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect, sync_playwright
from tests.web.conftest import PASSWORD, lay

from tierwright.web.frame.desk import DOSSIERS
from tierwright.web.models import Commission, Kitchen
from tierwright.web.people.local import ensure_maker

# Playwright keeps an event loop running in this thread; the database is used from here all the same.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# A busy machine is given time; what comes at once costs none of it.
expect.set_options(timeout=20_000)

NAMES = ("chromium", "chromium-browser", "google-chrome", "msedge")
QUIET = (
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SIZES = {"phone": (360, 740), "tablet": (820, 1100), "desktop": (1280, 900)}


def find_browser() -> str:
    given = os.environ.get("TIERWRIGHT_BROWSER", "")
    found = given or next((path for name in NAMES if (path := shutil.which(name))), "")
    if not found:
        reason = "no Chromium was found; set TIERWRIGHT_BROWSER to one"
        if os.environ.get("TIERWRIGHT_NEED_BROWSER"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = find_browser()
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=path, args=list(QUIET))
        yield started
        started.close()


@pytest.fixture
def kitchen(transactional_db: None) -> Kitchen:
    DOSSIERS.clear()
    return lay(ensure_maker())


@pytest.fixture
def commission(kitchen: Kitchen) -> Commission:
    return Commission.objects.get(kitchen=kitchen)


Opener = Callable[..., Page]


@pytest.fixture
def open_page(browser: Browser, live_server: Any) -> Iterator[Opener]:
    """Open pages at a size and a scheme; whatever a page complains about fails the test."""
    contexts: list[BrowserContext] = []
    said: list[str] = []

    # A refused form answers 409, 422 or 403 on purpose; the browser logs every such answer.
    meant = ["status of 409", "status of 422", "status of 403", "status of 401"]

    def opened(
        size: str = "desktop",
        scheme: str = "light",
        context: BrowserContext | None = None,
        meaning: tuple[str, ...] = (),
    ) -> Page:
        meant.extend(meaning)
        width, height = SIZES[size]
        if context is None:
            context = browser.new_context(
                viewport={"width": width, "height": height},
                color_scheme="dark" if scheme == "dark" else "light",
                base_url=live_server.url,
                locale="en-US",
            )
            context.set_default_timeout(15_000)
            contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: said.append(f"{m.type}: {m.text}") if m.type == "error" else None)
        page.on("pageerror", lambda error: said.append(f"page error: {error}"))
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [text for text in said if not any(part in text for part in meant)] == []


def sign_up(page: Page) -> None:
    """Turn sign-in on as a newcomer does."""
    page.goto("/turn-on/")
    page.get_by_label("Name to sign in with").fill("ada")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Turn it on").click()
    assert User.objects.get().has_usable_password()


def lose_first_answer(page: Page, address: str) -> list[int]:
    """Let the first answer from an address get lost on its way; return where its status is noted."""
    lost: list[int] = []

    def lose(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    page.context.route(address, lose)
    return lost
