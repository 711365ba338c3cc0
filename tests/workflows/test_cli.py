"""The real commands on a small book of simulated recordings, end to end."""

from __future__ import annotations

import json
import math
import os
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from isothrust.book.store import read_results
from isothrust.cli import main
from isothrust.quantities import MEASURANDS
from support.bench_books import true_mean, write_bench_book
from support.small_books import tree


@dataclass(frozen=True)
class Said:
    status: int
    out: str
    err: str


@pytest.fixture
def isothrust(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Caller:
    monkeypatch.setenv("COLUMNS", "80")
    return Caller(capfd)


class Caller:
    """Calls the command line as a shell would, in this process."""

    def __init__(self, capfd: pytest.CaptureFixture[str]) -> None:
        self._capfd = capfd

    def __call__(self, *words: str | Path) -> Said:
        self._capfd.readouterr()
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in words])
        told = self._capfd.readouterr()
        assert isinstance(left.value.code, int)
        return Said(left.value.code, told.out, told.err)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book that has been reduced once: six good ramps, and one file of prose."""
    root = write_bench_book(tmp_path_factory.mktemp("bench") / "book")
    with pytest.raises(SystemExit) as left:
        main(["reduce", "--jobs", "1", "--book", str(root)])
    assert left.value.code == 1
    return root


def test_reduce_tells_what_is_done_and_why_a_run_was_not(isothrust: Caller, book: Path) -> None:
    said = isothrust("reduce", "--book", book)
    assert said.status == 1
    assert "6 up to date, 1 not reduced" in said.out
    assert "[not-a-table]" in said.err
    assert "campaigns/spring/raw/r900.csv" in said.err
    states = {one["run"]: one["state"] for one in json.loads(isothrust("reduce", "--json", "--book", book).out)}
    assert states["r001"] == "up to date"
    assert states["r900"] == "not reduced"


def test_reduce_leaves_the_usual_results_for_whoever_reads_parquet(isothrust: Caller, book: Path) -> None:
    (book / "derived/results.parquet").unlink()
    isothrust("reduce", "--book", book)
    everything = read_results(book)
    assert everything is not None
    stored = {one.design: one.value for one in everything if one.measurand == "peak-thrust"}
    shown = json.loads(isothrust("results", "--of", "peak-thrust", "--json", "--book", book).out)
    assert set(stored) == {"auk", "gull", "tern"}
    for one in shown:
        assert stored[one["design"]] == pytest.approx(one["value"] * 9.80665e-3)


def test_results_show_figures_near_the_simulated_truth(isothrust: Caller, book: Path) -> None:
    said = isothrust("results", "--of", "thrust-coefficient", "--at", "speed=14000rpm", "--json", "--book", book)
    assert said.status == 0
    found = {one["design"]: one for one in json.loads(said.out)}
    for design in ("auk", "gull", "tern"):
        truth = true_mean(design, lambda one: one.thrust_coefficient(14000 * math.pi / 30))
        # the drawn errors of the rig's scale and of the air stand in it: 1 % is about three standard uncertainties
        assert found[design]["value"] == pytest.approx(truth, rel=0.01)
        assert found[design]["condition"] == {"quantity": "speed", "value": 14000.0, "unit": "rpm"}
        budget = sum(line["contribution"] ** 2 for line in found[design]["budget"])
        assert found[design]["standard_uncertainty"] ** 2 == pytest.approx(budget, rel=1e-9)
    assert found["auk"]["runs"] == sorted(found["auk"]["runs"])


def test_results_in_a_table_fit_eighty_columns(isothrust: Caller, book: Path) -> None:
    said = isothrust("results", "--book", book)
    assert said.status == 0
    assert max(map(len, said.out.splitlines())) <= 80
    for words in ("Campaign spring, at 500 gf", "efficiency", "[gf/W]", "±", "figures of whole runs"):
        assert words in said.out
    assert "spring/r900 (auk)" in said.err
    assert "\x1b[" not in said.out


def test_compare_ranks_within_the_class_and_ends_in_a_sentence(isothrust: Caller, book: Path) -> None:
    said = isothrust("compare", "--of", "shaft-power", "--at", "thrust=500gf", "--book", book)
    assert said.status == 0
    assert "7 inch, 2 blades, campaign spring" in said.out
    assert "7 inch, 3 blades, campaign spring" in said.out
    text = " ".join(said.out.split())
    assert "auk uses " in text
    assert "less shaft power than gull at 500 gf." in text
    objects = json.loads(
        isothrust("compare", "--of", "shaft-power", "--at", "thrust=500gf", "--json", "--book", book).out
    )
    assert [rank["result"]["design"] for rank in objects[0]["ranks"]] == ["auk", "gull"]
    assert objects[0]["pairs"][0]["real"] is True


def test_compare_across_blades_says_so(isothrust: Caller, book: Path) -> None:
    said = isothrust("compare", "--of", "shaft-power", "--at", "thrust=500gf", "--across-blades", "--book", book)
    assert "BLADE COUNTS MIXED (2, 3)" in said.out


def test_check_shows_the_fault_and_its_exit_status(isothrust: Caller, book: Path) -> None:
    said = isothrust("check", "--book", book)
    assert said.status == 1
    assert "spring/r900" in said.out
    assert "7 runs checked: 6 fine, 1 not reduced (1 fail" in said.out
    good = isothrust("check", "r001", "--book", book)
    assert good.status == 0
    objects = json.loads(isothrust("check", "--json", "--book", book).out)
    assert [(one["run"], one["code"], one["severity"]) for one in objects if one["severity"] == "fail"] == [
        ("r900", "not-reduced", "fail")
    ]


def test_check_gives_a_verdict_of_five_lines_on_a_fresh_file(isothrust: Caller, book: Path) -> None:
    fresh = book / "campaigns/spring/raw/r001.csv"
    said = isothrust("check", fresh, "--kind", "ramp", "--book", book)
    assert said.status == 0
    lines = said.out.strip().splitlines()
    assert len(lines) == 5
    assert lines[0].startswith("verdict:  keep it")
    assert "rpm" in lines[1]
    assert "thrust moved by" in lines[2]
    bad = isothrust("check", book / "campaigns/spring/raw/r900.csv", "--book", book)
    assert bad.status == 2
    assert "do not keep it" in bad.out


def test_a_changed_recording_is_reduced_first_and_that_is_said(isothrust: Caller, tmp_path: Path) -> None:
    root = write_bench_book(tmp_path / "book")
    rows = (root / "campaigns/spring/runs.csv").read_text().splitlines()
    (root / "campaigns/spring/runs.csv").write_text("\n".join([rows[0], rows[1], ""]))
    first = isothrust("results", "--of", "thrust", "--json", "--jobs", "1", "--book", root)
    assert "reduced first: 1 run new or changed" in first.err
    again = isothrust("results", "--of", "thrust", "--json", "--book", root)
    assert "reduced first" not in again.err
    assert first.out == again.out


@pytest.mark.parametrize(
    ("words", "code", "hint"),
    [
        (("results", "--of", "thrst"), "unknown-measurand", "thrust"),
        (("results", "--design", "awk"), "unknown-design", "auk"),
        (("results", "--campaign", "sprung"), "unknown-campaign", "spring"),
        (("results", "--of", "thrust", "--at", "thrust=500gf"), "wrong-condition", "--at speed="),
        (("results", "--at", "500gf"), "unknown-condition", "thrust=1000gf"),
        (("results", "--at", "thrust=500"), "missing-unit", "--at thrust=500"),
        (("results", "--at", "speed=500gf"), "wrong-dimension", "--at speed=500gf"),
        (("results", "--at", "thrust=-5gf"), "out-of-range", "above zero"),
        (("results", "--per", "blade"), "wrong-usage", "results --help"),
        (("compare", "--nonsense"), "wrong-usage", "compare --help"),
        (("check", "r777"), "unknown-run", "r777"),
    ],
)
def test_words_that_cannot_be_used_are_told_and_nothing_is_shown(
    isothrust: Caller, book: Path, words: tuple[str, ...], code: str, hint: str
) -> None:
    said = isothrust(*words, "--book", book)
    assert said.status == 2
    assert said.out == ""
    assert f"[{code}]" in said.err
    assert hint in said.err
    assert "Traceback" not in said.err


def test_an_unknown_command_is_told_with_the_nearest(isothrust: Caller) -> None:
    said = isothrust("reslts")
    assert said.status == 2
    assert "[unknown-command]" in said.err
    assert "isothrust results --help" in said.err


def test_a_folder_that_is_no_book_is_told(isothrust: Caller, tmp_path: Path) -> None:
    said = isothrust("results", "--book", tmp_path)
    assert said.status == 2
    assert "[no-book]" in said.err
    assert "isothrust new" in said.err


def test_an_empty_book_says_what_is_to_be_done(isothrust: Caller, tmp_path: Path) -> None:
    made = isothrust("new", tmp_path / "mine")
    assert made.status == 0
    assert "propellers.csv" in made.out
    assert isothrust("new", tmp_path / "mine").status == 2
    empty = isothrust("results", "--book", tmp_path / "mine")
    assert (empty.status, "[no-runs]" in empty.err) == (2, True)


def with_rig(book: Path, root: Path, propellers: str) -> Path:
    """Write a new book with the rig of `book`."""
    with pytest.raises(SystemExit):
        main(["new", str(root)])
    shutil.copy(next((book / "rigs").glob("*.toml")), root / "rigs/bench.toml")
    (root / "propellers.csv").write_text(propellers)
    return root


def card(book: Path, folder: Path, name: str) -> Path:
    folder.mkdir()
    (folder / name).write_bytes((book / "campaigns/spring/raw/r001.csv").read_bytes())
    return folder


def test_add_ends_in_a_command_that_works(isothrust: Caller, book: Path, tmp_path: Path) -> None:
    root = with_rig(book, tmp_path / "my book", "design,diameter [in]\nauk,7\n")
    (root / "samples.csv").write_text("design,sample\nauk,a1\n")
    added = isothrust(
        "add",
        card(book, tmp_path / "card", "auk a1 ramp.csv"),
        "--campaign",
        "spring",
        "--rig",
        "bench",
        "--book",
        root,
    )
    assert added.status == 0
    assert "1 file copied, 1 run added" in added.out
    *_, last = added.out.splitlines()
    assert last == f"next: isothrust check --book '{root}'"
    words = shlex.split(last.removeprefix("next: isothrust "))
    assert isothrust(*words).status == 0


def test_add_says_which_cells_to_fill_before_the_next_command(isothrust: Caller, book: Path, tmp_path: Path) -> None:
    root = with_rig(book, tmp_path / "mine", "design\n")
    words = [
        "add",
        card(book, tmp_path / "card", "first.csv"),
        "--campaign",
        "spring",
        "--rig",
        "bench",
        "--book",
        root,
    ]
    added = isothrust(*words)
    assert "design, sample, kind" in added.out
    file = root / "campaigns/spring/runs.csv"
    *_, last = added.out.splitlines()
    assert last == f"next: fill these cells in {file}, then: isothrust check --book {root}"
    assert "[no-designs]" in added.err
    assert isothrust("check", "--book", root).status == 2
    again = isothrust(*words)
    assert again.out.splitlines()[-1] == f"next: mend what is told above, then: isothrust reduce --book {root}"
    assert "[missing-value]" in again.err
    (root / "propellers.csv").write_text("design\nauk\n")
    file.write_text(file.read_text().replace("first,,,,", "first,auk,a1,,ramp"))
    assert isothrust("check", "--book", root).status == 0


def test_debug_shows_where_an_error_came_from(book: Path) -> None:
    with pytest.raises(Exception, match="thrst"):
        main(["results", "--of", "thrst", "--debug", "--book", str(book)])


def test_version_and_help_answer_on_standard_output(isothrust: Caller) -> None:
    assert isothrust("--version").out.startswith("isothrust ")
    for command in ("new", "add", "check", "reduce", "results", "compare", "demo"):
        said = isothrust(command, "--help")
        assert said.status == 0
        assert f"isothrust {command}" in said.out


def test_without_a_command_the_help_is_shown(isothrust: Caller) -> None:
    said = isothrust()
    assert said.status == 2
    assert said.err.startswith("Usage: isothrust")
    assert "[wrong-usage]" not in said.err


def test_every_measurand_can_be_listed_without_a_book(isothrust: Caller) -> None:
    said = isothrust("results", "--list")
    assert said.status == 0
    assert all(name in said.out for name in MEASURANDS)
    assert max(map(len, said.out.splitlines())) <= 80


def test_a_run_that_was_decided_on_is_no_trouble_any_more(isothrust: Caller, book: Path, tmp_path: Path) -> None:
    root = shutil.copytree(book, tmp_path / "book")
    decision = {
        "run": "r900",
        "campaign": "spring",
        "action": "leave-out",
        "because": "tea",
        "who": "me",
        "when": "2026-03-02T10:00:00Z",
    }
    (root / "decisions.jsonl").write_text(json.dumps(decision) + "\n")
    assert isothrust("reduce", "--book", root).status == 0
    assert "left out by me: tea" in isothrust("results", "--of", "thrust", "--book", root).err


def in_a_process_of_its_own(program: Path, *words: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    program.write_text("from isothrust.cli import main\nif __name__ == '__main__':\n    main()\n")
    free = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    command = [sys.executable, program, *words]
    return subprocess.run(command, capture_output=True, text=True, env=free | environment, check=False)


def test_two_processes_give_what_one_gives(tmp_path: Path) -> None:
    """Spawned workers, and a pipe that lacks every sign beyond ASCII: the same bytes in derived/, the same answer."""
    root = write_bench_book(tmp_path / "book")
    table = root / "campaigns/spring/runs.csv"
    table.write_text("\n".join(table.read_text().splitlines()[:6]) + "\n")
    words = ["results", "--of", "shaft-power", "--json", "--book", root]
    told, derived = [], []
    for jobs in ("2", "1"):
        done = in_a_process_of_its_own(tmp_path / "run.py", *words, "--jobs", jobs, PYTHONIOENCODING="ascii")
        assert done.returncode == 0, done.stderr
        told.append(json.loads(done.stdout))
        derived.append(tree(root / "derived"))
        shutil.rmtree(root / "derived")
    assert sum(name.endswith(".parquet") for name in derived[0]) == 5
    assert told[0] == told[1]
    assert derived[0] == derived[1]


def test_the_command_line_asks_for_one_thread_of_algebra_before_numpy_is_there(tmp_path: Path) -> None:
    """Sums in another order differ in the last digit: a result must not depend on how many cores a machine has."""
    program = tmp_path / "look.py"
    program.write_text(
        "import os, sys\nfrom isothrust.cli import main\n"
        "try:\n    main(['--version'])\nexcept SystemExit:\n    pass\n"
        "print('numpy' in sys.modules, os.environ['OPENBLAS_NUM_THREADS'], os.environ['OMP_NUM_THREADS'])\n"
    )
    free = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    for own, expected in (({}, "False 1 1"), ({"OMP_NUM_THREADS": "3"}, "False 1 3")):
        done = subprocess.run([sys.executable, program], capture_output=True, text=True, env=free | own, check=True)
        assert done.stdout.splitlines()[-1] == expected


def test_a_reader_that_goes_away_is_no_fault_of_the_program(book: Path, tmp_path: Path) -> None:
    program = tmp_path / "run.py"
    program.write_text("from isothrust.cli import main\nif __name__ == '__main__':\n    main()\n")
    with subprocess.Popen(
        [sys.executable, program, "results", "--json", "--book", book], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        told = process.stderr.read().decode()
        process.wait()
    assert "Traceback" not in told
    assert "Exception" not in told
    assert process.returncode == 141
