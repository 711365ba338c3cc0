"""A recording of sound beside a log, from the files to results, on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from support.commands import json_of, run_command
from support.sound_books import heard_plan, heard_propeller, heard_runs, write_sound_book


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    runs = heard_runs([heard_plan("r1"), heard_plan("r2", propeller=heard_propeller("tern", blades=3))])
    return write_sound_book(tmp_path_factory.mktemp("heard"), runs)


def test_level_at_a_thrust_stands_in_results(book: Path) -> None:
    run_command("reduce", folder=book)
    found = json_of("results", "--of", "sound-level", "--at", "thrust=500gf", folder=book)
    truth = {run.plan.propeller.name: run for run in heard_runs([heard_plan("r1"), heard_plan("r2")])}
    assert {each["design"] for each in found} == {"auk", "tern"}
    auk = next(each for each in found if each["design"] == "auk")
    run = truth["auk"]
    speed = float(run.truth.mounting.speed_at_thrust(500 * 9.80665e-3, run.plan.air))
    assert run.truth.sound is not None
    assert auk["unit"] == "dB"
    assert auk["value"] == pytest.approx(run.truth.sound.level(speed), abs=0.3)
    assert {line["source"] for line in auk["budget"]} >= {"sound scale", "sound timing", "noise left by the fit"}


def test_explain_says_in_words_how_much_is_whine_and_how_far_it_carries(book: Path) -> None:
    run_command("reduce", folder=book)
    done = run_command("explain", "auk", "--of", "sound-level", "--at", "thrust=500gf", folder=book)
    told = " ".join(done.stdout.split())
    assert "levels by sensitivity of 12.5 mV/Pa" in told
    assert "mostly whine" in told
    assert "assumed: one propeller, free field" in told
    assert "L_A" in told


def test_charts_of_sound_are_drawn_and_told(book: Path, tmp_path: Path) -> None:
    run_command("reduce", folder=book)
    for name, words in (
        ("bands", ("--at", "thrust=500gf", "--class", "7 inch, 2 blades")),
        ("sound-map", ("--run", "r1")),
        ("sound-level", ()),
    ):
        out = tmp_path / f"{name}.png"
        run_command("chart", name, *words, "--out", str(out), folder=book)
        assert out.read_bytes().startswith(b"\x89PNG")


def test_a_map_wants_a_run_and_a_thrust_that_was_reached(book: Path) -> None:
    assert "run-needed" in run_command("chart", "sound-map", folder=book, status=2).stderr
    far = run_command("chart", "bands", "--at", "thrust=90000gf", folder=book, status=2).stderr
    assert "was not reached while it was heard" in far
