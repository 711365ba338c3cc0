"""Planted faults stand where the recording says they stand."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.virtual import Fault, RunPlan, VirtualRun, simulate
from unit.virtual.motors import brief, five_inch

FAULTS = (
    Fault("dropout", at=0.45, count=5),
    Fault("double-count", at=0.40, count=4),
    Fault("half-count", at=0.50, count=3),
    Fault("spike", at=0.42, count=2, size=6.0),
    Fault("zero-step", channel="torque", at=0.9, size=0.01),
    Fault("stuck", channel="current", at=0.30, count=50),
    Fault("blank", channel="voltage", at=0.35, count=20),
    Fault("repeated-stamp", at=0.20, count=6),
    Fault("backward-stamp", at=0.60, count=1, size=0.02),
)


@pytest.fixture(scope="module")
def pair() -> tuple[VirtualRun, VirtualRun]:
    clean = RunPlan("a", five_inch(), schedule=brief())
    return simulate([clean], 3)[0], simulate([RunPlan("a", five_inch(), schedule=brief(), faults=FAULTS)], 3)[0]


@pytest.mark.parametrize("place", range(len(FAULTS)), ids=[fault.kind for fault in FAULTS])
def test_a_fault_changes_its_own_rows(pair: tuple[VirtualRun, VirtualRun], place: int) -> None:
    clean, faulty = pair
    planted = faulty.planted[place]
    rows = np.array(planted.rows)
    was, now = clean.columns[planted.channel][rows], faulty.columns[planted.channel][rows]
    match planted.fault.kind:
        case "dropout":
            assert (now == 0).all()
            assert (was > 0).all()
        case "double-count" | "half-count":
            np.testing.assert_allclose(now, was * (2.0 if planted.fault.kind == "double-count" else 0.5))
        case "spike" | "zero-step":
            np.testing.assert_allclose(now - was, planted.fault.size)
        case "stuck":
            assert np.unique(now).size == 1 < np.unique(was).size
        case "blank":
            assert np.isnan(now).all()
        case "repeated-stamp":
            np.testing.assert_array_equal(faulty.columns["time"][rows + 1], faulty.columns["time"][rows])
            assert (np.diff(faulty.columns["time"]) == 0).sum() == planted.fault.count
        case _:
            np.testing.assert_allclose(was - now, 0.02)
    if planted.fault.kind not in {"zero-step", "stuck", "blank"}:
        assert rows.size == planted.fault.count


def test_rows_without_a_fault_are_untouched(pair: tuple[VirtualRun, VirtualRun]) -> None:
    clean, faulty = pair
    touched: dict[str, set[int]] = {}
    for planted in faulty.planted:
        later = {row + 1 for row in planted.rows} if planted.fault.kind == "repeated-stamp" else set()
        touched.setdefault(planted.channel, set()).update(planted.rows, later)
    for name, values in clean.columns.items():
        rest = np.array([row not in touched.get(name, set()) for row in range(values.size)])
        np.testing.assert_array_equal(faulty.columns[name][rest], values[rest])
