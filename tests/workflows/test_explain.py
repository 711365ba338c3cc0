"""An explanation is text that somebody could follow with a calculator: a test does, and reads nothing but that text."""

from __future__ import annotations

import contextlib
import csv
import functools
import hashlib
import io
import json
import math
import os
import re
import shutil
import statistics
import subprocess
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from isothrust.cli import main
from isothrust.workflows.demo import write_demo
from support.bench_books import write_bench_book
from support.explained import NUMBER, Run, Told, first_table, last_number, read_explanation, read_explanations, tables
from support.recomputed import agree, check_explanation, found

Ask = Callable[..., str]

AT_SPEED = ("--at", "speed=14000rpm")
AT_THRUST = ("--at", "thrust=500gf")
ASKED = {
    "thrust": [AT_SPEED],
    "thrust-coefficient": [AT_SPEED],
    "power-coefficient": [AT_SPEED],
    "tip-mach": [AT_SPEED],
    "torque": [AT_SPEED, AT_THRUST],
    "shaft-power": [AT_SPEED, AT_THRUST],
    "figure-of-merit": [AT_SPEED, AT_THRUST],
    "inflow-ratio": [AT_SPEED, AT_THRUST],
    "speed": [AT_THRUST],
    "electrical-power": [AT_THRUST],
    "shaft-efficiency": [AT_THRUST],
    "electrical-efficiency": [AT_THRUST],
    "drive-efficiency": [AT_THRUST],
    "current": [AT_THRUST],
    "throttle": [AT_THRUST],
    "peak-thrust": [()],
    "peak-electrical-power": [()],
    "peak-current": [()],
    "rotor-inertia": [()],
}
"""Every measurand that this version computes, with each kind of condition at which it holds."""
INTERVALS = {"as tested": "interval", "of the design": "interval_of_design", "as sold": "interval_as_sold"}
CASES = [pytest.param(name, at, id=" ".join((name, *at[1:]))) for name, ats in ASKED.items() for at in ats]

