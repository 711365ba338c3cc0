"""The store gives back exactly what it was given, in the same bytes each time."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import polars as pl
import pytest

from isothrust.book.store import (
    StoredRun,
    read_reduced,
    read_results,
    read_stored,
    remove_other_runs,
    run_file,
    write_reduced,
    write_results,
)
from isothrust.records.reduced import Contribution, ReducedRun
from isothrust.records.result import Condition, Result
from unit.book.reduced_runs import curve, full_run, hollow_run


def assert_same(first: Any, second: Any, where: str = "") -> None:
    assert type(first) is type(second), where
    if is_dataclass(first):
        for field in fields(first):
            assert_same(getattr(first, field.name), getattr(second, field.name), f"{where}.{field.name}")
    elif isinstance(first, np.ndarray):
        assert first.dtype == second.dtype, where
        assert first.shape == second.shape, where
        assert first.tobytes() == second.tobytes(), where
    elif isinstance(first, dict):
        assert list(first) == list(second), where
        for name in first:
            assert_same(first[name], second[name], f"{where}[{name}]")
    elif isinstance(first, tuple):
        assert len(first) == len(second), where
        for number, pair in enumerate(zip(first, second, strict=True)):
            assert_same(*pair, f"{where}[{number}]")
    elif isinstance(first, float):
        assert first.hex() == second.hex(), where
    else:
        assert first == second, where


@pytest.mark.parametrize("run", [full_run(), hollow_run()], ids=["everything", "nothing but names"])
def test_a_run_comes_back_exactly_as_it_was_stored(tmp_path: Path, run: ReducedRun) -> None:
    write_reduced(tmp_path, StoredRun("k", "b", borrowed=True, reduced=run))
    back = read_reduced(tmp_path)[(run.campaign, run.run)]
    assert (back.key, back.base_key, back.borrowed) == ("k", "b", True)
    assert_same(back.reduced, run)


def test_infinite_and_undefined_numbers_survive(tmp_path: Path) -> None:
    odd = replace(curve(), covariance=np.array([[math.nan, math.inf], [-math.inf, -0.0]]), coefficients=np.empty(0))
    run = replace(hollow_run(), density=math.inf, curves={})
    influence = replace(full_run().influences[0], shifts={"thrust": np.empty((0,)), "torque": odd.covariance.ravel()})
    run = replace(run, influences=(influence,))
    write_reduced(tmp_path, StoredRun("k", "b", borrowed=False, reduced=run))
    assert_same(read_reduced(tmp_path)[("spring", "r02")].reduced, run)


def test_the_same_run_gives_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    write_reduced(tmp_path / "here", StoredRun("k", "b", borrowed=False, reduced=full_run()))
    program = (
        "from reduced_runs import full_run\n"
        "from isothrust.book.store import StoredRun, write_reduced\n"
        f"write_reduced({str(tmp_path / 'there')!r}, StoredRun('k', 'b', borrowed=False, reduced=full_run()))\n"
    )
    environment = dict(os.environ, PYTHONPATH=str(Path(__file__).parent), PYTHONHASHSEED="17")
    subprocess.run([sys.executable, "-c", program], check=True, env=environment)
    here = run_file(tmp_path / "here", "spring", "r01").read_bytes()
    assert here == run_file(tmp_path / "there", "spring", "r01").read_bytes()
    assert str(tmp_path).encode() not in here


def test_another_program_reads_the_grid_of_a_curve(tmp_path: Path) -> None:
    write_reduced(tmp_path, StoredRun("k", "b", borrowed=False, reduced=full_run()))
    file = run_file(tmp_path, "spring", "r01")
    rows = duckdb.sql(
        f"select g.curve, g.x, g.value, g.standard_uncertainty from (select unnest(grids) as g from '{file}')"
    ).fetchall()
    assert [row[0] for row in rows] == ["thrust", "torque"]
    _, x, value, uncertainty = rows[0]
    assert (x[0], x[-1]) == (120.0, 390.0)
    # The curve is the straight line 2e-5 + 1e-9 x, whatever its spline form.
    assert value == pytest.approx([2.0e-5 + 1e-9 * each for each in x], rel=1e-12)
    # At x = 120 the cubic basis on one span is Bernstein's: u^2 is the sum of squares times the variances.
    t = 20.0 / 300.0
    bernstein = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    variances = [1.0e-14, 2.0e-14, 3.0e-14, 1.0 / 3.0e14]
    expected = math.sqrt(sum(b**2 * v for b, v in zip(bernstein, variances, strict=True)))
    assert uncertainty[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("damage", ["cut", "prose", "empty", "other columns"])
def test_a_damaged_file_counts_as_not_there(tmp_path: Path, damage: str) -> None:
    write_reduced(tmp_path, StoredRun("k", "b", borrowed=False, reduced=full_run()))
    file = run_file(tmp_path, "spring", "r01")
    whole = file.read_bytes()
    if damage == "other columns":
        pl.DataFrame({"key": ["k"], "a": [1.0]}).write_parquet(file)
    else:
        file.write_bytes({"cut": whole[: len(whole) // 2], "prose": b"not a table", "empty": b""}[damage])
    assert read_stored(file) is None
    assert read_reduced(tmp_path) == {}


def test_runs_that_are_gone_from_the_book_are_removed(tmp_path: Path) -> None:
    for run in (full_run("r01"), full_run("r02"), full_run("r01", "autumn")):
        write_reduced(tmp_path, StoredRun("k", "b", borrowed=False, reduced=run))
    assert remove_other_runs(tmp_path, {("spring", "r02")}) == (("autumn", "r01"), ("spring", "r01"))
    assert list(read_reduced(tmp_path)) == [("spring", "r02")]
    assert not (tmp_path / "derived" / "autumn").exists()


def test_results_come_back_exactly(tmp_path: Path) -> None:
    known = Result(
        measurand="shaft-efficiency",
        condition=Condition("thrust", 4.903325),
        design="A",
        sample=None,
        campaign="spring",
        runs=("r01", "r02"),
        value=0.081,
        standard_uncertainty=0.0004,
        interval=(0.0802, 0.0818),
        interval_of_design=None,
        interval_as_sold=(0.07, 0.09),
        degrees_of_freedom=math.inf,
        budget=(Contribution("torque scale", "rig loft torque scale", "rig", -0.0003, math.inf),),
        sample_contributions=(),
        flags=("calibration-not-stated",),
        absent=None,
        method_version=2,
    )
    unknown = replace(
        known, condition=None, value=None, interval=None, budget=(), absent="the rig has no torque channel"
    )
    assert read_results(tmp_path) is None
    write_results(tmp_path, [known, unknown])
    back = read_results(tmp_path)
    assert back is not None
    for first, second in zip(back, (known, unknown), strict=True):
        assert_same(first, second)
    write_results(tmp_path, [])
    assert read_results(tmp_path) == ()
