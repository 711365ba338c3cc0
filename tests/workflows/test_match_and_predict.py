"""isothrust match, predict and the chart of thrust over KV on a small book of simulated recordings, end to end."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from typing import Any

import pytest

from support.bench_books import write_bench_book
from support.commands import json_of, run_command

FORM = re.compile(r"\S[^\n]* {4}\[(?P<code>[a-z-]+)\]\n  where:    [^\n]+\n  expected: [^\n]+\n  fix:      [^\n]+")
CRAFT = ("--mass", "900 g", "--drag-area", "150 cm2", "--usable-energy", "23 Wh")
MOTOR = ("--motor", "m1")
"""The motor of the book's campaign."""


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_bench_book(tmp_path_factory.mktemp("flown") / "book")
    # The prose among the recordings makes the first pass end with 1.
    run_command("reduce", "--jobs", "1", folder=root, status=1)
    return root


def figures(prediction: dict[str, Any]) -> dict[str, Any]:
    return {figure["figure"]: figure for figure in prediction["figures"]}


def test_match_says_in_a_sentence_what_binds_and_shows_every_design(book: Path) -> None:
    said = run_command("match", "--limit", "40 A", "--hover", "300 gf", folder=book)
    for design in ("auk", "gull", "tern"):
        assert re.search(rf"{design} on m1 is (speed|torque)-bound", said.stdout)
    assert "torque in hand" in said.stdout
    assert "rpm/V" in said.stdout


def test_match_of_one_design_as_json_has_intervals_budgets_and_the_sweep(book: Path) -> None:
    (match,) = json_of("match", "auk", "--limit", "40 A", folder=book)
    peak = next(figure for figure in match["figures"] if figure["figure"] == "peak-thrust")
    assert peak["interval"][0] < peak["value"] < peak["interval"][1]
    assert sum(line["contribution"] ** 2 for line in peak["budget"]) == pytest.approx(
        peak["standard_uncertainty"] ** 2, rel=1e-6
    )
    assert set(match["sensitivities"]) == {"kv", "resistance", "voltage", "current-limit"}
    assert len(match["sweep"]) > 20


def test_prediction_of_a_craft_has_every_figure_or_its_reason(book: Path) -> None:
    (prediction,) = json_of("predict", "auk", *MOTOR, "--voltage", "14 V", *CRAFT, folder=book)
    told = figures(prediction)
    assert len(told) > 18
    assert all(figure["value"] is not None or figure["interval"] or figure["absent"] for figure in told.values())
    assert told["craft-hover-power"]["value"] == pytest.approx(4 * told["hover-electrical-power"]["value"])
    assert told["endurance"]["value"] == pytest.approx(60 * 23 / told["craft-hover-power"]["value"])
    # This book states no pitch, and without it nothing bounds an airspeed.
    assert "no pitch" in told["level-flight-speed"]["absent"]


def test_prediction_shows_the_cautions_and_where_the_motor_comes_from(book: Path) -> None:
    said = run_command("predict", "auk", "gull", *MOTOR, "--battery", "4S 1300mAh 25mohm", *CRAFT[:2], folder=book)
    told = " ".join(said.stdout.split())
    assert "not airworthiness" in told
    assert "local flying rules" in told
    assert "Motor m1" in told
    assert "80 % of its charge usable" in told


