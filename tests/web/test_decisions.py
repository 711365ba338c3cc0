"""What was decided on single runs, and how a run that was set aside may be accepted, on the real page."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from support.commands import run_command
from support.failing_books import BACKWARDS, write_failing_book

RUN = f"spring/{BACKWARDS}"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_failing_book(tmp_path_factory.mktemp("failing") / "book")
    run_command("leave-out", "r001", "--because", "hub <b>slipped</b>", "--by", "A. Tester", folder=root)
    run_command("report", folder=root)
    return root


def test_a_run_set_aside_says_why_and_how_to_accept_it(watched: Page, book: Path) -> None:
    watched.goto((book / "report.html").as_uri())
    run = watched.locator("details.run.fail")
    run.locator("summary").click()
    expect(run.get_by_text("Set aside:")).to_be_visible()
    expect(run.locator("code", has_text=f'isothrust accept {RUN} --because "…"')).to_be_visible()
    expect(run.locator(".picture svg")).to_be_visible()


def test_a_run_left_out_by_hand_is_listed_with_its_reason_as_it_was_written(watched: Page, book: Path) -> None:
    watched.goto((book / "report.html").as_uri())
    listed = watched.locator("ul.decisions li")
    expect(listed).to_have_count(1)
    assert "spring/r001: left out by A. Tester" in listed.inner_text()
    assert "because: hub <b>slipped</b>" in listed.inner_text()
    run = watched.locator("details.run", has_text="spring/r001")
    expect(run.locator("summary .badge")).to_have_text("left out")


def test_an_acceptance_stands_with_its_run_and_in_the_list(watched: Page, book: Path) -> None:
    run_command("accept", BACKWARDS, "--because", "weighed twice", "--by", "B. Tester", folder=book)
    page = book / "accepted.html"
    run_command("report", "--out", page.name, folder=book)
    watched.goto(page.as_uri())
    run = watched.locator("details.run.fail")
    run.locator("summary").click()
    assert "Counts in spite of a fail: accepted by B. Tester" in run.inner_text()
    assert "isothrust accept" not in run.inner_text()
    expect(watched.locator("ul.decisions li")).to_have_count(2)


def test_decisions_fit_a_phone(watched: Page, book: Path) -> None:
    watched.set_viewport_size({"width": 360, "height": 740})
    watched.goto((book / "report.html").as_uri())
    watched.locator("details.run.fail summary").click()
    assert watched.evaluate("document.documentElement.scrollWidth") <= 360
