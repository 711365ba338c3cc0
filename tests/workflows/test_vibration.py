"""Vibration through the whole program: results at a thrust, the balance, and what is refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

from support.commands import run_command
from support.shaken_books import OWN, RADIUS, write_shaken_book


@pytest.fixture(scope="module")
def shaken(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_shaken_book(tmp_path_factory.mktemp("shaken"))
    run_command("reduce", "--jobs", "1", folder=root)
    return root


def test_results_give_vibration_at_a_thrust_in_g_in_the_air_of_the_day(shaken: Path) -> None:
    (one,) = json.loads(
        run_command("results", "--of", "vibration", "--at", "thrust=600gf", "--json", folder=shaken).stdout
    )
    assert one["unit"] == "g"
    assert one["value"] == pytest.approx(1.6, abs=0.8)
    # two mountings as it is and one turned, which leaves another unbalance: they scatter, and it says so
    assert one["standard_uncertainty"] < 0.15 * one["value"]
    assert one["runs"] == ["v1", "v2", "v4"], "a run with a trial mass does not count"
    assert "air-of-the-day" in one["flags"]
    assert "noise left by the fit" in {line["source"] for line in one["budget"]}


def test_vibration_is_among_the_usual_results_where_a_rig_has_an_accelerometer(shaken: Path) -> None:
    assert "vibration" in run_command("results", "--at", "thrust=600gf", folder=shaken).stdout


def test_balance_says_what_to_add_where_and_which_grade_it_has(shaken: Path) -> None:
    said = run_command("balance", "five", folder=shaken).stdout
    assert "five, sample a: add" in said
    assert "from the mark" in said
    assert "of ISO 21940-11" in said
    (found,) = json.loads(run_command("balance", "five", "--json", folder=shaken).stdout)
    assert found["marked"] is True
    assert found["correction_mass"] == pytest.approx(1e3 * abs(OWN.whole) / RADIUS, rel=0.05)
    wanted = np.degrees(np.angle(-OWN.whole)) % 360.0
    assert found["correction"]["angle"] == pytest.approx(wanted, abs=3.0)
    assert found["rotor_mass"] == pytest.approx(16.2)
    assert found["grade"] == pytest.approx(
        1e3 * abs(OWN.whole) / 0.0162 * found["service_speed"] * np.pi / 30.0, rel=0.05
    )
    assert found["propeller"]["unbalance"] == pytest.approx(1.0, rel=0.05)
    assert found["hub_and_motor"]["unbalance"] == pytest.approx(0.5, rel=0.05)


def test_balance_of_a_design_without_a_trial_is_refused_with_what_to_run(shaken: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(shaken, tmp_path / "copy")
    table = copy / "campaigns" / "spring" / "runs.csv"
    rows = [line for line in table.read_text(encoding="utf-8").splitlines() if not line.startswith("v3")]
    table.write_text("\n".join(rows) + "\n", encoding="utf-8")
    told = run_command("balance", "five", folder=copy, status=2).stderr
    assert "[balance-runs-missing]" in told
    assert "trial mass [g]" in told


def test_a_trial_mass_without_its_radius_is_an_error_of_the_table(shaken: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(shaken, tmp_path / "copy")
    table = copy / "campaigns" / "spring" / "runs.csv"
    table.write_text(table.read_text(encoding="utf-8").replace(",20,25,", ",,25,"), encoding="utf-8")
    told = run_command("results", folder=copy, status=2).stderr
    assert "trial radius" in told
    assert "[missing-value]" in told
