"""A real browser on the real page of the demonstration book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Request

from support.browser import open_browser
from support.report_books import demo_with_report


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One for all tests of a process."""
    with open_browser() as opened:
        yield opened


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A window of a laptop's size, with nothing remembered."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, color_scheme="light")
    yield context.new_page()
    context.close()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration book, reduced, with its report."""
    return demo_with_report(tmp_path_factory)


@pytest.fixture
def watched(page: Page) -> Iterator[Page]:
    """A page that fails its test on any message of its console and any request outside the file."""
    said: list[str] = []
    asked: list[str] = []

    def note(request: Request) -> None:
        if not request.url.startswith(("file:", "data:", "blob:")):
            asked.append(request.url)

    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(f"error: {error}"))
    page.on("request", note)
    yield page
    assert said == []
    assert asked == []


@pytest.fixture
def report(watched: Page, demo: Path) -> Page:
    """The report, open and ready."""
    watched.goto((demo / "report.html").as_uri())
    watched.wait_for_selector("html[data-ready]")
    return watched