DESIGN = ("tirrick-7x3.5", "--campaign", "spring-two-blades")
"""Ramps and a run of holds; two samples, one of them mounted twice, one mounting with two runs."""
RUN = ("spring-two-blades/l04",)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration, written and reduced once; two of its three campaigns do."""
    folder = tmp_path_factory.mktemp("demo") / "book"
    write_demo(folder)
    shutil.rmtree(folder / "campaigns" / "may-three-blades")
    told(folder, "reduce", status=1)
    return folder


def told(book: Path, *words: str, columns: int = 100, status: int = 0) -> str:
    """What the command line prints for some words; where it refuses them, what it says instead."""
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.dict(os.environ, {"COLUMNS": str(columns)}),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as left,
    ):
        main([*words, "--book", str(book)])
    assert left.value.code == status, err.getvalue()
    return err.getvalue() if status == 2 else out.getvalue()


@pytest.fixture(scope="module")
def ask(book: Path) -> Ask:
    """What the command line prints about the demonstration, asked once for the same words."""
    return functools.cache(functools.partial(told, book))


def explained(ask: Ask, *words: str, columns: int = 100) -> Told:
    return read_explanation(ask("explain", *words, columns=columns))


def figure(ask: Ask, measurand: str, at: tuple[str, ...], *target: str) -> Told:
    """One of all figures of a design or a run, which are asked for at once."""
    every = [word for name in ASKED for word in ("--of", name)]
    found = read_explanations(ask("explain", *target, *every, *AT_SPEED, *AT_THRUST))
    asked = [one for one in found if f"measurand: {measurand}," in one.sections["What was asked"]]
    quantity = f"condition: {at[1].split('=')[0]} = " if at else ""
    (one,) = (one for one in asked if quantity in one.sections["What was asked"])
    return one


def results(ask: Ask, measurand: str, at: tuple[str, ...], *more: str) -> list[dict[str, Any]]:
    """What `results` says to the same question."""
    every = [word for name in ASKED for word in ("--of", name)]
    listed = json.loads(ask("results", *more, *every, *AT_SPEED, *AT_THRUST, "--json"))
    quantity = at[1].split("=")[0] if at else None
    return [
        one
        for one in listed
        if one["measurand"] == measurand and (one["condition"] or {"quantity": None})["quantity"] == quantity
    ]


@pytest.mark.parametrize(("measurand", "at"), CASES)
def test_a_designs_figure_can_be_worked_out_from_its_explanation_alone(
    ask: Ask, measurand: str, at: tuple[str, ...]
) -> None:
    one = figure(ask, measurand, at, *DESIGN)
    value, intervals = check_explanation(one, measurand)
    assert set(intervals) == set(INTERVALS)
    assert len(one.runs) >= 4
    (result,) = results(ask, measurand, at, "--design", *DESIGN)
    agree(result["value"], value)
    for name, key in INTERVALS.items():
        for ours, theirs in zip(intervals[name], result[key], strict=True):
            agree(theirs, ours)


@pytest.mark.parametrize(("measurand", "at"), CASES)
def test_a_runs_figure_can_be_worked_out_from_its_explanation_alone(
    ask: Ask, measurand: str, at: tuple[str, ...]
) -> None:
    one = figure(ask, measurand, at, *RUN)
    value, _ = check_explanation(one, measurand)
    assert list(one.runs) == list(RUN)
    (result,) = (
        result
        for result in results(ask, measurand, at, "--design", *DESIGN, "--per", "run")
        if result["runs"] == ["l04"]
    )
    agree(result["value"], value)


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_an_explanation_closes_on_a_screen_of_any_width(ask: Ask, columns: int) -> None:
    one = explained(ask, "skooie-7x4.2", "--campaign", "june-recheck", columns=columns)
    value, _ = check_explanation(one, "shaft-efficiency")
    assert value == pytest.approx(6.9, abs=0.3)  # about what a plain 7 inch propeller gives at 500 gf; common practice


SPOILT = {
    "the middle of the curve": (r"a0 = \d\.\d{3}", lambda text: text[:-1] + str((int(text[-1]) + 1) % 10)),
    "the slope of the curve": (r"a1 = -?\d\.", lambda text: text[:-2] + str((int(text[-2]) + 1) % 10) + "."),
    "the speed": (r"omega = \d+\.\d\d", lambda text: text[:-1] + str((int(text[-1]) + 1) % 10)),
    "the standard density": (r"rho0 = 1\.225", lambda _: "rho0 = 1.226"),
    "a weight": (r"l33  b       m17 +\S+ +\S+ +1  0\.\d{3}", lambda text: text[:-1] + str((int(text[-1]) + 1) % 10)),
    "an own u": (r"l04  a       m02 +\S+  +0\.0\d", lambda text: text[:-1] + str((int(text[-1]) + 1) % 10)),
    "the scatter of mountings": (r"mounting scatter: 0\.\d", lambda text: text[:-1] + str((int(text[-1]) + 1) % 10)),
    "a scale in the budget": (
        r"0\.0\d+( +27\.\d +inf  rig       rig \S+ thrust scale)",
        lambda text: "0.0555" + text[12:],
    ),
    "a line of the budget": (r"\n +\S+ +\S+ +inf  run       run \S+/l08 torque zero", lambda _: ""),
    "a line of a run": (r"\n +\S+ +inf +\S+ +rig \S+ torque scale(?=\n +-\S+ +inf +-\S+ +-\S+ +rig)", lambda _: ""),
    "degrees of freedom of a scatter": (
        r"  3  mounting  mounting scatter",
        lambda _: "  9  mounting  mounting scatter",
    ),
    "u": (r", u = 0\.063", lambda _: ", u = 0.064"),
    "effective degrees of freedom": (r"effective dof = 376", lambda _: "effective dof = 377"),
    "t": (r", t = 1\.966", lambda _: ", t = 1.976"),
    "an end of the interval": (r"= 7\.420", lambda _: "= 7.421"),
    "the figure at the top": (r"  7\.54 ±", lambda _: "  7.56 ±"),
    "a product": (r"\^2 = 4\.9033\d+ N", lambda _: "^2 = 4.9133 N"),
}
"""What may go wrong in a text, one number at a time."""


@pytest.mark.parametrize("what", SPOILT)
def test_the_calculation_finds_any_number_that_is_wrong(ask: Ask, what: str) -> None:
    text = ask("explain", *DESIGN, *AT_THRUST)
    check_explanation(read_explanation(text), "shaft-efficiency")
    pattern, change = SPOILT[what]
    spoilt = re.sub(pattern, lambda match: change(match[0]), text, count=1)
    assert spoilt != text, "nothing was spoilt"
    with pytest.raises(AssertionError):
        check_explanation(read_explanation(spoilt), "shaft-efficiency")


# What lies behind the curves.


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
    one = explained(ask, *DESIGN)
    for run in one.runs.values():
        air = first_table(run.text, "air")
        assert air is not None
        temperature, pressure, humidity = (float(cell.split()[0]) for cell in air.column("in SI"))
        # the printed equation has six digits of its constants
        assert last_number(run.text, "rho") == pytest.approx(moist_air(temperature, pressure, humidity), rel=2e-6)
        assert air.column("where from") == ["read for this run"] * 3


def test_hashes_are_those_of_the_files_and_rows_those_in_them(ask: Ask, book: Path) -> None:
    one = explained(ask, *DESIGN)
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
    one = explained(ask, *DESIGN)
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
    assert looked_at >= 16


def check_zero_uncertainty(run: Run, rows: list[list[str]]) -> None:
    fixed = {"thrust": 0.00980665, "torque": 0.0002}  # what the rig file states: 1 gf and 0.2 N mm
    for name in ("thrust", "torque"):
        levels = [float(row[3]) for row in rows if row[0] == name]
        errors = [float(row[4]) for row in rows if row[0] == name]
        drift = max(abs(b - a) for a, b in pairwise(levels))
        u = math.sqrt(statistics.fmean(e**2 for e in errors) + drift**2 / 12.0 + fixed[name] ** 2)
        agree(u, last_number(run.text, f"u(zero of {name})"), 5)


def test_the_slipstream_factor_follows_from_the_stands_area(ask: Ask) -> None:
    one = explained(ask, *RUN)
    (rig,) = (body for head, body in one.sections.items() if head.startswith("Rig "))
    joined = re.sub(r"\s+", " ", rig)
    area = found(joined, rf"({NUMBER}) cm2 of it in the slipstream") * 1e-4
    diameter = found(one.sections["What was asked"], rf"diameter D = ({NUMBER}) m")
    # T = T'/(1 - S CD/(4 A)) with CD = 1
    factor = 1.0 / (1.0 - area / (4.0 * math.pi * diameter**2 / 4.0))
    agree(factor, found(joined, rf"was multiplied by ({NUMBER})"), 8)


def test_findings_lags_and_inertia_stand_with_the_run(ask: Ask) -> None:
    one = explained(ask, *RUN)
    (run,) = one.runs.values()
    assert "tachometer-dropout" in run.text
    assert "these samples were left out" in run.text
    lags = first_table(run.text, "lag of")
    assert lags is not None
    assert lags.column("lag of") == ["voltage, current", "throttle", "thrust", "torque"]
    assert "own transients" in lags.column("where from")
    si, shown = found(run.text, rf"J = ({NUMBER}) kg m2"), found(run.text, rf"kg m2 = ({NUMBER}) g cm2")
    assert si * 1e7 == pytest.approx(shown, rel=1e-5)


# What is asked, and what is not there.


def test_without_a_measurand_the_middle_comparison_point_is_explained(ask: Ask) -> None:
    one = explained(ask, *RUN)
    assert one.title == "Shaft efficiency of spring-two-blades/l04 at 500 gf"
    assert explained(ask, *RUN, "--of", "inflow-ratio").title.startswith(
        "Inflow ratio of spring-two-blades/l04 at 500 gf"
    )
    assert explained(ask, *RUN, *AT_SPEED).title == "Shaft power of spring-two-blades/l04 at 14000 rpm"
    # steps give no curve that counts: what they are made for is told
    assert explained(ask, "l03").title == "Rotor inertia of spring-two-blades/l03"


def test_several_figures_share_the_parts_on_their_runs(ask: Ask) -> None:
    text = ask("explain", *RUN, "--of", "thrust", "--of", "shaft-power", *AT_SPEED)
    assert text.count("\nRun spring-two-blades/l04\n") == 1
    assert text.count("sha256 ") == 1
    thrust, power = read_explanations(text)
    assert list(thrust.runs[RUN[0]].workings) == ["thrust at 14000 rpm"]
    assert list(power.runs[RUN[0]].workings) == ["shaft power at 14000 rpm"]


def test_a_design_of_two_campaigns_is_explained_in_each(ask: Ask) -> None:
    text = ask("explain", "tirrick-7x3.5")
    assert re.findall(r"^Shaft efficiency of .*, campaign (\S+)$", text, re.MULTILINE) == [
        "june-recheck",
        "spring-two-blades",
    ]


def test_an_absent_figure_is_explained_by_what_was_measured(ask: Ask) -> None:
    text = ask("explain", *RUN, "--of", "shaft-power", "--at", "thrust=5000gf")
    one = read_explanation(text)
    assert "5000 gf was not reached within the measured speeds" in one.headline
    (measured,) = (body for head, body in one.sections.items() if head.startswith("What was measured"))
    assert "curves of thrust, torque, electrical-power" in re.sub(r"\s+", " ", measured)
    assert "peak-thrust" in measured
    assert "Budget as tested" not in one.sections


def test_a_run_that_failed_is_explained_with_its_reason_and_its_file(ask: Ask, book: Path) -> None:
    one = explained(ask, "s10")
    assert one.headline.startswith("absent: run s10 was set aside")
    run = one.runs["june-recheck/s10"]
    assert "the motor did not run" in run.text
    path = book / found_text(run.text, r"log: (\S+)")
    assert hashlib.sha256(path.read_bytes()).hexdigest() in run.text


def test_runs_set_aside_are_named_with_the_design(ask: Ask) -> None:
    one = explained(ask, "skooie-7x4.2", "--campaign", "june-recheck")
    assert "set aside: s10: it could not be reduced" in one.sections["What was asked"]
    assert "june-recheck/s10" not in one.runs


def test_a_run_left_out_by_a_decision_shows_what_it_gives_by_itself(ask: Ask, book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "book"
    shutil.copytree(book, copy)
    decision = {"campaign": "spring-two-blades", "run": "l04", "action": "leave-out"}
    decision |= {"because": "a gust", "who": "the tester", "when": "2026-03-10"}
    (copy / "decisions.jsonl").write_text(json.dumps(decision) + "\n", encoding="utf-8")
    one = read_explanation(told(copy, "explain", *RUN))
    assert "left out by the tester: a gust" in re.sub(r"\s+", " ", one.headline + one.everything)
    (run,) = one.runs.values()
    (working,) = run.workings
    assert working.endswith("by itself (it does not count)")
    others = read_explanation(told(copy, "explain", *DESIGN))
    assert "spring-two-blades/l04" not in others.runs
    check_explanation(others, "shaft-efficiency")


def test_unknown_names_are_refused_with_the_nearest(ask: Ask) -> None:
    err = ask("explain", "tirick", status=2)
    assert "[unknown-name]" in err
    assert re.search(r"expected: tirrick-7x3\.5, ", err)
    err = ask("explain", "spring-two-blade/l04", status=2)
    assert "expected: spring-two-blades/l04" in err
    assert "[unknown-measurand]" in ask("explain", "l04", "--of", "shaft-efficacy", status=2)
    assert "[unknown-campaign]" in ask("explain", "l04", "--campaign", "summer", status=2)
    assert "[wrong-condition]" in ask("explain", "l04", "--of", "thrust", "--at", "thrust=500gf", status=2)


def test_a_name_that_is_both_is_refused_and_can_be_chosen(
    tmp_path: Path, ask: Ask, capfd: pytest.CaptureFixture[str]
) -> None:
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


def test_a_run_name_of_two_campaigns_must_be_told_with_its_campaign(ask: Ask, book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "book"
    shutil.copytree(book, copy)
    runs = copy / "campaigns" / "june-recheck" / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8").replace("\ns01,", "\nl04,"), encoding="utf-8")
    err = told(copy, "explain", "l04", status=2)
    assert "[ambiguous-name]" in err
    assert "june-recheck/l04" in err
    assert "june-recheck/l04" in told(copy, "explain", "l04", "--campaign", "june-recheck")


# As JSON, and as a program of its own.


def test_json_holds_the_same_trail(ask: Ask) -> None:
    def refuse(text: str) -> float:
        raise AssertionError(text)

    (one,) = json.loads(ask("explain", *DESIGN, "--json"), parse_constant=refuse)
    (figure,) = one["figures"]
    (result,) = json.loads(
        ask("results", "--design", *DESIGN, "--of", "shaft-efficiency", *AT_THRUST, "--json"), parse_constant=refuse
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
        [sys.executable, "-c", code, "explain", *RUN, "--book", str(book)], capture_output=True, text=True, check=True
    )
    check_explanation(read_explanation(one.stdout), "shaft-efficiency")
    assert str(book) not in one.stdout
    assert "\x1b" not in one.stdout
    assert "--of MEASURAND" in one.stderr


def test_every_measurand_that_is_computed_is_asked_here(ask: Ask) -> None:
    listed = tables(ask("explain", "--list"))
    assert listed
    names = {row[0] for table in listed for row in table.rows if "not computed" not in " ".join(row)}
    assert names >= set(ASKED)
