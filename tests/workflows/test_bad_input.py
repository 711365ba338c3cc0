"""Bad input at the command line: read rightly or refused in the form that every error has, nothing half written."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from isothrust.cli import main
from support.bench_books import write_bench_book

LOG = "campaigns/spring/raw/r001.csv"
RUNS = "campaigns/spring/runs.csv"
FORM = re.compile(
    r"(?P<what>\S[^\n]*) {4}\[(?P<code>[a-z-]+)\]\n"
    r"  where:    (?P<where>[^\n]+)\n  expected: [^\n]+\n  fix:      [^\n]+"
)

Spoil = Callable[[Path], None]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two ramps of one book, not reduced yet."""
    root = write_bench_book(tmp_path_factory.mktemp("whole") / "book")
    rows = (root / RUNS).read_text().splitlines()
    (root / RUNS).write_text("\n".join(rows[:3]) + "\n")
    return root


def rig_of(root: Path) -> Path:
    return next(path for path in (root / "rigs").glob("*.toml") if path.stem != "example")


def edited(file: str, old: str, new: str) -> Spoil:
    def spoil(root: Path) -> None:
        path = root / file if file != "rig" else rig_of(root)
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    return spoil


def replaced(file: str, text: str) -> Spoil:
    def spoil(root: Path) -> None:
        (root / file).write_text(text, encoding="utf-8")

    return spoil


def rig_key(root: Path, channel: str, key: str, value: str) -> None:
    """Set a key of a channel in the rig file."""
    head, section, rest = rig_of(root).read_text(encoding="utf-8").partition(f"[channels.{channel}]\n")
    changed, count = re.subn(rf"(?m)^{key} = .*$", f"{key} = {value}", rest, count=1)
    assert (section, count) == (f"[channels.{channel}]\n", 1)
    rig_of(root).write_text(head + section + changed, encoding="utf-8")


def column_of(root: Path, channel: str) -> str:
    rest = rig_of(root).read_text(encoding="utf-8").partition(f"[channels.{channel}]\n")[2]
    found = re.search(r'(?m)^column = "([^"]+)"$', rest)
    assert found is not None
    return found[1]


def still_throttle(root: Path) -> None:
    lines = (root / LOG).read_text(encoding="utf-8").splitlines()
    place = lines[0].split(",").index(column_of(root, "throttle"))
    first = lines[1].split(",")[place]
    rows = [line.split(",") for line in lines[1:]]
    text = [",".join([*row[:place], first, *row[place + 1 :]]) for row in rows]
    (root / LOG).write_text("\n".join([lines[0], *text]) + "\n", encoding="utf-8")


def without_time(root: Path) -> None:
    edited(LOG, column_of(root, "time"), "lost")(root)


def one_column_twice(root: Path) -> None:
    rig_key(root, "thrust", "column", f'"{column_of(root, "speed")}"')


