"""Examples in the pages run and give what the pages say; those that need a book have a test of their own."""

from __future__ import annotations

import doctest
import re

import pytest

from support.source import ROOT

PROMPT = re.compile(r"^>>> ", re.MULTILINE)
NEED_A_BOOK = {"README.md", "docs/how-to/python.md"}
PAGES = [
    str(path.relative_to(ROOT))
    for path in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    if PROMPT.search(path.read_text(encoding="utf-8"))
]


def test_pages_with_examples_are_found() -> None:
    assert set(PAGES) > {"docs/explanation/ties.md", "docs/how-to/python.md"}


@pytest.mark.parametrize("page", [page for page in PAGES if page not in NEED_A_BOOK])
def test_examples_give_what_the_page_says(page: str) -> None:
    found = doctest.testfile(str(ROOT / page), module_relative=False, encoding="utf-8")
    assert found.attempted > 0
    assert found.failed == 0
