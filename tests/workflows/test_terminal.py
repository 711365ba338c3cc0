"""What a terminal is sent: colour only where it is wanted, bars only where they can be drawn; a file gets neither."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from isothrust.cli.progress import ProgressBar
from isothrust.workflows.reduce import reduce_book
from support.bench_books import write_bench_book

if sys.platform == "win32":
    pytest.skip("there is no pseudo-terminal of this kind there", allow_module_level=True)

from support.terminal import each_in_a_terminal, each_through_pipes, in_a_terminal

ESCAPE = "\x1b"
COMMANDS = (
    ("reduce",),
    ("check",),
    ("check", "{log}", "--kind", "ramp", "--design", "auk"),
    ("results", "--of", "thrust-coefficient"),
    ("results", "--list"),
    ("compare", "--of", "shaft-power"),
    ("explain", "auk"),
    ("explain", "nobody"),
    ("results", "--of", "thrst"),
    ("nonsense",),
    ("--help",),
    ("--version",),
    ("completion", "bash"),
)
COLOURED = ("reduce", "check", "results", "compare")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_bench_book(tmp_path_factory.mktemp("terminal") / "book")
    reduce_book(root)
    return root


def words(book: Path, command: tuple[str, ...]) -> list[str | Path]:
    """Return the words with the book that they are asked of; help and completion ask none."""
    typed: list[str | Path] = [word.format(log=book / "campaigns/spring/raw/r001.csv") for word in command]
    alone = command[0] in {"--help", "--version", "completion", "nonsense"} or "--list" in command
    return typed if alone else [*typed, "--book", book]


@pytest.mark.parametrize("name", COLOURED)
def test_tables_are_coloured_in_a_terminal(book: Path, name: str) -> None:
    command = next(command for command in COMMANDS if command[0] == name)
    sent = in_a_terminal(*words(book, command))
    assert f"{ESCAPE}[1m" in sent
    assert f"{ESCAPE}[0m" in sent


PLAIN = {"NO_COLOR": {"NO_COLOR": "1"}, "TERM=dumb": {"TERM": "dumb"}}


@pytest.fixture(scope="module", params=PLAIN)
def sent(request: pytest.FixtureRequest, book: Path) -> dict[tuple[str, ...], str]:
    """What a terminal without colour was sent by each command."""
    sent = each_in_a_terminal([words(book, command) for command in COMMANDS], **PLAIN[request.param])
    return dict(zip(COMMANDS, sent, strict=True))


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_no_colour_is_sent_where_none_is_wanted(sent: dict[tuple[str, ...], str], command: tuple[str, ...]) -> None:
    assert sent[command].strip()
    assert ESCAPE not in sent[command]


@pytest.fixture(scope="module")
def piped(book: Path) -> dict[tuple[str, ...], tuple[str, str]]:
    """What each command wrote to two pipes."""
    written = each_through_pipes([words(book, command) for command in COMMANDS])
    return dict(zip(COMMANDS, written, strict=True))


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_neither_colour_nor_bar_goes_into_a_pipe(
    piped: dict[tuple[str, ...], tuple[str, str]], command: tuple[str, ...]
) -> None:
    out, err = piped[command]
    assert out + err
    for text in (out, err):
        assert ESCAPE not in text
        assert "\r" not in text


def test_an_empty_no_color_is_as_good_as_none(book: Path) -> None:
    """The convention asks for a value that is not empty."""
    assert ESCAPE in in_a_terminal("compare", "--of", "shaft-power", "--book", book, NO_COLOR="")


def long_book(root: Path) -> Path:
    """A book whose six recordings are reduced ten times over: about two seconds."""
    write_bench_book(root)
    table = root / "campaigns/spring/runs.csv"
    head, *rows = table.read_text().splitlines()
    runs = [row.replace("r00", f"n{turn}0", 1) for turn in range(10) for row in rows if row.startswith("r00")]
    table.write_text("\n".join([head, *runs]) + "\n")
    return root


def test_long_work_draws_a_bar_and_takes_it_away(tmp_path: Path) -> None:
    sent = in_a_terminal("reduce", "--jobs", "1", "--book", long_book(tmp_path / "book"))
    assert "of 60  n" in sent
    drawn, _, rest = sent.rpartition("] ")
    assert "\r[" in drawn
    assert "\r" + " " * 99 + "\r" in rest


def test_a_terminal_that_cannot_go_back_gets_no_bar(tmp_path: Path) -> None:
    sent = in_a_terminal("reduce", "--jobs", "1", "--book", long_book(tmp_path / "book"), TERM="dumb")
    assert "6 reduced, 54 set aside" in sent  # the same six recordings, and nine times again
    assert "of 60  n" not in sent


def test_what_is_done_at_once_draws_no_bar(book: Path) -> None:
    assert "[#" not in in_a_terminal("check", "--book", book)


class _Terminal:
    """A standard error that says that it is a terminal."""

    def __init__(self) -> None:
        self.sent = ""

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> int:
        self.sent += text
        return len(text)

    def flush(self) -> None:
        """Nothing is kept back."""


def test_words_without_a_count_are_drawn_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = _Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    bar = ProgressBar()
    bar(1, 9, "too soon to be seen")
    assert terminal.sent == ""
    bar(0, 0, "computing figures of 240 runs")
    assert "computing figures of 240 runs" in terminal.sent
    bar.clear()
    assert terminal.sent.endswith("\r")