def heads_only(root: Path) -> None:
    (root / LOG).write_text((root / LOG).read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")


def told(root: Path, capfd: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    capfd.readouterr()
    with pytest.raises(SystemExit) as left:
        main([*words, "--book", str(root)])
    out, err = capfd.readouterr()
    assert isinstance(left.value.code, int)
    return left.value.code, out, err


OF_THE_BOOK: list[tuple[str, Spoil, str, str]] = [
    ("unknown unit", lambda root: rig_key(root, "thrust", "unit", '"gff"'), "unknown-unit", "channels.thrust.unit"),
    ("wrong dimension", lambda root: rig_key(root, "thrust", "unit", '"N m"'), "wrong-dimension", "a torque"),
    ("one column twice", one_column_twice, "two-quantities-one-column", "as speed and as thrust"),
    ("unknown design", edited(RUNS, ",gull,", ",gul,"), "unknown-design", "expected: gull"),
    ("negative diameter", edited("propellers.csv", "7", "-7"), "negative-value", "propellers.csv, line 2"),
    ("no unit", edited("propellers.csv", " [in]", ""), "missing-unit", "diameter [mm]"),
    ("no rig", lambda root: rig_of(root).unlink(), "unknown-rig", "a file rigs/"),
]

OF_A_RUN: list[tuple[str, Spoil, str, str]] = [
    ("missing column", without_time, "missing-column", '"lost"'),
    ("empty log", replaced(LOG, ""), "empty-log", "r001.csv"),
    ("prose", replaced(LOG, "Dear all,\nnothing to report.\n"), "not-a-table", "Dear all"),
    ("heads only", heads_only, "not-a-table", "nothing below its heads"),
    ("missing file", edited(RUNS, "r001.csv", "r00l.csv"), "missing-file", "r00l.csv"),
    ("still throttle", still_throttle, "throttle-still", "never moves"),
]


@pytest.mark.parametrize(("spoil", "code", "part"), [case[1:] for case in OF_THE_BOOK], ids=[c[0] for c in OF_THE_BOOK])
def test_what_is_wrong_with_the_book_is_refused_and_nothing_is_written(
    whole: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str], spoil: Spoil, code: str, part: str
) -> None:
    root = shutil.copytree(whole, tmp_path / "book")
    spoil(root)
    for command in ("check", "reduce", "results"):
        status, out, err = told(root, capfd, command)
        assert (status, out) == (2, "")
        (problem,) = FORM.finditer(err)
        assert problem["code"] == code
        assert part in problem[0]
        assert err.rstrip().endswith(f"next, once that is mended:  isothrust {command} --book {root}")
    assert not (root / "derived").exists()
    assert not (root / "campaigns/spring/raw.sha256").exists()


@pytest.mark.parametrize(("spoil", "code", "part"), [case[1:] for case in OF_A_RUN], ids=[c[0] for c in OF_A_RUN])
def test_a_run_that_cannot_be_reduced_is_told_and_the_other_is_reduced(
    whole: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str], spoil: Spoil, code: str, part: str
) -> None:
    root = shutil.copytree(whole, tmp_path / "book")
    spoil(root)
    status, out, err = told(root, capfd, "reduce", "--jobs", "1")
    assert status == 1
    assert "1 reduced, 1 not reduced" in out
    problem = FORM.search(err)
    assert problem is not None
    assert problem["code"] == code
    assert part in problem[0]
    assert "Traceback" not in err
    status, out, _ = told(root, capfd, "check")
    assert status == 1
    assert f"[{code}]" in out


def test_a_table_as_a_spreadsheet_saves_it_gives_the_same_figures(
    whole: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    plain, saved = (shutil.copytree(whole, tmp_path / name) for name in ("plain", "saved"))
    for name in ("propellers.csv", RUNS):
        text = (saved / name).read_text(encoding="utf-8").replace(",", ";").replace(".csv", "_csv")
        text = re.sub(r"(?<=\d)\.(?=\d)", ",", text).replace("_csv", ".csv")
        (saved / name).write_bytes(("\ufeff" + text).replace("\n", "\r\n").encode())
    answers = [told(root, capfd, "results", "--json", "--jobs", "1")[:2] for root in (plain, saved)]
    assert answers[0][0] == 0
    assert '"value": null' not in answers[0][1]
    assert answers[0] == answers[1]


def test_a_book_without_runs_says_what_to_type(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["new", str(tmp_path / "book")])
    for command in ("check", "reduce", "results", "compare"):
        status, out, err = told(tmp_path / "book", capfd, command)
        assert (status, out) == (2, "")
        assert "[no-runs]" in err
        assert f"isothrust add FOLDER --campaign NAME --rig RIG --book {tmp_path / 'book'}" in err


def test_several_problems_stand_apart_and_are_counted(
    whole: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    root = shutil.copytree(whole, tmp_path / "book")
    edited("propellers.csv", "7", "-7")(root)
    rig_key(root, "thrust", "unit", '"gff"')
    _, _, err = told(root, capfd, "reduce")
    blocks = err.strip().split("\n\n")
    assert all(FORM.fullmatch(block) for block in blocks[:-1])
    assert len(blocks) == 3
    assert blocks[-1].startswith("next, once these 2 are mended:  isothrust reduce")
