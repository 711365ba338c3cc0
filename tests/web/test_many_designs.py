"""More designs than can be told apart, and books that know little, in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from support.commands import run_command
from support.crowded import crowded_page
from support.field import needs_field
from support.field_books import lever_book

TOLD_APART = '[data-chart="thrust"] svg .mark-line path[stroke-width="2.2"]'


@pytest.fixture
def crowded(watched: Page, demo: Path, tmp_path: Path) -> Page:
    """A class of 24 designs."""
    names = crowded_page(demo / "report.html", tmp_path / "crowded.html", least=24)
    assert len(names) >= 24
    watched.goto((tmp_path / "crowded.html").as_uri())
    watched.wait_for_selector("html[data-ready]")
    return watched


def test_eight_are_told_apart_and_a_ninth_is_refused_with_what_to_do(crowded: Page) -> None:
    chips = crowded.locator(".chip")
    expect(chips).to_have_count(8)
    ninth = crowded.locator("#add option").nth(1).inner_text()
    crowded.select_option("#add", label=ninth)
    expect(chips).to_have_count(8)
    expect(crowded.locator("#chooser-note")).to_contain_text(f"leave one out first, then add {ninth}")
    chips.first.click()
    expect(chips).to_have_count(7)
    crowded.select_option("#add", label=ninth)
    expect(chips).to_have_count(8)
    assert ninth in [text.strip() for text in chips.all_inner_texts()]
    expect(crowded.locator("#chooser-note")).to_be_empty()


def test_the_rest_is_drawn_as_context(crowded: Page) -> None:
    crowded.locator('[data-chart="thrust"]').scroll_into_view_if_needed()
    expect(crowded.locator(TOLD_APART)).to_have_count(8)
    lines = crowded.locator('[data-chart="thrust"] svg .mark-line path')
    expect(lines).to_have_count(crowded.locator("#add option").count() - 1 + 8)
    expect(crowded.locator("#chooser-words")).to_contain_text("8 of 24 told apart, the others thin and grey")


def test_a_long_ranking_shows_its_head_and_all_when_asked(crowded: Page) -> None:
    rows = crowded.locator("#ranking-table tbody tr")
    expect(rows).to_have_count(16)
    crowded.locator("#ranking-table button.more").click()
    expect(rows).to_have_count(24)


@needs_field
def test_a_book_that_knows_little_says_so_and_draws_no_empty_chart(watched: Page, tmp_path: Path) -> None:
    book = lever_book(tmp_path)
    run_command("report", folder=book)
    watched.goto((book / "report.html").as_uri())
    watched.wait_for_selector("html[data-ready]")
    told = watched.locator("#missing").inner_text()
    assert "shaft power, shaft efficiency" in told
    assert "has no torque channel" in told
    assert "no diameter is stated" in told
    charts = watched.locator("[data-chart]")
    assert charts.count() >= 3
    for number in range(charts.count()):
        charts.nth(number).scroll_into_view_if_needed()
        expect(charts.nth(number).locator('svg .mark-line path[stroke-width="2.2"]')).to_have_count(1)
    expect(watched.locator("#said")).to_contain_text("there is nothing to compare it with")
    expect(watched.locator("#ranking-notes")).to_contain_text("the interval is a lower bound")
