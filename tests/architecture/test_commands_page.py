"""docs/commands.md and docs/library.md are what the commands and functions themselves say."""

from __future__ import annotations

import ast

import pytest

from isothrust.cli.main import COMMANDS
from isothrust.cli.reference import MAY_LEAVE_RUNS, commands_page
from support.library_page import library_page
from support.source import PACKAGE, ROOT, Module


def test_page_of_commands_is_what_the_commands_say() -> None:
    page = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert page == commands_page(), "run python -m isothrust.cli.reference > docs/commands.md"


def test_page_of_python_functions_is_what_their_docstrings_say() -> None:
    page = (ROOT / "docs" / "library.md").read_text(encoding="utf-8")
    assert page == library_page(), "run PYTHONPATH=tests python -m support.library_page > docs/library.md"


@pytest.mark.parametrize("name", list(COMMANDS))
def test_a_command_that_may_end_with_1_is_told_so(name: str) -> None:
    module = Module(PACKAGE / "cli" / f"{COMMANDS[name].module.rsplit('.', 1)[-1]}.py")
    calls = {ast.unparse(node.func) for node in ast.walk(module.tree) if isinstance(node, ast.Call)}
    assert ("exit_status_for" in calls) == (name in MAY_LEAVE_RUNS)


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_option_has_its_meaning(name: str) -> None:
    _, _, rest = commands_page().partition(f"\n## isothrust {name}\n")
    section = rest.partition("\n## ")[0]
    rows = [line for line in section.splitlines() if line.startswith("| `")]
    assert any("`--debug`" in row for row in rows)
    assert all(len(row.split(" | ")[-1]) > 10 for row in rows)