def test_battery_text_is_the_same_as_its_parts(book: Path) -> None:
    (text,) = json_of("predict", "auk", *MOTOR, "--battery", "4S 1300 mAh 25 mohm", *CRAFT[:2], folder=book)
    parts = ("--voltage", "16.8 V", "--battery-resistance", "0.025 ohm", "--empty-voltage", "14 V")
    energy = ("--usable-energy", f"{0.8 * 1.3 * 4 * 3.85} Wh")
    (apart,) = json_of("predict", "auk", *MOTOR, *parts, *energy, *CRAFT[:2], folder=book)
    values = [{name: one["value"] for name, one in figures(told).items() if one["value"]} for told in (text, apart)]
    assert len(values[0]) > 12
    assert values[0] == pytest.approx(values[1], rel=1e-9)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("predict", "auk", "--motor", "m9", "--voltage", "14 V"), "unknown-motor"),
        (("predict", "auks", *MOTOR, "--voltage", "14 V"), "unknown-design"),
        (("predict", "auk", *MOTOR), "voltage-needed"),
        (("predict", "auk", *MOTOR, "--voltage", "0 V"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--voltage", "14"), "missing-unit"),
        (("predict", "auk", *MOTOR, "--voltage", "14 A"), "wrong-dimension"),
        (("predict", "auk", *MOTOR, "--voltage", "14 V", "--mass", "0 g"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--voltage", "14 V", "--mass", "1 kg", "--rotors", "0"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--voltage", "14 V", "--empty-voltage", "15 V"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--voltage", "14 V", "--limit", "-3 A"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--voltage", "14 V", "--altitude", "90 km"), "out-of-range"),
        (("predict", "auk", *MOTOR, "--battery", "six cells"), "bad-battery"),
        (("predict", "auk", *MOTOR, "--battery", "0S 20mohm"), "bad-battery"),
        (("predict", "auk", *MOTOR, "--battery", "4S 20 furlongs"), "unknown-unit"),
        (("predict", "auk", *MOTOR, "--battery", "4S", "--voltage", "14 V"), "contradictory-options"),
        (("match", "auk", "--motor", "m9"), "unknown-motor"),
        (("match", "auk", "--hover", "0 gf"), "out-of-range"),
        (("match", "auk", "--voltage", "0 V"), "out-of-range"),
        (("match", "--campaign", "autumn"), "unknown-campaign"),
    ],
)
def test_what_cannot_be_asked_is_told_in_the_usual_form(book: Path, words: tuple[str, ...], code: str) -> None:
    said = run_command(*words, folder=book, status=2)
    assert said.stdout == ""
    assert code in [match["code"] for match in FORM.finditer(said.stderr)], said.stderr


def test_all_that_is_wrong_is_told_at_once(book: Path) -> None:
    said = run_command("predict", "auk", *MOTOR, "--voltage", "0 V", "--mass", "1 furlong", folder=book, status=2)
    assert len(FORM.findall(said.stderr)) == 2


def test_kv_of_zero_in_the_table_is_refused_before_anything_is_predicted(book: Path, tmp_path: Path) -> None:
    root = write_bench_book(tmp_path / "book")
    (root / "motors.csv").write_text("motor,kv [rpm/V],resistance [ohm]\nm1,0,0.1\n", encoding="utf-8")
    said = run_command("predict", "auk", *MOTOR, "--voltage", "14 V", folder=root, status=2)
    assert "negative-value" in said.stderr or "out-of-range" in said.stderr
    assert "motors.csv" in said.stderr


def test_craft_too_heavy_to_hover_is_told_with_the_reason_and_no_figure(book: Path) -> None:
    (prediction,) = json_of("predict", "auk", *MOTOR, "--voltage", "14 V", "--mass", "50 kg", folder=book)
    told = figures(prediction)
    assert told["peak-thrust"]["value"] > 0.0
    assert told["hover-speed"]["value"] is None
    assert "hover takes" in told["hover-speed"]["absent"]


def test_limit_below_hover_is_told_with_the_reason(book: Path) -> None:
    words = ("predict", "auk", *MOTOR, "--voltage", "14 V", "--mass", "900 g", "--limit", "0.5 A")
    (prediction,) = json_of(*words, folder=book)
    assert "within 0.5 A" in figures(prediction)["hover-speed"]["absent"]


def test_chart_of_thrust_over_kv_is_drawn_and_says_what_it_shows(book: Path, tmp_path: Path) -> None:
    path = tmp_path / "kv.png"
    said = run_command("chart", "thrust-over-kv", "--out", str(path), "--size", "1200x700", folder=book)
    assert "Thrust at full throttle against KV" in said.stdout
    assert struct.unpack(">II", path.read_bytes()[16:24]) == (1200, 700)
    rows = json_of("chart", "thrust-over-kv", "--design", "auk", folder=book)
    chosen = [row for row in rows if row["design"] == "auk" and row["told_apart"]]
    thrust = [row["Thrust at full throttle [gf]"] for row in chosen]
    assert thrust == sorted(thrust), "no limit of current is stated in this book"
