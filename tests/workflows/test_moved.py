"""After reduce: which figures moved, by how much against their uncertainty, and why."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path

import pytest

from isothrust.book.store import read_former, read_results
from isothrust.cli import main
from isothrust.records.moved import Move, Moves
from isothrust.workflows.moved import moves_told, store_and_compare
from isothrust.workflows.reduce import reduce_book
from support.fake_reduction import fake_worker
from support.fresh_books import book_plans, write_fresh_book
from support.killed import run_killed
from support.small_books import row, tree, write_small_book

LOGS = {"r01": "level=1", "r02": "level=1.001", "r03": "level=1.002"}


def told(root: Path, *, real: bool = False) -> Moves:
    """Reduce, store, compare and tell, as the command does."""
    outcome = reduce_book(root) if real else reduce_book(root, worker=fake_worker)
    moves = store_and_compare(outcome)
    moves_told(outcome.book)
    return moves


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def small(root: Path, logs: dict[str, str] | None = None, rows: list[str] | None = None) -> Path:
    write_small_book(root, logs or LOGS, rows)
    # the fake reduction measures from 100 to 400 rad/s
    (root / "book.toml").write_text(
        'title = "Small"\ncomparison_speeds = ["2800 rpm"]\ncomparison_thrusts = ["20 gf"]\n'
    )
    return root


def of(moves: Moves, measurand: str) -> list[Move]:
    return [move for move in moves.moves if (move.now or move.former).measurand == measurand]  # type: ignore[union-attr]


def relative(move: Move) -> float:
    assert move.former is not None
    assert move.now is not None
    assert move.former.value is not None
    assert move.now.value is not None
    return move.now.value / move.former.value - 1.0


def parts(move: Move) -> set[str]:
    return {part for change in move.why.changed for part in change.parts}


# In earnest: twelve simulated runs of three designs.


@pytest.fixture(scope="module")
def reduced(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_fresh_book(tmp_path_factory.mktemp("moved") / "book")
    first = told(root, real=True)
    assert (first.compared, first.moves) == (False, ())
    return root


@pytest.fixture
def book(reduced: Path, tmp_path: Path) -> Path:
    return shutil.copytree(reduced, tmp_path / "book")


def test_nothing_moves_where_nothing_was_touched(book: Path) -> None:
    before = tree(book)
    again = told(book, real=True)
    assert (again.compared, again.moves) == (True, ())
    assert tree(book) == before


def test_a_rigs_scale_moves_the_thrust_of_all_its_designs_by_as_much(book: Path) -> None:
    edit(book / "rigs/loft.toml", "[channels.thrust]", "[channels.thrust]\nratio = 1.01")
    moves = told(book, real=True)
    thrust = of(moves, "thrust-coefficient")
    assert {move.now.design for move in thrust if move.now is not None} == {"auk", "gull", "tern"}
    assert [relative(move) for move in thrust] == pytest.approx([0.01] * len(thrust), abs=1e-4)
    for move in thrust:
        assert parts(move) == {"rig.channels.thrust"}
        assert move.former is not None
        assert move.former.value is not None
        assert move.former.standard_uncertainty is not None
        assert move.by == pytest.approx(0.01 * move.former.value / move.former.standard_uncertainty, rel=0.02)
    assert not of(moves, "power-coefficient")
    assert told(book, real=True).moves == ()


def test_figures_are_told_in_the_order_of_how_far_they_moved(book: Path) -> None:
    edit(book / "rigs/loft.toml", "[channels.thrust]", "[channels.thrust]\nratio = 1.01")
    far = [abs(move.by) for move in told(book, real=True).of_kind("moved") if move.by is not None]
    assert len(far) > 20
    assert far == sorted(far, reverse=True)
    assert far[-1] > 0.02


def test_the_air_of_one_run_is_named_as_the_reason_and_others_move_by_their_pooled_scatter_alone(book: Path) -> None:
    plan = book_plans()[4]
    table = book / "campaigns/spring/runs.csv"
    line = next(text for text in table.read_text().splitlines() if text.startswith(f"{plan.name},"))
    warm = line.split(",")
    warm[7] = f"{float(warm[7]) + 10.0:.1f}"
    edit(table, line, ",".join(warm))
    moves = told(book, real=True)
    own = [move for move in of(moves, "thrust-coefficient") if move.now and move.now.design == plan.propeller.name]
    assert {part for move in own for part in parts(move)} == {"run.air"}
    assert {change.run for move in own for change in move.why.changed} == {plan.name}
    # 10 K of some 295 K: 3.4 % of the density of one run of four, by the ideal gas law, as far as weights are even
    assert all(0.0 < relative(move) < 0.034 for move in own)
    others = [move for move in moves.moves if move.now and move.now.design != plan.propeller.name]
    assert others
    assert {move.elsewhere for move in others} == {"scatter"}


def test_a_run_that_leaves_and_comes_back_is_named(book: Path) -> None:
    plan = book_plans()[0]
    table = book / "campaigns/spring/runs.csv"
    before = table.read_text()
    table.write_text("".join(f"{text}\n" for text in before.splitlines() if not text.startswith(f"{plan.name},")))
    gone = [move for move in told(book, real=True).moves if move.now and move.now.design == plan.propeller.name]
    assert gone
    assert {move.why.removed for move in gone} == {(plan.name,)}
    table.write_text(before)
    back = [move for move in told(book, real=True).moves if move.now and move.now.design == plan.propeller.name]
    assert {move.why.added for move in back} == {(plan.name,)}


def said(capfd: pytest.CaptureFixture[str], *words: str | Path) -> str:
    capfd.readouterr()
    with pytest.raises(SystemExit):
        main([str(word) for word in words])
    return capfd.readouterr().out


def test_the_screen_shows_the_ten_that_moved_furthest_and_counts_the_rest(
    book: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    edit(book / "rigs/loft.toml", "[channels.thrust]", "[channels.thrust]\nratio = 1.01")
    shown = said(capfd, "reduce", "--jobs", "1", "--book", book)
    assert "12 reduced" in shown
    table = shown[shown.index("figures moved since they were last told") :]
    assert table.count("rig: thrust (") == 10
    assert "that moved less" in table
    assert "thrust coefficient" in table
    assert "+1" in table
    assert max(map(len, shown.splitlines())) <= 100
    assert "moved" not in said(capfd, "reduce", "--book", book)


def test_json_lists_the_runs_and_then_what_moved_with_the_same_keys(
    book: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    quiet = json.loads(said(capfd, "reduce", "--json", "--book", book))
    assert {one["state"] for one in quiet} == {"up to date"}
    edit(book / "rigs/loft.toml", "[channels.thrust]", "[channels.thrust]\nratio = 1.01")
    objects = json.loads(said(capfd, "reduce", "--json", "--jobs", "1", "--book", book))
    runs, figures = objects[: len(quiet)], objects[len(quiet) :]
    assert [one["run"] for one in runs] == [one["run"] for one in quiet]
    assert {one["state"] for one in runs} == {"reduced"}
    assert all(set(quiet[0]) <= set(one) for one in figures)
    assert {one["run"] for one in figures} == {""}
    first = next(one for one in figures if one["measurand"] == "thrust-coefficient")
    assert first["state"] == "figure moved"
    assert first["value"] / first["former"] == pytest.approx(1.01, abs=1e-4)
    assert first["moved_by"] == pytest.approx(
        (first["value"] - first["former"]) / first["former_standard_uncertainty"], rel=1e-9
    )
    assert first["why"]["changed"][0]["parts"] == ["rig.channels.thrust"]
    assert "rig: thrust" in first["because"]


# With a reduction that reads words: what goes on around it.


def test_the_first_reduce_has_nothing_to_tell(tmp_path: Path) -> None:
    assert told(small(tmp_path)) == Moves()


def test_a_deleted_derived_folder_leaves_nothing_to_compare_with(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    shutil.rmtree(book / "derived")
    assert told(book) == Moves()


@pytest.mark.parametrize(
    ("file", "old", "new", "part"),
    [
        ("campaigns/spring/runs.csv", "r02.csv,2026-03-01,20,", "r02.csv,2026-03-01,25,", "run.air"),
        ("propellers.csv", "Auk,7,", "Auk,7.1,", "design.diameter"),
        ("motors.csv", "5e-6", "6e-6", "motor.rotor_inertia"),
        ("rigs/loft.toml", '"N"', '"gf"', "rig.channels.thrust"),
        ("rigs/loft.toml", 'motor = "m1"', 'motor = "m1"\nobstruction = "9 cm2"', "rig.obstruction"),
        ("book.toml", "title", 'standard_density = "1.2 kg/m3"\ntitle', "standard_density"),
        ("campaigns/spring/raw/r02.csv", "level=1.001", "level=9", "hashes.log"),
    ],
)
def test_the_part_of_the_input_that_changed_is_named(tmp_path: Path, file: str, old: str, new: str, part: str) -> None:
    """The fake reduction moves with its log alone: the log changes as well, and both parts are told."""
    book = small(tmp_path)
    told(book)
    edit(book / file, old, new)
    (book / "campaigns/spring/raw/r02.csv").write_text("level=9")
    (book / "campaigns/spring/raw.sha256").unlink()
    (move,) = of(told(book), "peak-thrust")
    changed = {change.run: set(change.parts) for change in move.why.changed}
    assert changed["r02"] == {"hashes.log", part}


def test_what_is_set_aside_accepted_and_no_longer_so_is_told(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    decision = {"run": "r03", "campaign": "spring", "action": "leave-out", "because": "tea", "who": "me", "when": "now"}
    (book / "decisions.jsonl").write_text(json.dumps(decision) + "\n")
    (move,) = of(told(book), "peak-thrust")
    assert move.why.set_aside == (("r03", "left out by me: tea"),)
    (book / "decisions.jsonl").unlink()
    (move,) = of(told(book), "peak-thrust")
    assert move.why.counting == ("r03",)


def test_a_recording_that_changed_unasked_takes_its_run_out_and_says_so(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    (book / "campaigns/spring/raw/r03.csv").write_text("level=5")
    (move,) = of(told(book), "peak-thrust")
    ((run, reason),) = move.why.set_aside
    assert run == "r03"
    assert "is not the file that was first seen" in reason


def test_an_inertia_that_is_lent_anew_is_named(tmp_path: Path) -> None:
    book = small(tmp_path, {"r01": "wanted", "r02": "inertia=3e-5"}, [row("r01"), row("r02", kind="coast")])
    told(book)
    (book / "campaigns/spring/raw/r02.csv").write_text("inertia=4e-1")
    (book / "campaigns/spring/raw.sha256").unlink()
    moved = of(told(book), "thrust")
    assert [parts(move) for move in moved] == [{"inertia"}]


def test_figures_that_are_asked_anew_or_no_longer_are_told_apart_from_those_that_moved(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    edit(book / "book.toml", "2800 rpm", "2900 rpm")
    found = {(move.kind, move.elsewhere) for move in of(told(book), "thrust")}
    assert found == {("appeared", "asked"), ("vanished", "asked")}


def test_a_design_that_no_run_is_left_of_vanishes_with_its_reason(tmp_path: Path) -> None:
    rows = [row("r01"), row("r02"), row("r03", design="Tern")]
    book = small(tmp_path, rows=rows)
    told(book)
    edit(book / "campaigns/spring/runs.csv", "r03,Tern", "r03,Auk")
    vanished = [move for move in told(book).of_kind("vanished") if move.former and move.former.design == "Tern"]
    assert vanished
    assert {move.why.removed for move in vanished} == {("r03",)}


def test_a_new_campaign_is_told_as_such(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    write_small_book(tmp_path, {"q01": "level=2"}, campaign="summer")
    (book / "book.toml").write_text((book / "book.toml").read_text() + 'comparison_speeds = ["2800 rpm"]\n')
    moves = told(book)
    new = [move for move in moves.of_kind("appeared") if move.now and move.now.campaign == "summer"]
    assert new
    assert {move.elsewhere for move in new} == {"new"}


def test_what_results_reduces_is_told_by_the_next_reduce(tmp_path: Path) -> None:
    book = small(tmp_path)
    told(book)
    for level in (7, 8):
        (book / "campaigns/spring/raw/r02.csv").write_text(f"level={level}")
        (book / "campaigns/spring/raw.sha256").unlink()
        reduce_book(book, worker=fake_worker)
    (move,) = of(told(book), "peak-thrust")
    # told against what was told last: the mean of 1, 1.001 and 1.002, now of 1, 8 and 1.002
    assert (move.former.value, move.now.value) == pytest.approx((1.001, 10.002 / 3))  # type: ignore[union-attr]
    assert read_former(book) is None


def test_what_derived_holds_does_not_depend_on_how_it_came_about(tmp_path: Path) -> None:
    book = small(tmp_path / "here")
    told(book)
    (book / "campaigns/spring/raw/r02.csv").write_text("level=7")
    (book / "campaigns/spring/raw.sha256").unlink()
    told(book)
    there = small(tmp_path / "there", {**LOGS, "r02": "level=7"})
    told(there)
    assert tree(book) == tree(there)


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_a_reduce_that_is_killed_loses_nothing_of_what_is_to_be_told(tmp_path: Path) -> None:
    start = small(tmp_path / "start")
    told(start)
    for run in ("r01", "r03"):
        (start / f"campaigns/spring/raw/{run}.csv").write_text("level=9")
    (start / "campaigns/spring/raw.sha256").unlink()
    whole = shutil.copytree(start, tmp_path / "whole")
    expected = told(whole)
    assert expected.of_kind("moved")
    renames = run_killed("reduce-and-tell", shutil.copytree(start, tmp_path / "counted"))
    # raw.sha256; the former runs and results; two runs; what the campaign shows; the new results
    assert renames == 7
    for count in range(1, renames + 1):
        killed = shutil.copytree(start, tmp_path / f"killed {count}")
        assert run_killed("reduce-and-tell", killed, after_rename=count) is None
        again = told(killed)
        assert again == expected
        assert tree(killed) == tree(whole)
        assert read_results(killed) is not None
        assert told(killed).moves == ()
