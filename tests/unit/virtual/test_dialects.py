"""The same run in every dialect is the same data."""

from __future__ import annotations

import gzip
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.virtual import COMMA, COUNTER, DIALECTS, SEMICOLON, Dialect, Fault, RunPlan, VirtualRun, simulate
from isothrust.virtual.demo_designs import BENCHES
from isothrust.virtual.rigtext import rig_toml
from unit.virtual.motors import brief, five_inch

ALL = (*DIALECTS, *(bench.dialect for bench in BENCHES))
NAMES = [dialect.name for dialect in ALL]


@pytest.fixture(scope="module")
def run() -> VirtualRun:
    return simulate([RunPlan("a", five_inch(), schedule=brief())], 3)[0]


def text_of(raw: bytes, dialect: Dialect) -> str:
    return (gzip.decompress(raw) if dialect.compress else raw).decode("utf-8-sig")


def seconds(cells: list[str], dialect: Dialect) -> np.ndarray:
    if dialect.clock == "iso":
        first = datetime.fromisoformat(cells[0])
        return np.array([(datetime.fromisoformat(cell) - first).total_seconds() for cell in cells])
    parts = np.array([[float(part) for part in cell.split(":")] for cell in cells])
    of_day = parts @ [3600.0, 60.0, 1.0]
    return np.unwrap(of_day - of_day[0], period=86_400.0)


def read_back(raw: bytes, dialect: Dialect) -> dict[str, np.ndarray]:
    """A reader of its own, by the dialect's description: SI columns."""
    lines = text_of(raw, dialect).splitlines()[len(dialect.preamble) + dialect.heads :]
    rows = [line.split(dialect.delimiter) for line in lines]
    found: dict[str, np.ndarray] = {}
    for k, column in enumerate(dialect.columns):
        cells = [row[k].replace(dialect.decimal, ".") for row in rows]
        if column.channel == "time" and dialect.clock != "number":
            found["time"] = seconds(cells, dialect)
            continue
        value = (np.array([float(cell) if cell else np.nan for cell in cells]) - column.bias) * column.size
        value = value * column.sign / (column.pole_pairs or 1)
        if column.arm is not None:
            value = found.get(column.channel, 0.0) + value * column.arm
        found[column.channel] = value
    if "time" in found:
        found["time"] = found["time"] - found["time"][0]
    return found


@pytest.mark.parametrize("dialect", ALL, ids=NAMES)
def test_every_dialect_carries_the_recording_to_its_last_digit(run: VirtualRun, dialect: Dialect) -> None:
    found = read_back(run.log_bytes(dialect), dialect)
    assert set(found) == set(run.columns) - ({"time"} if dialect.clock == "none" else set())
    for name, values in found.items():
        column = next(c for c in dialect.columns if c.channel == name)
        last = 0.51 * 10.0**-column.digits * column.size / (column.pole_pairs or 1)
        if column.arm is not None:
            last *= 2 * abs(column.arm)
        if name == "time" and dialect.clock != "number":
            last = 1e-4
        np.testing.assert_allclose(values, run.columns[name], atol=last + 1e-12, rtol=0)


@pytest.mark.parametrize("dialect", ALL, ids=NAMES)
def test_the_rig_file_states_the_log_without_a_problem(run: VirtualRun, dialect: Dialect, tmp_path: Path) -> None:
    path = tmp_path / "stand.toml"
    path.write_text(rig_toml(run.plan.stand, run.plan.drive, dialect), encoding="utf-8")
    rig, findings = parse_rig(path)
    assert findings == ()
    stated = run.plan.stand.stated
    thrust, torque = rig.channels["thrust"], rig.channels["torque"]
    assert thrust.uncertainty is not None
    assert thrust.uncertainty.relative == pytest.approx(stated.thrust_scale)
    assert thrust.uncertainty.absolute == pytest.approx(stated.thrust_fixed)
    assert torque.uncertainty is not None
    assert torque.uncertainty.absolute == pytest.approx(stated.torque_fixed)
    assert (rig.u_temperature, rig.u_humidity) == (pytest.approx(stated.temperature), pytest.approx(stated.humidity))
    assert rig.u_pressure == pytest.approx(stated.pressure)
    assert set(rig.channels) == set(run.columns)
    assert rig.obstruction == pytest.approx(run.plan.stand.obstruction)


def test_a_truncated_log_breaks_off_within_its_last_line() -> None:
    cut = simulate([RunPlan("a", five_inch(), schedule=brief(), faults=(Fault("truncated-line"),))], 3)[0]
    lines = cut.log_bytes(COMMA).decode().split("\n")
    assert len(lines) == 1 + cut.columns["time"].size
    assert 0 < len(lines[-1]) < len(lines[-2])


def test_blank_cells_are_empty_in_text() -> None:
    faults = (Fault("blank", channel="current", at=0.5, count=3),)
    holed = simulate([RunPlan("a", five_inch(), schedule=brief(), faults=faults)], 3)[0]
    row = holed.planted[0].rows[0]
    assert holed.log_bytes(SEMICOLON).decode("utf-8-sig").splitlines()[1 + row].endswith(";")
    assert "nan" not in text_of(holed.log_bytes(COUNTER), COUNTER)


def test_compressed_logs_hold_no_time_stamp_of_their_own(run: VirtualRun) -> None:
    packed = [dialect for dialect in ALL if dialect.compress]
    assert packed
    for dialect in packed:
        assert run.log_bytes(dialect)[4:8] == bytes(4)
