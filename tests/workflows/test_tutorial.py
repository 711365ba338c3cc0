"""docs/tutorial.md, done by a reader who types what it shows: every command runs and prints the lines shown."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from support.console import Typed, Written, missing_lines, steps_of
from support.report_books import demo_said, demo_with_report
from support.source import ROOT

PAGE = (ROOT / "docs" / "tutorial.md").read_text(encoding="utf-8")


def typed(command: str, folder: Path) -> str:
    """What a command prints on both streams; 1 is the status where a run failed, as one does in the demonstration."""
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    environment = {**os.environ, "PATH": path, "COLUMNS": "100", "NO_COLOR": "1"}
    done = subprocess.run(
        command,
        shell=True,
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode in {0, 1}, f"{command}: {done.returncode}\n{done.stdout}"
    return done.stdout


def test_every_command_of_the_tutorial_prints_what_the_page_shows(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    steps = steps_of(PAGE)
    first = steps[0]
    assert isinstance(first, Typed)
    assert first.command == "isothrust demo demo"
    made = demo_with_report(tmp_path_factory)
    shutil.copytree(made, tmp_path / "demo")
    assert missing_lines(first.shown, demo_said(made)) == [], demo_said(made)
    for step in steps[1:]:
        if isinstance(step, Written):
            assert (tmp_path / step.name).is_file(), f"{step.name} is not one of the files that the reader has"
            (tmp_path / step.name).write_text(step.text, encoding="utf-8")
        else:
            printed = typed(step.command, tmp_path)
            assert missing_lines(step.shown, printed) == [], f"$ {step.command}\n{printed}"
    assert (tmp_path / "bench" / "report.html").stat().st_size > 1e5
    assert (tmp_path / "shaft-efficiency.png").is_file()


def test_the_tutorial_uses_every_command_of_the_first_hour() -> None:
    used = {
        step.command.split()[1] for step in steps_of(PAGE) if isinstance(step, Typed) and "isothrust" in step.command
    }
    assert used >= {"demo", "compare", "explain", "check", "new", "reduce", "report", "chart"}
    assert {step.name for step in steps_of(PAGE) if isinstance(step, Written)} == {
        "bench/rigs/evening.toml",
        "bench/propellers.csv",
        "bench/campaigns/evening/campaign.toml",
    }


@pytest.mark.parametrize(
    ("shown", "missing"),
    [
        (("one", "two"), []),
        (("one", "…", "three"), []),
        (("…", "two", "three"), []),
        (("one", "three"), ["three"]),
        (("…", "three", "…", "two"), ["two"]),
        (("o…e",), []),
        (("on",), ["on"]),
    ],
)
def test_lines_are_held_to_what_was_printed(shown: tuple[str, ...], missing: list[str]) -> None:
    assert missing_lines(shown, "one\ntwo  \nthree\n") == missing
