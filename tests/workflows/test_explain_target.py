"""Which design or run a name means."""

from __future__ import annotations

import pytest

from isothrust.errors import UsageError
from isothrust.records.book import Book, Campaign, Design, Run
from isothrust.records.rig import Rig
from isothrust.workflows.explain_target import Target, find_target


def book(**campaigns: tuple[tuple[str, str], ...]) -> Book:
    """Campaigns of runs, each a name and a design; designs Auk and Gull are known."""
    made = {
        name: Campaign(
            name,
            Rig("loft", "", {}),
            None,
            tuple(Run(run, name, design, "", "", "ramp", {}, "", None) for run, design in runs),
        )
        for name, runs in campaigns.items()
    }
    designs = {name: Design(name) for name in ("Auk", "Gull")}
    return Book("book", "Book", "", 1.225, (), (), (), designs, {}, {}, made)


BOOK = book(spring=(("r1", "Auk"), ("r2", "Gull"), ("Gull", "Auk")), autumn=(("r1", "Auk"), ("r3", "Auk")))


def code(name: str, *campaigns: str, kind: str | None = None) -> str:
    with pytest.raises(UsageError) as refused:
        find_target(BOOK, name, campaigns, kind)  # type: ignore[arg-type]
    return refused.value.code


def test_a_design_has_the_campaigns_that_ran_it() -> None:
    assert find_target(BOOK, "Auk") == Target("design", "Auk", "Auk", ("spring", "autumn"))
    assert find_target(BOOK, "Auk", ["autumn"]).campaigns == ("autumn",)


def test_a_design_without_a_run_is_asked_of_every_campaign() -> None:
    assert find_target(BOOK, "Gull", ["autumn"], "design").campaigns == ("autumn",)


def test_a_run_is_found_by_its_name_alone_where_one_campaign_has_it() -> None:
    assert find_target(BOOK, "r2") == Target("run", "r2", "Gull", ("spring",))
    assert find_target(BOOK, "spring/r2") == find_target(BOOK, "r2")
    assert find_target(BOOK, "r1", ["autumn"]).campaigns == ("autumn",)


def test_a_name_that_means_two_things_is_refused() -> None:
    assert code("Gull") == "ambiguous-name"
    assert code("r1") == "ambiguous-name"
    assert find_target(BOOK, "Gull", kind="design").kind == "design"
    assert find_target(BOOK, "Gull", kind="run").kind == "run"
    assert find_target(BOOK, "spring/Gull").kind == "run"
    assert find_target(BOOK, "Gull", ["autumn"]).kind == "design"


def test_an_unknown_name_is_refused_with_names_of_the_form_that_was_written() -> None:
    assert code("Tern") == code("r9") == "unknown-name"
    assert code("Auk", kind="run") == code("r1", kind="design") == "unknown-name"
    assert code("r1", "summer") == "unknown-campaign"
    with pytest.raises(UsageError) as refused:
        find_target(BOOK, "sprig/r2")
    assert refused.value.problems[0].expected is not None
    assert refused.value.problems[0].expected.startswith("spring/r2")
    with pytest.raises(UsageError) as refused:
        find_target(BOOK, "Augk")
    assert refused.value.problems[0].fix is not None
    assert "explain Auk" in refused.value.problems[0].fix


def test_an_empty_book_says_what_fills_it() -> None:
    empty = Book("book", "Book", "", 1.225, (), (), (), {}, {}, {}, {})
    with pytest.raises(UsageError) as refused:
        find_target(empty, "Auk")
    assert "isothrust add" in str(refused.value)
