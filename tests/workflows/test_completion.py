"""Completion as a shell asks for it: by a variable in the environment, in a process of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from isothrust.cli.completing import TABLE
from isothrust.cli.completion_table import completion_table
from isothrust.cli.main import COMMANDS
from isothrust.present.charts.catalogue import CHARTS
from isothrust.workflows.selection import COMPUTED
from support.small_books import row, write_small_book

PROGRAM = "from isothrust.cli import main\nif __name__ == '__main__':\n    main()\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    rows = [row("r01"), row("r02", design="Tern", sample="T 1")]
    root = write_small_book(tmp_path / "book", {"r01": "level=1", "r02": "level=2"}, rows)
    write_small_book(root, {"r01": "level=1", "q05": "level=1"}, [row("r01"), row("q05")], campaign="summer")
    write_small_book(root, {"r01": "level=1", "r02": "level=2"}, rows)
    (root / "book.toml").write_text('title = "Small"\ncomparison_thrusts = ["250 gf", "500 gf"]\n')
    return root


@pytest.fixture
def program(tmp_path: Path) -> Path:
    path = tmp_path / "run.py"
    path.write_text(PROGRAM)
    return path


def asked(program: Path, folder: Path, *words: str, shell: str = "bash", index: int | None = None) -> list[str]:
    """Return the answer to a shell whose last word is being typed."""
    environment = {
        **os.environ,
        "_ISOTHRUST_COMPLETE": f"{shell}_complete",
        "COMP_WORDS": "\n".join(("isothrust", *words)),
        "COMP_CWORD": str(len(words) if index is None else index),
    }
    done = subprocess.run(
        [sys.executable, program], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return [line for line in done.stdout.splitlines() if line]


def values(lines: list[str]) -> list[str]:
    return [line.partition(",")[2] for line in lines if line.startswith("plain,")]


def test_the_table_is_what_the_commands_say() -> None:
    told = "run python -m isothrust.cli.completion_table > src/isothrust/cli/completion.json"
    assert TABLE.read_text(encoding="utf-8") == completion_table(), told


def test_commands_and_options_are_completed(program: Path, tmp_path: Path) -> None:
    assert values(asked(program, tmp_path, "")) == list(COMMANDS)
    assert set(values(asked(program, tmp_path, "re"))) == {"reduce", "results", "report"}
    assert "--version" in values(asked(program, tmp_path, "--"))
    options = values(asked(program, tmp_path, "results", "--"))
    assert {"--of", "--at", "--design", "--campaign", "--per", "--json", "--book", "--help"} <= set(options)
    assert values(asked(program, tmp_path, "results", "--per", "")) == ["design", "sample", "run"]


def test_names_of_the_book_are_completed(program: Path, book: Path) -> None:
    assert values(asked(program, book, "results", "--design", "")) == ["Auk", "Tern"]
    assert values(asked(program, book, "results", "--design", "t")) == ["Tern"]
    assert values(asked(program, book, "compare", "--campaign", "s")) == ["spring", "summer"]
    assert values(asked(program, book, "check", "--rig", "")) == ["loft"]
    assert values(asked(program, book, "check", "--sample", "T")) == ["T\\ 1"]
    # a run that two campaigns have is named with its campaign
    assert values(asked(program, book, "check", "")) == ["spring/r01", "r02", "summer/r01", "q05"]
    assert values(asked(program, book, "explain", "T")) == ["Tern"]
    assert values(asked(program, book, "chart", "")) == list(CHARTS)


def test_another_book_is_asked_where_one_is_named(program: Path, book: Path, tmp_path: Path) -> None:
    assert values(asked(program, tmp_path, "results", "--design", "")) == []
    assert values(asked(program, tmp_path, "results", "--book", str(book), "--design", "")) == ["Auk", "Tern"]


def test_measurands_are_those_that_are_computed(program: Path, tmp_path: Path) -> None:
    assert set(values(asked(program, tmp_path, "results", "--of", ""))) == COMPUTED
    assert values(asked(program, tmp_path, "results", "--of", "shaft-e")) == ["shaft-efficiency"]
    # bash parts words at the sign
    assert values(asked(program, tmp_path, "results", "--of", "=", "shaft-e")) == ["shaft-efficiency"]


def test_conditions_are_the_quantities_and_the_books_own_points(program: Path, book: Path, tmp_path: Path) -> None:
    assert values(asked(program, tmp_path, "results", "--at", "")) == ["thrust=", "speed="]
    assert values(asked(program, book, "results", "--at", "th")) == ["thrust=", "thrust=250gf", "thrust=500gf"]
    # what bash keeps in front of the sign must not come twice
    assert values(asked(program, book, "results", "--at", "thrust", "=")) == ["250gf", "500gf"]
    assert values(asked(program, book, "results", "--at", "thrust", "=", "5")) == ["500gf"]
    assert values(asked(program, book, "results", "--at", "=", "thrust", "=", "5")) == ["500gf"]
    # a bash that parts nothing at the sign, and zsh, want the whole word
    assert values(asked(program, book, "results", "--at", "thrust=5")) == ["thrust=500gf"]
    assert "thrust=500gf" in asked(program, book, "results", "--at", "thrust=5", shell="zsh")


def test_paths_are_left_to_the_shell(program: Path, book: Path) -> None:
    assert asked(program, book, "demo", "x") == ["dir,x"]
    assert asked(program, book, "results", "--book", "b") == ["dir,b"]
    # a fresh file, where no run begins like that
    assert asked(program, book, "check", "fresh") == ["file,fresh"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_shell_gets_names_and_says_what_they_are(program: Path, book: Path, shell: str) -> None:
    if shell == "fish":
        environment_word = "T"
        lines = subprocess.run(
            [sys.executable, program],
            cwd=book,
            env={
                **os.environ,
                "_ISOTHRUST_COMPLETE": "fish_complete",
                "COMP_WORDS": "isothrust results --design T",
                "COMP_CWORD": environment_word,
            },
            capture_output=True,
            text=True,
            check=True,
        ).stdout.splitlines()
    else:
        lines = asked(program, book, "results", "--design", "T", shell=shell)
    assert any("Tern" in line for line in lines)
    assert not any("Auk" in line for line in lines)


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("propellers.csv", ""),
        ("propellers.csv", "PAR1\0\0\0"),
        ("propellers.csv", "maker\nnobody\n"),
        ("book.toml", "title = ["),
        ("campaigns/spring/runs.csv", "run,run\n1,2\n"),
    ],
)
def test_a_broken_book_is_met_with_silence(program: Path, book: Path, file: str, text: str) -> None:
    (book / file).write_text(text)
    for words in (("results", "--design", ""), ("check", ""), ("results", "--at", ""), ("explain", "")):
        asked(program, book, *words)


def test_words_that_make_no_sense_are_met_with_silence(program: Path, tmp_path: Path) -> None:
    asked(program, tmp_path, "reslts", "--of", "")
    asked(program, tmp_path, "results", "--nonsense", "")
    assert asked(program, tmp_path, "results", "--of", "nonsense") == []
    for question in ("bash", "tcsh_complete", "bash_nonsense", ""):
        environment = {**os.environ, "_ISOTHRUST_COMPLETE": question}
        done = subprocess.run([sys.executable, program], env=environment, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout, done.stderr) == (1, "", "")


def test_nothing_heavy_is_imported_while_somebody_types(book: Path) -> None:
    """The names of a book without the libraries that its figures are computed with: the answer must come at once."""
    statement = (
        "import os, sys\nfrom isothrust.cli import main\n"
        "os.environ.update(_ISOTHRUST_COMPLETE='bash_complete', COMP_CWORD='3')\n"
        "os.environ['COMP_WORDS'] = 'isothrust results --design T'\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\nprint(*sorted(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", statement], cwd=book, capture_output=True, text=True, check=True)
    answer, loaded = done.stdout.splitlines()[-2:]
    assert answer == "plain,Tern"
    assert not set(loaded.split()) & {"numpy", "scipy", "polars", "isothrust.cli.results"}


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_says_how_to_install_it_and_is_taken_by_its_shell(
    program: Path, book: Path, tmp_path: Path, shell: str
) -> None:
    done = subprocess.run([sys.executable, program, "completion", shell], capture_output=True, text=True, check=True)
    assert f"# To install it:  isothrust completion {shell} > " in done.stdout
    assert "_ISOTHRUST_COMPLETE" in done.stdout
    if shell == "zsh":
        assert done.stdout.startswith("#compdef isothrust\n")
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed here: its script was looked at, not run")
    script = tmp_path / f"script.{shell}"
    script.write_text(done.stdout)
    subprocess.run([shell, "-n", script], check=True)
    if shell == "bash":
        called = tmp_path / "isothrust"
        called.write_text(f'#!/bin/sh\nexec "{sys.executable}" "{program}" "$@"\n')
        called.chmod(0o755)
        line = (
            f"source '{script}'; COMP_WORDS=(isothrust results --at thrust = 5); COMP_CWORD=5; "
            '_isothrust_completion isothrust; echo "${COMPREPLY[@]}"'
        )
        path = f"{tmp_path}{os.pathsep}{os.environ['PATH']}"
        typed = subprocess.run(
            ["bash", "--norc", "-c", line],
            cwd=book,
            env={**os.environ, "PATH": path},
            capture_output=True,
            text=True,
            check=True,
        )
        assert typed.stdout.split() == ["500gf"]


def test_an_unknown_shell_is_told_with_those_there_are(program: Path) -> None:
    done = subprocess.run([sys.executable, program, "completion", "tcsh"], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "[wrong-usage]" in done.stderr
    assert "bash" in done.stderr
