"""Pages name commands, options, files and keys that exist."""

from __future__ import annotations

import re

import pytest

from isothrust.cli.main import COMMANDS
from support.commands import run_command
from support.source import ROOT

PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
CODE = re.compile(r"```\w*\n(.*?)```|`([^`\n]+)`", re.DOTALL)
COMMAND = re.compile(r"^\s*(?:\.venv/bin/)?isothrust ([a-z][a-z-]*)([^\n#]*)", re.MULTILINE)
LINK = re.compile(r"\]\(([^)#]+)\)")


def commands_named() -> dict[str, set[str]]:
    """Command -> options that code in the pages names with it."""
    texts = [block or span for page in PAGES for block, span in CODE.findall(page.read_text(encoding="utf-8"))]
    texts.append((ROOT / "script" / "demo").read_text(encoding="utf-8").replace("$isothrust", "isothrust"))
    named: dict[str, set[str]] = {}
    for name, rest in COMMAND.findall("\n".join(texts)):
        named.setdefault(name, set()).update(re.findall(r"--[a-z-]+", rest))
    return named


def test_pages_name_only_commands_that_exist() -> None:
    assert set(commands_named()) <= set(COMMANDS)
    assert {"new", "add", "check", "reduce", "results", "compare"} <= set(commands_named())


@pytest.mark.parametrize("name", sorted(set(commands_named()) & set(COMMANDS)))
def test_options_that_pages_name_exist(name: str) -> None:
    options = commands_named()[name]
    told = run_command(name, "--help", folder=ROOT)
    assert options <= set(re.findall(r"--[a-z-]+", told.stdout))


def test_links_between_pages_lead_somewhere() -> None:
    for page in PAGES:
        for target in LINK.findall(page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name}: {target}"


def test_decisions_are_numbered_and_have_their_three_parts() -> None:
    decisions = sorted((ROOT / "docs" / "decisions").glob("*.md"))
    assert [int(page.name[:4]) for page in decisions] == list(range(1, len(decisions) + 1))
    for page in decisions:
        text = page.read_text(encoding="utf-8")
        assert text.startswith(f"# {page.name[:4]}: ")
        assert [f"## {part}\n" in text for part in ("Context", "Decision", "Consequences")] == [True] * 3


def test_every_runtime_dependency_has_its_reason_and_its_pin() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    reasons = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    for kind, group in (("run", project["project"]["dependencies"]), ("test", project["dependency-groups"]["test"])):
        pins = (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8").lower()
        for package in group:
            assert f"\n{package.lower()}==" in f"\n{pins}", f"{package} is not pinned: run script/lock"
            assert package.lower() in reasons.lower(), f"docs/dependencies.md gives no reason for {package}"


def test_requirements_hold_names_and_versions_only() -> None:
    line = re.compile(r"[a-z0-9._-]+==[\w.]+( ; [\w .'<>=!-]+)?")
    for path in (ROOT / "requirements").glob("*.txt"):
        for text in path.read_text(encoding="utf-8").splitlines():
            assert line.fullmatch(text), f"{path.name}: {text}"
