"""Which sheet, table, block or packed log a channel is read from, and what is said where that is left open."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import polars as pl
import pytest
import scipy.io

from isothrust.errors import IsothrustError, LogError
from isothrust.ingest import read_recording
from isothrust.records.recording import Recording
from isothrust.records.rig import ChannelPlan, ColumnPick, FilePlan, Rig
from logs.truth import channels, plan, rig
from support.formats import columns, csv_text, matlab_73, packed, stamped, table, workbook_of, write_ods

TIME = plan("time", "time", "s")
THRUST = plan("thrust", "pull", "N")
SPEED = plan("speed", "turns", "rpm", factor=0.1)


def bench(*plans: ChannelPlan, **files: FilePlan) -> Rig:
    return Rig("bench", "Bench", {each.quantity: each for each in plans}, files=files)


def read(path: Path | str, wanted: Rig) -> Recording:
    return read_recording("r1", {"log": str(path)}, wanted)


def refusal(path: Path | str, wanted: Rig) -> IsothrustError:
    with pytest.raises(IsothrustError) as caught:
        read(path, wanted)
    return caught.value


def block(start: float, *, rows: int = 8, heads: tuple[str, ...] = ("time", "pull", "turns")) -> list[list[Any]]:
    """Return a block whose thrust begins at `start`, its clock at zero."""
    values = [[0.5 * k, start + k, 100.0 * k][: len(heads)] for k in range(rows)]
    return [list(heads), *values]


def beside(*blocks: list[list[Any]]) -> list[list[Any]]:
    """Return blocks side by side with a blank column between them."""
    height = max(map(len, blocks))
    rows: list[list[Any]] = []
    for row in range(height):
        line: list[Any] = []
        for each in blocks:
            width = len(each[0])
            line += (each[row] if row < len(each) else [None] * width) + [None]
        rows.append(line[:-1])
    return rows


def truthful(recording: Recording) -> None:
    for quantity, (time, values) in channels().items():
        np.testing.assert_allclose(recording.channels[quantity].values, values, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(recording.channels[quantity].time, time, atol=1e-9)


# Sheets of a workbook


def test_the_sheet_that_holds_the_columns_is_found_among_others(tmp_path: Path) -> None:
    other = [["blade", "mass"], *[[k, 2.0 * k] for k in range(9)]]
    workbook_of(tmp_path / "w.xlsx", {"masses": other, "bench": table(), "remarks": [["none"]]})
    recording = read(tmp_path / "w.xlsx", rig())
    truthful(recording)
    assert recording.sources[0].dialect == 'XLSX, sheet "bench", head in row 1'


def test_several_sheets_that_fit_are_refused_by_name_and_one_may_be_named_in_three_ways(tmp_path: Path) -> None:
    workbook_of(tmp_path / "w.xlsx", {"trial 1": block(1.0), "trial 2": block(2.0)})
    wanted = bench(TIME, THRUST)
    error = refusal(tmp_path / "w.xlsx", wanted)
    assert error.code == "several-tables"
    assert '"trial 1", "trial 2"' in error.problems[0].what
    assert "w.xlsx/trial 1" in (error.problems[0].fix or "")
    assert read(tmp_path / "w.xlsx/trial 2", wanted).channels["thrust"].values[0] == 2.0
    by_rig = bench(TIME, THRUST, log=FilePlan(table="trial 2"))
    assert read(tmp_path / "w.xlsx", by_rig).channels["thrust"].values[0] == 2.0
    (tmp_path / "w.zip").write_bytes(packed("w.xlsx", (tmp_path / "w.xlsx").read_bytes()))
    assert read(tmp_path / "w.zip/w.xlsx/trial 2", wanted).channels["thrust"].values[0] == 2.0


def test_a_sheet_that_is_not_there_is_told_with_the_nearest_first(tmp_path: Path) -> None:
    workbook_of(tmp_path / "w.xlsx", {"trial 1": block(1.0), "notes": [["dull"]]})
    error = refusal(tmp_path / "w.xlsx/trail 1", bench(TIME, THRUST))
    assert error.code == "no-such-part"
    assert (error.problems[0].expected or "").startswith('one of "trial 1"')
    assert "holds no rows of numbers" in refusal(tmp_path / "w.xlsx/notes", bench(TIME, THRUST)).problems[0].what


def test_cells_with_errors_and_empty_cells_are_no_readings(tmp_path: Path) -> None:
    rows = block(1.0)
    rows[3][1], rows[5][1] = "=1/0", None
    workbook_of(tmp_path / "w.xlsx", {"a": rows})
    thrust = read(tmp_path / "w.xlsx", bench(TIME, THRUST)).channels["thrust"]
    assert thrust.time.tolist() == [0.0, 0.5, 1.5, 2.5, 3.0, 3.5]


def test_a_clock_of_dates_in_a_sheet_is_read_to_the_millisecond_and_past_midnight(tmp_path: Path) -> None:
    moments = [moment.replace(tzinfo=None) for moment in stamped(30)]
    rows: list[list[Any]] = [["time", "pull"], *[[moment, float(k)] for k, moment in enumerate(moments)]]
    workbook_of(tmp_path / "w.xlsx", {"a": rows})
    thrust = read(tmp_path / "w.xlsx", bench(plan("time", "time"), THRUST)).channels["thrust"]
    np.testing.assert_allclose(thrust.time, 0.01 * np.arange(30), atol=1e-3)


def test_blank_rows_and_columns_first_are_counted_as_the_sheet_counts_them(tmp_path: Path) -> None:
    rows = [[], [], *([None, None, *row] for row in block(1.0))]
    rows[6][3] = "loose"
    workbook_of(tmp_path / "w.xlsx", {"a": rows})
    recording = read(tmp_path / "w.xlsx", bench(plan("time", 3, "s"), plan("thrust", 4, "N")))
    assert recording.channels["thrust"].values[0] == 1.0
    (finding,) = recording.findings
    assert 'line 7 "loose"' in finding.message


def test_both_kinds_of_workbook_read_alike(tmp_path: Path) -> None:
    write_ods(tmp_path / "w.ods", block(3.0))
    workbook_of(tmp_path / "w.xlsx", {"log": block(3.0)})
    both = [read(tmp_path / name, bench(TIME, THRUST, SPEED)) for name in ("w.ods", "w.xlsx")]
    for quantity in ("thrust", "speed"):
        assert both[0].channels[quantity].values.tolist() == both[1].channels[quantity].values.tolist()


# Blocks side by side


def blocks_of(tmp_path: Path) -> Path:
    workbook_of(tmp_path / "b.xlsx", {"trial": beside(block(10.0), block(20.0, rows=6), block(30.0))})
    return tmp_path / "b.xlsx"


def test_blocks_with_the_same_heads_are_refused_until_one_is_named(tmp_path: Path) -> None:
    error = refusal(blocks_of(tmp_path), bench(TIME, THRUST))
    assert error.code == "several-blocks"
    assert "3 of 3 blocks" in error.problems[0].what
    assert "block = 1" in (error.problems[0].fix or "")


@pytest.mark.parametrize("way", ["rig", "path", "pick", "position"])
def test_a_block_is_named_by_the_rig_the_path_the_column_or_the_positions(tmp_path: Path, way: str) -> None:
    path: Path | str = blocks_of(tmp_path)
    wanted = bench(TIME, THRUST)
    if way == "rig":
        wanted = bench(TIME, THRUST, log=FilePlan(block=2))
    elif way == "path":
        path = f"{path}/trial/block 2"
    elif way == "pick":
        wanted = bench(TIME, ChannelPlan("thrust", (ColumnPick(head="pull", block=2),), unit="N"))
    else:
        wanted = bench(plan("time", 5, "s"), plan("thrust", 6, "N"))
    thrust = read(path, wanted).channels["thrust"]
    assert thrust.values.tolist() == [20.0 + k for k in range(6)]
    assert thrust.time.tolist() == [0.5 * k for k in range(6)]


def test_a_block_that_is_not_there_is_refused(tmp_path: Path) -> None:
    path = blocks_of(tmp_path)
    assert refusal(path, bench(TIME, THRUST, log=FilePlan(block=4))).code == "several-blocks"
    error = refusal(f"{path}/trial/block 4", bench(TIME, THRUST))
    assert error.code == "no-such-part"
    assert '"block 3"' in (error.problems[0].expected or "")


def test_channels_of_two_blocks_go_by_the_clock_of_their_own_block(tmp_path: Path) -> None:
    fast = [["time", "turns"], *[[0.1 * k, 100.0 * k] for k in range(12)]]
    slow = [["time", "pull"], *[[0.25 + 0.5 * k, float(k)] for k in range(6)]]
    workbook_of(tmp_path / "b.xlsx", {"trial": beside(fast, slow)})
    recording = read(tmp_path / "b.xlsx", bench(TIME, SPEED, THRUST))
    np.testing.assert_allclose(recording.channels["speed"].time, 0.1 * np.arange(12))
    np.testing.assert_allclose(np.diff(recording.channels["thrust"].time), 0.5)
    assert recording.channels["thrust"].time[0] == pytest.approx(0.25)
    assert len(recording.sources) == 1
    assert "block 1" in recording.sources[0].dialect
    assert "block 2" in recording.sources[0].dialect


def test_joined_blocks_are_one_recording_whose_clock_goes_on(tmp_path: Path) -> None:
    recording = read(blocks_of(tmp_path), bench(TIME, THRUST, SPEED, log=FilePlan(joined=True)))
    thrust = recording.channels["thrust"]
    assert thrust.values.tolist() == [10.0 + k for k in range(8)] + [20.0 + k for k in range(6)] + [
        30.0 + k for k in range(8)
    ]
    np.testing.assert_allclose(np.diff(thrust.time), 0.5)
    assert "3 blocks one after the other" in recording.sources[0].dialect


def test_a_gap_in_a_table_makes_no_blocks(tmp_path: Path) -> None:
    gapped = [[row[0], row[2], None, row[1]] for row in block(1.0)]
    workbook_of(tmp_path / "g.xlsx", {"a": gapped})
    recording = read(tmp_path / "g.xlsx", bench(TIME, THRUST, SPEED))
    assert recording.channels["thrust"].time.tolist() == [0.5 * k for k in range(8)]


# Vectors of MATLAB and HDF5 files


def test_structs_are_told_by_names_with_points_and_their_texts_are_kept(tmp_path: Path) -> None:
    inner = {"pull": np.arange(5.0), "time": 0.5 * np.arange(5.0), "fs": 2.0, "who": "bench two"}
    scipy.io.savemat(tmp_path / "s.mat", {"run": {"data": inner}})
    wanted = bench(plan("time", "run.data.time", "s"), plan("thrust", "run.data.pull", "N"))
    recording = read(tmp_path / "s.mat", wanted)
    assert recording.channels["thrust"].values.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert "run.data.fs = 2.0" in recording.extra["preamble"]
    assert "run.data.who = bench two" in recording.extra["preamble"]


def test_version_7_3_reads_as_the_older_ones_do(tmp_path: Path) -> None:
    inner = {"pull": np.arange(5.0), "time": 0.5 * np.arange(5.0), "fs": 2.0, "who": "bench two"}
    matlab_73(tmp_path / "s.mat", {"run": {"data": inner}, "cells": np.arange(15.0).reshape(5, 3)})
    columns_ = (ColumnPick(head="cells(:,1)"), ColumnPick(head="cells(:,3)"))
    wanted = bench(plan("time", "run.data.time", "s"), ChannelPlan("thrust", columns_, unit="N"))
    recording = read(tmp_path / "s.mat", wanted)
    assert recording.channels["thrust"].values.tolist() == [6.0 * k + 2.0 for k in range(5)]
    assert "run.data.who = bench two" in recording.extra["preamble"]


def test_vectors_of_other_lengths_are_tables_of_their_own(tmp_path: Path) -> None:
    scipy.io.savemat(
        tmp_path / "v.mat",
        {"time": 0.5 * np.arange(6.0), "pull": np.arange(6.0), "shake": np.arange(40.0), "turns": np.arange(6)},
    )
    shake = ChannelPlan("acceleration", (ColumnPick(head="shake"),), unit="m/s2", rate=100.0)
    recording = read(tmp_path / "v.mat", bench(TIME, THRUST, SPEED, shake))
    assert recording.channels["acceleration"].values.shape == (40, 1)
    assert recording.channels["acceleration"].time[-1] == pytest.approx(0.39)
    assert recording.channels["thrust"].time[-1] == 2.5
    assert recording.channels["speed"].resolution == pytest.approx(0.1)


def test_a_wide_matrix_has_its_readings_along_the_rows(tmp_path: Path) -> None:
    scipy.io.savemat(tmp_path / "m.mat", {"X": np.vstack([0.5 * np.arange(9.0), np.arange(9.0)])})
    wanted = bench(plan("time", "X(1,:)", "s"), plan("thrust", "X(2,:)", "N"))
    assert read(tmp_path / "m.mat", wanted).channels["thrust"].values.tolist() == list(range(9))


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ({"a": np.zeros((2, 3, 4))}, "a has 3 dimensions (2 x 3 x 4)"),
        ({"c": np.array([np.arange(3.0), "x"], dtype=object)}, "c is a cell array of unlike things"),
        ({"z": np.arange(5) * 1j}, "z holds complex128"),
        ({"k": 3.0}, "no column of readings"),
    ],
)
def test_what_is_no_column_of_readings_is_refused_for_what_it_is(
    tmp_path: Path, content: dict[str, Any], told: str
) -> None:
    scipy.io.savemat(tmp_path / "x.mat", content)
    error = refusal(tmp_path / "x.mat", bench(TIME, THRUST))
    assert error.code == "not-a-table"
    assert told in error.problems[0].what


def test_groups_with_the_same_tables_are_refused_until_one_is_named(tmp_path: Path) -> None:
    with h5py.File(tmp_path / "g.h5", "w") as file:
        for number in (1, 2):
            file[f"run{number}/time"] = 0.5 * np.arange(5.0)
            file[f"run{number}/pull"] = number + np.arange(5.0)
    wanted = bench(plan("time", "run2.time", "s"), plan("thrust", "run2.pull", "N"))
    assert read(tmp_path / "g.h5", wanted).channels["thrust"].values[0] == 2.0
    rows = np.zeros(5, dtype=[("time", "f8"), ("pull", "f4")])
    with h5py.File(tmp_path / "t.h5", "w") as file:
        file["day/first"], file["day/second"] = rows, rows
    error = refusal(tmp_path / "t.h5", bench(TIME, THRUST))
    assert error.code == "several-tables"
    assert '"day.first", "day.second"' in error.problems[0].what
    assert read(tmp_path / "t.h5/day.second", bench(TIME, THRUST)).channels["thrust"].values.size == 5


def test_the_unit_that_a_dataset_tells_is_held_against_the_rigs(tmp_path: Path) -> None:
    with h5py.File(tmp_path / "u.h5", "w") as file:
        file["time"], file["pull"] = 0.5 * np.arange(5.0), np.arange(5.0)
        file["pull"].attrs["units"] = "gf"
    assert refusal(tmp_path / "u.h5", bench(TIME, THRUST)).code == "unit-disagrees"


# Parquet and archives


def test_moments_in_parquet_are_a_clock_without_a_unit(tmp_path: Path) -> None:
    frame = pl.DataFrame({"time": stamped(30), "pull": [float(k) for k in range(30)], "odd": [[1, 2]] * 30})
    frame.write_parquet(tmp_path / "p.parquet")
    thrust = read(tmp_path / "p.parquet", bench(plan("time", "time"), THRUST)).channels["thrust"]
    np.testing.assert_allclose(thrust.time, 0.01 * np.arange(30), atol=1e-6)


def test_infinite_and_missing_numbers_are_no_readings(tmp_path: Path) -> None:
    pull = [0.0, None, 2.0, float("inf"), 4.0, float("nan"), 6.0]
    pl.DataFrame({"time": [float(k) for k in range(7)], "pull": pull}).write_parquet(tmp_path / "p.parquet")
    recording = read(tmp_path / "p.parquet", bench(TIME, THRUST))
    assert recording.channels["thrust"].values.tolist() == [0.0, 2.0, 4.0, 6.0]
    (finding,) = recording.findings
    assert (finding.code, finding.count) == ("unreadable-cells", 1)
    assert 'line 4 "inf"' in finding.message


def test_one_of_several_packed_logs_is_named_behind_the_archives_name(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "z.zip", "w") as archive:
        archive.writestr("day/r01.csv", csv_text())
        archive.writestr("day/r02.csv", "time,pull\n" + "".join(f"{k},{k}\n" for k in range(9)))
    error = refusal(tmp_path / "z.zip", rig())
    assert error.code == "several-tables"
    assert "z.zip/day/r01.csv" in (error.problems[0].fix or "")
    truthful(read(tmp_path / "z.zip/day/r01.csv", rig()))
    assert read(tmp_path / "z.zip/day/r02.csv", bench(TIME, THRUST)).channels["thrust"].values.size == 9
    missing = refusal(tmp_path / "z.zip/day/r03.csv", rig())
    assert missing.code == "no-such-part"
    assert '"day/r01.csv"' in (missing.problems[0].expected or "")


def test_a_packed_file_of_any_format_is_read(tmp_path: Path) -> None:
    buffer = tmp_path / "r.parquet"
    pl.DataFrame(columns()).write_parquet(buffer)
    (tmp_path / "p.zip").write_bytes(packed("r.parquet", buffer.read_bytes()))
    truthful(read(tmp_path / "p.zip", rig()))


def test_an_archive_in_an_archive_is_refused(tmp_path: Path) -> None:
    (tmp_path / "n.zip").write_bytes(packed("inner.zip", packed("r.csv", csv_text().encode())))
    error = refusal(tmp_path / "n.zip", rig())
    assert isinstance(error, LogError)
    assert error.code == "nested-archive"
