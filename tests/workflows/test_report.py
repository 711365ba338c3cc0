"""The report as a file: every number in it is one that results and compare give, and what is not known is told."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from isothrust.present.flags import flag_notes
from support.commands import json_of, run_command, run_process
from support.report_books import demo_with_report, page_data
from support.small_books import write_small_book

Key = tuple[str, str, str, float | None]
MEGABYTE = 1e6


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_with_report(tmp_path_factory)


@pytest.fixture(scope="module")
def data(demo: Path) -> dict[str, Any]:
    return page_data(demo / "report.html")


def conditions(data: dict[str, Any], quantity: str) -> list[str]:
    """Return every condition of every grid, as it is typed after --at."""
    words = {word for scope in data["scopes"] for word in scope["grids"][quantity]["words"]}
    return [f"--at={quantity}={word.removeprefix('at ').replace(' ', '')}" for word in sorted(words)]


def figures(data: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    for scope in data["scopes"]:
        for figure in scope["figures"].values():
            yield scope, figure


def points(scope: dict[str, Any], figure: dict[str, Any]) -> list[float | None]:
    return [None] if figure["quantity"] is None else scope["grids"][figure["quantity"]]["values"]


def asked(command: str, data: dict[str, Any], demo: Path) -> list[dict[str, Any]]:
    """Return what a command says of everything in the page."""
    found: list[dict[str, Any]] = []
    for quantity in ("thrust", "speed", None):
        names = {figure["measurand"] for _, figure in figures(data) if figure["quantity"] == quantity}
        where = [] if quantity is None else conditions(data, quantity)
        found += json_of(command, *(f"--of={name}" for name in sorted(names)), *where, folder=demo)
    return found


def test_every_number_of_the_page_is_that_of_results(data: dict[str, Any], demo: Path) -> None:
    given: dict[Key, dict[str, Any]] = {}
    for one in asked("results", data, demo):
        value = None if one["condition"] is None else one["condition"]["value"]
        given[one["campaign"], one["design"], one["measurand"], value] = one
    walked = 0
    for scope, figure in figures(data):
        for number, design in enumerate(scope["designs"]):
            for place, condition in enumerate(points(scope, figure)):
                shown = [figure[name][number][place] for name in ("value", "low", "high")]
                one = given[scope["campaign"], design, figure["measurand"], condition]
                interval = one["interval_of_design"] or one["interval"] or [None, None]
                assert shown == [one["value"], *interval], (figure["measurand"], design, condition)
                walked += shown[0] is not None
    assert walked > 4000


def test_every_ranking_of_the_page_is_that_of_compare(data: dict[str, Any], demo: Path) -> None:
    given: dict[tuple[str, str, str, float | None], dict[str, Any]] = {}
    for one in asked("compare", data, demo):
        value = None if one["condition"] is None else one["condition"]["value"]
        campaign = (one["ranks"] or [{"result": one["absent"][0]}])[0]["result"]["campaign"]
        given[campaign, one["class"], one["measurand"], value] = one
    for scope, figure in figures(data):
        for place, condition in enumerate(points(scope, figure)):
            one = given[scope["campaign"], scope["class"], figure["measurand"], condition]
            ranks, names = figure["ranks"][place], scope["designs"]
            assert [names[number] for number in ranks["order"]] == [rank["result"]["design"] for rank in one["ranks"]]
            assert ranks["place"] == [rank["place"] for rank in one["ranks"]]
            tied = [{names[bit] for bit in range(len(names)) if int(bits, 16) >> bit & 1} for bits in ranks["tied"]]
            assert tied == [set(rank["tied_with"]) for rank in one["ranks"]]
            assert figure["said"][place] == " ".join(one["sentences"])
            assert [figure["notes"][number] for number in figure["noted"][place]] == below(one)
            absent = {names[int(number)]: reason for number, reason in ranks["absent"].items()}
            assert absent == {result["design"]: result["absent"] for result in one["absent"]}
            assert_said(ranks, one)


def assert_said(ranks: dict[str, Any], one: dict[str, Any]) -> None:
    """Hold the words of a ranking against its numbers: rounded to the digits that are shown."""
    first = one["ranks"][0]["result"]["value"] if one["ranks"] else None
    pairs = {(pair["first"], pair["second"]): pair for pair in one["pairs"]}
    for number, rank in enumerate(one["ranks"]):
        result = rank["result"]
        close(ranks["text"][number].split(" ± ")[0], result["value"])
        if number:
            pair = pairs[one["ranks"][0]["result"]["design"], result["design"]]
            close(ranks["apart"][number].split(" ± ")[0], -100.0 * pair["difference"] / abs(first))


def below(one: dict[str, Any]) -> list[str]:
    """Return what the command says below a ranking: its notes, and each flag with what it means."""
    return [
        *one["notes"],
        *flag_notes((rank["result"]["design"], "", tuple(rank["result"]["flags"])) for rank in one["ranks"]),
    ]


SCOPES = {"rig": "rig", "campaign": "campaign", "runs": "run", "mounting": "mounting"}


def share(budget: list[dict[str, Any]], scope: str) -> float:
    """Return the root of the sum of squares over the keys of a scope."""
    sums: dict[str, float] = {}
    for line in budget:
        if line["scope"] == scope:
            sums[line["key"]] = sums.get(line["key"], 0.0) + line["contribution"]
    return math.sqrt(math.fsum(value**2 for value in sums.values()))


def test_the_shares_of_the_uncertainty_are_those_of_the_budgets(demo: Path) -> None:
    text = (demo / "report.html").read_text(encoding="utf-8")
    given = {
        (one["campaign"], one["design"]): one
        for one in json_of("results", "--of=shaft-power", "--at=thrust=500gf", folder=demo)
    }
    tables = re.findall(
        r'<div class="scroll" data-of="[^"]*, ([^"]*)"><table class="shares">(.*?)</table>', text, re.DOTALL
    )
    walked = 0
    for campaign, table in tables:
        heads = re.findall(r'<th scope="col"[^>]*>([^<]*)</th>', table)[1:]
        for row in re.findall(r"<tr><td>(.*?)</tr>", table, re.DOTALL):
            design, *cells = [re.sub("<[^>]*>", "", cell) for cell in row.split("<td ")]
            figures = [cell.partition(">")[2] for cell in cells]
            one = given[campaign, design]
            squares = 0.0
            for head, figure in zip(heads, figures, strict=True):
                shown = 0.0 if figure == "–" else float(figure)
                if head in SCOPES:
                    close(figure, 100.0 * share(one["budget"], SCOPES[head]) / one["value"])
                    walked += 1
                if head != "all":
                    squares += shown**2
            # Two digits of each are shown.
            assert float(figures[-1]) == pytest.approx(math.sqrt(squares), rel=0.06)
    assert walked >= 40


def close(text: str, value: float) -> None:
    digits = len(text.partition(".")[2])
    places = -digits if digits else len(text.strip("+-")) - len(text.strip("+-").rstrip("0"))
    assert abs(float(text) - value) <= 0.5001 * 10.0**places, (text, value)


def test_the_same_book_gives_the_same_bytes(demo: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.html"
    run_process("report", "--out", str(again), folder=demo)
    assert again.read_bytes() == (demo / "report.html").read_bytes()


def test_the_page_asks_for_nothing_outside_itself(demo: Path) -> None:
    text = (demo / "report.html").read_text(encoding="utf-8")
    head, _, _ = text.partition('<script type="application/json"')
    for word in ("src=", "@import", "url(", "<iframe", '<link rel="stylesheet"'):
        assert word not in head
    assert len(text.encode()) < 6 * MEGABYTE


def test_the_cautions_stand_in_the_page(demo: Path) -> None:
    text = (demo / "report.html").read_text(encoding="utf-8")
    for words in ("plane of rotation", "eye and ear protection", "Lithium batteries", "Local flying rules"):
        assert words in text


def test_one_campaign_alone_holds_no_other(demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "one.html"
    run_command("report", "--campaign", "june-recheck", "--out", str(out), "--title", "June <again>", folder=demo)
    assert {scope["campaign"] for scope in page_data(out)["scopes"]} == {"june-recheck"}
    assert "<h1>June &lt;again&gt;</h1>" in out.read_text(encoding="utf-8")


def test_an_unknown_campaign_is_told_with_the_nearest(demo: Path) -> None:
    done = run_command("report", "--campaign", "june", folder=demo, status=2)
    assert "[unknown-campaign]" in done.stderr
    assert "june-recheck" in done.stderr


def test_a_book_whose_runs_give_nothing_still_gets_a_page_that_says_why(tmp_path: Path) -> None:
    book = write_small_book(tmp_path / "book", {"r1": "this is prose\nand no log\n"})
    run_command("report", folder=book)
    text = (book / "report.html").read_text(encoding="utf-8")
    assert page_data(book / "report.html")["scopes"] == []
    assert "could not be reduced" in text


def test_names_that_look_like_markup_stay_text(tmp_path: Path) -> None:
    book = write_small_book(tmp_path / "book", {"r1": "this is prose\n"})
    settings = book / "book.toml"
    settings.write_text('title = "</script><script>alert(1)</script>"\n', encoding="utf-8")
    run_command("report", folder=book)
    text = (book / "report.html").read_text(encoding="utf-8")
    assert "<script>alert" not in text
