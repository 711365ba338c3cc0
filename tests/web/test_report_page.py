"""The report as a reader uses it: a real browser, the real file."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, expect

from support.commands import json_of

BOOK_POINT = "500 gf"


def rows_of(page: Page) -> list[dict[str, Any]]:
    """Return the ranking as a reader sees it."""
    return page.evaluate(
        """() => [...document.querySelectorAll("#ranking-table tbody tr:not(.absent)")].map((row) => ({
            place: Number(row.querySelector(".place").textContent),
            design: row.querySelector(".name span").textContent,
            value: row.querySelector(".value").textContent,
            apart: row.querySelector(".apart").textContent,
            tied: row.querySelector(".tied").dataset.tied.split(", ").filter(Boolean),
        }))"""
    )


def move_to(page: Page, number: int) -> str:
    """Move the slider and return the words beside it."""
    page.locator("#slider").fill(str(number))
    return page.locator("#at-value").inner_text()


def compared(demo: Path, page: Page, measurand: str, where: str) -> dict[str, Any]:
    """Return what the command says of the class that the page shows."""
    scope = page.locator("#scope option:checked").inner_text()
    class_name, campaign = scope.rsplit(", ", 1)
    found = json_of("compare", "--of", measurand, "--at", where, "--campaign", campaign, folder=demo)
    (one,) = [one for one in found if one["class"] == class_name]
    return one


def assert_same(rows: list[dict[str, Any]], said: str, comparison: dict[str, Any]) -> None:
    ranks = comparison["ranks"]
    assert [(row["place"], row["design"]) for row in rows] == [
        (rank["place"], rank["result"]["design"]) for rank in ranks
    ]
    assert [set(row["tied"]) for row in rows] == [set(rank["tied_with"]) for rank in ranks]
    assert said == " ".join(comparison["sentences"])
    for row, rank in zip(rows, ranks, strict=True):
        value, _, half = row["value"].partition(" ± ")
        digits = len(value.partition(".")[2])
        low, high = rank["result"]["interval_of_design"] or rank["result"]["interval"]
        assert abs(float(value) - rank["result"]["value"]) <= 0.5001 * 10.0**-digits
        assert abs(float(half) - 0.5 * (high - low)) <= 0.5001 * 10.0**-digits


def test_the_page_begins_at_the_books_middle_comparison_point(report: Page) -> None:
    assert report.locator("#at-value").inner_text() == BOOK_POINT
    assert report.locator("#ranking-title").inner_text() == f"Shaft power at {BOOK_POINT}, less is better"


def test_moving_the_comparison_point_shows_what_compare_says_there(report: Page, demo: Path) -> None:
    last = int(report.locator("#slider").get_attribute("max") or 0)
    assert last > 30
    seen = set()
    for number in (last // 5, last // 3, 2 * last // 3):
        words = move_to(report, number)
        seen.add(words)
        comparison = compared(demo, report, "shaft-power", f"thrust={words.replace(' ', '')}")
        assert_same(rows_of(report), report.locator("#said").inner_text(), comparison)
    assert len(seen) == 3


def test_another_figure_at_equal_speed_shows_what_compare_says(report: Page, demo: Path) -> None:
    report.select_option("#figure", label="Thrust")
    words = report.locator("#at-value").inner_text()
    assert words == "14000 rpm"
    comparison = compared(demo, report, "thrust", "speed=14000rpm")
    assert_same(rows_of(report), report.locator("#said").inner_text(), comparison)


def test_the_command_beside_the_table_names_what_is_shown(report: Page) -> None:
    assert report.locator("#command").inner_text() == (
        "isothrust compare --of shaft-power --at thrust=500gf --campaign spring-two-blades"
    )


def test_the_slider_moves_by_the_keyboard(report: Page) -> None:
    slider = report.locator("#slider")
    slider.focus()
    before = report.locator("#at-value").inner_text()
    slider.press("ArrowRight")
    after = report.locator("#at-value").inner_text()
    assert float(after.split()[0]) > float(before.split()[0])
    assert slider.get_attribute("aria-valuetext") == after


def test_a_design_is_left_out_of_the_charts_and_comes_back(report: Page) -> None:
    chips = report.locator(".chip")
    names = chips.all_inner_texts()
    chips.nth(1).click()
    expect(chips).to_have_count(len(names) - 1)
    assert names[1] not in chips.all_inner_texts()
    report.select_option("#add", label=names[1].strip())
    expect(chips).to_have_count(len(names))
    # It has its old place again, and with it colour, dash and marker.
    assert chips.all_inner_texts() == names


def lines_in(page: Page, chart: str) -> int:
    """Return how many lines of a chart are told apart: strokes of the width that only they have."""
    view = page.locator(f'[data-chart="{chart}"]')
    view.scroll_into_view_if_needed()
    view.locator("svg").first.wait_for()
    return view.locator('svg .mark-line path[stroke-width="2.2"]').count()


def test_charts_draw_what_is_chosen(report: Page) -> None:
    chosen = report.locator(".chip").count()
    report.wait_for_function("document.querySelectorAll('#charts svg').length > 0 || window.scrollY === 0")
    assert lines_in(report, "thrust") == chosen
    report.locator(".chip").first.click()
    expect(report.locator('[data-chart="thrust"] svg .mark-line path[stroke-width="2.2"]')).to_have_count(chosen - 1)


def test_every_chart_of_the_page_is_drawn_when_it_is_reached(report: Page) -> None:
    charts = report.locator("[data-chart]")
    assert charts.count() >= 8
    for number in range(charts.count()):
        charts.nth(number).scroll_into_view_if_needed()
        expect(charts.nth(number).locator(".view svg")).to_be_visible()
        assert charts.nth(number).locator("svg .mark-area path").count() >= 1


def test_the_pointer_tells_design_figure_and_interval(report: Page) -> None:
    chart = report.locator('[data-chart="shaft-efficiency"] .view')
    chart.scroll_into_view_if_needed()
    chart.locator("svg").wait_for()
    box = chart.bounding_box()
    assert box is not None
    report.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"])
    report.mouse.move(box["x"] + 0.5 * box["width"] + 3, box["y"] + 0.5 * box["height"] + 3)
    tip = report.locator("#tip")
    expect(tip).to_be_visible()
    told = tip.inner_text()
    assert "Design" in told
    assert re.search(r"Shaft efficiency \[gf/W\]\s+\d", told)
    assert re.search(r"95 % from\s+\d", told)


def test_dark_and_light_change_page_and_charts(report: Page) -> None:
    chart = report.locator('[data-chart="thrust"]')
    chart.scroll_into_view_if_needed()
    chart.locator("svg").wait_for()
    paper = "getComputedStyle(document.body).backgroundColor"
    line = report.locator('[data-chart="thrust"] svg .mark-line path[stroke-width="2.2"]').first
    before = (report.evaluate(paper), line.get_attribute("stroke"))
    report.locator("#theme").click()
    expect(line).not_to_have_attribute("stroke", before[1] or "")
    assert report.evaluate(paper) != before[0]


def test_a_run_with_a_finding_opens_with_its_picture(report: Page) -> None:
    run = report.locator("details.run.warning").first
    run.locator("summary").click()
    expect(run.locator(".picture svg")).to_be_visible()
    assert "tachometer" in run.inner_text() or "spikes" in run.inner_text()
    assert "Speed [rpm]" in run.locator(".picture svg").inner_html()


def test_another_class_brings_its_own_designs(report: Page) -> None:
    before = {row["design"] for row in rows_of(report)}
    label = next(text for text in report.locator("#scope option").all_inner_texts() if "3 blades" in text)
    report.select_option("#scope", label=label)
    after = {row["design"] for row in rows_of(report)}
    assert after
    assert not after & before


def test_a_phone_shows_everything_without_scrolling_sideways(report: Page) -> None:
    report.set_viewport_size({"width": 390, "height": 844})
    for name in ("#ranking", "#curves"):
        report.locator(name).scroll_into_view_if_needed()
        assert report.evaluate("document.documentElement.scrollWidth") <= 390
    assert all(row["value"] for row in rows_of(report))
    expect(report.locator("#ranking-table td.strip svg").first).to_be_visible()


def test_on_a_phone_all_intervals_are_drawn_to_one_scale(report: Page) -> None:
    report.set_viewport_size({"width": 390, "height": 844})
    widths = report.locator("#ranking-table td.strip svg").evaluate_all(
        "all => all.map(one => Math.round(one.getBoundingClientRect().width))"
    )
    assert len(set(widths)) == 1
    scale = report.locator("#ranking-table .scale").bounding_box()
    assert scale is not None
    assert abs(scale["width"] - widths[0]) <= 1


def test_the_books_comparison_points_are_marked_on_the_slider(report: Page, demo: Path) -> None:
    points = tomllib.loads((demo / "book.toml").read_text(encoding="utf-8"))["comparison_thrusts"]
    marks = report.locator("#marks option").evaluate_all("all => all.map(one => one.value)")
    assert [move_to(report, int(mark)) for mark in marks] == points


def test_pointing_at_a_row_shades_those_it_is_tied_with(report: Page) -> None:
    row = report.locator("#ranking-table tbody tr").nth(1)
    names = set(row.locator(".tied").get_attribute("data-tied").split(", "))
    assert names
    row.hover()
    shaded = report.locator("#ranking-table tr.with").evaluate_all("all => all.map(one => one.dataset.design)")
    assert set(shaded) == names


def test_designs_are_chosen_by_the_keyboard(report: Page) -> None:
    chips = report.locator(".chip")
    before = chips.count()
    name = report.locator("#ranking-table button.name").first
    name.focus()
    name.press("Enter")
    expect(chips).to_have_count(before - 1)
    expect(report.locator("#ranking-table button.name").first).to_have_attribute("aria-pressed", "false")


def test_charts_out_of_sight_follow_when_the_reader_rests(report: Page) -> None:
    last = report.locator("[data-chart]").last
    expect(last.locator("svg")).to_be_attached()
    expect(last.locator('svg .mark-line path[stroke-width="2.2"]')).to_have_count(report.locator(".chip").count())
    label = next(text for text in report.locator("#scope option").all_inner_texts() if "3 blades" in text)
    report.select_option("#scope", label=label)
    expect(last.locator('svg .mark-line path[stroke-width="2.2"]')).to_have_count(report.locator(".chip").count())


def test_inflow_ratio_is_told_apart_by_blade_count_where_there_are_several(report: Page) -> None:
    label = next(text for text in report.locator("#scope option").all_inner_texts() if "3 blades" in text)
    report.select_option("#scope", label=label)
    chart = report.locator('[data-chart="inflow-ratio"]')
    chart.scroll_into_view_if_needed()
    chart.locator("svg.marks").wait_for()
    assert [text.strip() for text in chart.locator(".groups").all_inner_texts()] == ["2 blades", "3 blades"]
    colours = chart.locator("svg .mark-line path[stroke]").evaluate_all(
        "all => all.map(one => one.getAttribute('stroke'))"
    )
    assert len(set(colours)) == 2


def test_a_page_opens_dark_where_the_reader_likes_it_dark(report: Page) -> None:
    light = report.evaluate("getComputedStyle(document.body).backgroundColor")
    report.emulate_media(color_scheme="dark")
    expect(report.locator("#theme")).to_have_text("Light")
    assert report.evaluate("getComputedStyle(document.body).backgroundColor") != light
    report.emulate_media(media="print", color_scheme="dark")
    assert report.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


def test_without_scripts_the_rankings_stand_as_tables(browser: Browser, demo: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo / "report.html").as_uri())
    assert page.locator(".plain table").count() > 5
    expect(page.locator(".plain table").first).to_be_visible()
    expect(page.locator("#bar")).to_be_hidden()
    context.close()


def test_the_saved_table_holds_the_ranking(report: Page) -> None:
    with report.expect_download() as download:
        report.locator("#save").click()
    lines = Path(download.value.path()).read_text(encoding="utf-8").splitlines()
    assert lines[1].startswith("place,design,shaft power [W],95 % from,95 % to")
    assert [line.split(",")[1] for line in lines[2:]] == [row["design"] for row in rows_of(report)]
