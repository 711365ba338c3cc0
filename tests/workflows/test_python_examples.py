"""Python examples of the README and of docs/how-to/python.md, run on the demonstration book that they name."""

from __future__ import annotations

import doctest
import shutil
from pathlib import Path

import pytest

from support.report_books import demo_with_report
from support.source import ROOT


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demonstration book, under the name that the tutorial and the one that script/demo gives it."""
    made = tmp_path_factory.mktemp("examples")
    shutil.copytree(demo_with_report(tmp_path_factory), made / "demo")
    (made / "demo-book").symlink_to("demo")
    return made


@pytest.mark.parametrize("page", ["README.md", "docs/how-to/python.md"])
def test_examples_give_what_the_page_says(page: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    found = doctest.testfile(
        str(ROOT / page), module_relative=False, encoding="utf-8", optionflags=doctest.NORMALIZE_WHITESPACE
    )
    assert found.attempted > 2
    assert found.failed == 0
