"""Explanations of a small book: what they say of files, air and zeros is held to the files themselves."""

from __future__ import annotations

import csv
import functools
import hashlib
import json
import math
import re
import shutil
import statistics
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from support.asked import Ask, told
from support.bench_books import write_bench_book
from support.explained import NUMBER, Run, Told, first_table, last_number, read_explanation, read_explanations
from support.recomputed import agree, check_explanation, found

AT_SPEED = ("--at", "speed=14000rpm")
AT_THRUST = ("--at", "thrust=500gf")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six good ramps of three designs, and a file of prose; reduced once."""
    root = write_bench_book(tmp_path_factory.mktemp("bench") / "book")
    told(root, "reduce", "--jobs", "1", status=1)
    return root


@pytest.fixture(scope="module")
def ask(book: Path) -> Ask:
    """What the command line prints about the book, asked once for the same words."""
    return functools.cache(functools.partial(told, book))


def explained(ask: Ask, *words: str) -> Told:
    return read_explanation(ask("explain", *words))


def moist_air(temperature: float, pressure: float, humidity: float) -> float:
    """CIPM-2007 (Picard and others, Metrologia 45, 2008): equation (2) for 400 ppm, constants of the appendix A1."""
    c = temperature - 273.15
    saturation = math.exp(
        1.2378847e-5 * temperature**2 - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    water = humidity * (1.00062 + 3.14e-8 * pressure + 5.6e-7 * c**2) * saturation / pressure
    first = 1.58123e-6 - 2.9331e-8 * c + 1.1043e-10 * c**2
    first += (5.707e-6 - 2.051e-8 * c) * water + (1.9898e-4 - 2.376e-6 * c) * water**2
    ratio = pressure / temperature
    z = 1.0 - ratio * first + ratio**2 * (1.83e-11 - 0.765e-8 * water**2)
    return 3.483740e-3 * pressure / (z * temperature) * (1.0 - 0.3780 * water)


def test_density_follows_from_the_readings_shown(ask: Ask) -> None:
    one = explained(ask, "auk")
    for run in one.runs.values():
        air = first_table(run.text, "air")
        assert air is not None
        temperature, pressure, humidity = (float(cell.split()[0]) for cell in air.column("in SI"))
        # the printed equation has six digits of its constants
        assert last_number(run.text, "rho") == pytest.approx(moist_air(temperature, pressure, humidity), rel=2e-6)
        assert air.column("where from") == ["read for this run"] * 3


def test_hashes_are_those_of_the_files_and_rows_those_in_them(ask: Ask, book: Path) -> None:
    one = explained(ask, "auk")
    for run in one.runs.values():
        path = book / found_text(run.text, r"log: (\S+)")
        assert found_text(run.text, r"sha256 ([0-9a-f]{64})") == hashlib.sha256(path.read_bytes()).hexdigest()
        assert found(run.text, rf"({NUMBER}) rows;") == len(rows_of(path)) - 1


def found_text(text: str, pattern: str) -> str:
    match = re.search(pattern, text)
    assert match is not None
    return match[1]


def rows_of(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines))


def channel(rows: list[list[str]], formula: str) -> list[float]:
    """A channel by the formula that the text gives for it: a sum of numbers times columns."""
    terms = re.findall(rf'([-+]? ?)({NUMBER}) \* "([^"]+)"', formula)
    assert terms
    places = [(float(sign.replace(" ", "") + value), rows[0].index(head)) for sign, value, head in terms]
    return [sum(scale * float(row[place]) for scale, place in places) for row in rows[1:]]


def test_zeros_are_the_means_of_the_readings_in_the_windows_shown(ask: Ask, book: Path) -> None:
    one = explained(ask, "auk")
    rig = next(body for head, body in one.sections.items() if head.startswith("Rig "))
    made = first_table(rig, "channel")
    assert made is not None
    formulas = dict(zip((cell.split()[0] for cell in made.column("channel")), made.column("made of"), strict=True))
    looked_at = 0
    for run in one.runs.values():
        rows = rows_of(book / found_text(run.text, r"log: (\S+)"))
        time = channel(rows, formulas["time"])
        zeros = first_table(run.text, "zero of")
        assert zeros is not None
        for name, start, end, level, error, count, out in zeros.rows:
            readings = channel(rows, formulas[name])
            low, high = float(start) - 1e-6, float(end) + 1e-6
            inside = [value for t, value in zip(time, readings, strict=True) if low <= t - time[0] <= high]
            middle = statistics.median(inside)
            room = 4.0 * 1.4826 * statistics.median(abs(value - middle) for value in inside)
            kept = [value for value in inside if abs(value - middle) <= room]
            assert (len(kept), len(inside) - len(kept)) == (int(count), int(out))
            assert statistics.fmean(kept) == pytest.approx(float(level), rel=1e-7)
            # a mean of correlated readings is less sure than their scatter over the root of their number, not surer
            assert float(error) > 0.3 * statistics.stdev(kept) / math.sqrt(len(kept))
            looked_at += 1
        check_zero_uncertainty(run, zeros.rows)
    assert looked_at == 2 * 2 * 2  # runs, channels, windows


def check_zero_uncertainty(run: Run, rows: list[list[str]]) -> None:
    fixed = {"thrust": 0.00980665, "torque": 0.0002}  # what the rig file states: 1 gf and 0.2 N mm
    for name in ("thrust", "torque"):
        levels = [float(row[3]) for row in rows if row[0] == name]
        errors = [float(row[4]) for row in rows if row[0] == name]
        drift = max(abs(b - a) for a, b in pairwise(levels))
        u = math.sqrt(statistics.fmean(e**2 for e in errors) + drift**2 / 12.0 + fixed[name] ** 2)
        agree(u, last_number(run.text, f"u(zero of {name})"), 5)


# What is asked, and what is not there.


def test_several_figures_share_the_parts_on_their_runs(ask: Ask) -> None:
    text = ask("explain", "r004", "--of", "thrust", "--of", "shaft-power", *AT_SPEED)
    assert text.count("\nRun spring/r004\n") == 1
    assert text.count("sha256 ") == 1
    thrust, power = read_explanations(text)
    assert list(thrust.runs["spring/r004"].workings) == ["thrust at 14000 rpm"]
    assert list(power.runs["spring/r004"].workings) == ["shaft power at 14000 rpm"]


def test_an_absent_figure_is_explained_by_what_was_measured(ask: Ask) -> None:
    text = ask("explain", "r004", "--of", "shaft-power", "--at", "thrust=5000gf")
    one = read_explanation(text)
    assert "5000 gf was not reached within the measured speeds" in one.headline
    (measured,) = (body for head, body in one.sections.items() if head.startswith("What was measured"))
    assert "curves of thrust, torque, electrical-power" in re.sub(r"\s+", " ", measured)
    assert "peak-thrust" in measured
    assert "Budget as tested" not in one.sections


def test_a_run_left_out_by_a_decision_shows_what_it_gives_by_itself(ask: Ask, book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "book"
    shutil.copytree(book, copy)
    decision = {"campaign": "spring", "run": "r004", "action": "leave-out"}
    decision |= {"because": "a gust", "who": "the tester", "when": "2026-03-10"}
    (copy / "decisions.jsonl").write_text(json.dumps(decision) + "\n", encoding="utf-8")
    one = read_explanation(told(copy, "explain", "r004"))
    assert "left out by the tester: a gust" in re.sub(r"\s+", " ", one.headline + one.everything)
    (run,) = one.runs.values()
    (working,) = run.workings
    assert working.endswith("by itself (it does not count)")
    others = read_explanation(told(copy, "explain", "auk"))
    assert "spring/r004" not in others.runs
    check_explanation(others, "shaft-efficiency")


def test_a_name_that_is_both_is_refused_and_can_be_chosen(tmp_path: Path) -> None:
    root = write_bench_book(tmp_path / "bench")
    runs = root / "campaigns" / "spring" / "runs.csv"
    text = runs.read_text(encoding="utf-8")
    first = text.splitlines()[1].split(",")[0]
    runs.write_text(text.replace(f"\n{first},", "\nauk,", 1), encoding="utf-8")
    err = told(root, "explain", "auk", status=2)
    assert "[ambiguous-name]" in err
    assert "--as design" in err
    assert "spring/auk" in err
    assert read_explanation(told(root, "explain", "auk", "--as", "design")).title.endswith(", campaign spring")
    for words in (("auk", "--as", "run"), ("spring/auk",)):
        assert "spring/auk at 500 gf" in read_explanation(told(root, "explain", *words)).title


def test_a_design_without_a_run_is_explained_as_absent(ask: Ask) -> None:
    one = explained(ask, "petrel")
    assert one.headline == "absent: no run in campaign spring"
    assert one.runs == {}


# As JSON, and as a program of its own.


def test_json_holds_the_same_trail(ask: Ask) -> None:
    def refuse(text: str) -> float:
        raise AssertionError(text)

    (one,) = json.loads(ask("explain", "auk", "--json"), parse_constant=refuse)
    assert "SI" in one["units"]
    (figure,) = one["figures"]
    (result,) = json.loads(
        ask("results", "--design", "auk", "--of", "shaft-efficiency", *AT_THRUST, "--json"), parse_constant=refuse
    )
    assert figure["result"] == result
    weights = {run["run"]: run["weight"] for run in figure["pool"]["runs"]}
    mean = sum(weights[working["run"]] * working["figure"]["value"] for working in figure["workings"])
    assert mean / 0.00980665 == pytest.approx(result["value"], rel=1e-9)
    for working in figure["workings"]:
        for piece in working["pieces"]:
            value = sum(a * piece["t"] ** power for power, a in enumerate(piece["coefficients"]))
            assert value == pytest.approx(piece["value"], rel=1e-9)
    runs: dict[str, Any] = {run["run"]: run for run in one["runs"]}
    assert set(runs) == set(weights)
    assert all(len(file["sha256"]) == 64 for run in runs.values() for file in run["files"])
    assert [statement["name"] for statement in figure["statements"]] == ["as tested", "of the design", "as sold"]


def test_the_text_is_what_standard_output_holds_and_names_no_place_of_this_machine(book: Path) -> None:
    code = "from isothrust.cli import main; main()"
    one = subprocess.run(
        [sys.executable, "-c", code, "explain", "r004", "--book", str(book)], capture_output=True, text=True, check=True
    )
    check_explanation(read_explanation(one.stdout), "shaft-efficiency")
    assert str(book) not in one.stdout
    assert "\x1b" not in one.stdout
    assert "--of MEASURAND" in one.stderr
