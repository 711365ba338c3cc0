"""Other people's recordings in ../shared/field, read and reduced with the rig files in tests/benches/rigs."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.ingest import read_recording
from isothrust.records.book import Design, Kind, Run
from isothrust.records.job import RunJob
from isothrust.records.recording import Floats, Recording
from isothrust.records.reduced import HoldPoint, ReducedRun
from isothrust.reduction import reduce_run

ROOT = Path(__file__).resolve().parents[2]
FIELD = ROOT.parent / "shared" / "field"
RIGS = ROOT / "tests" / "benches" / "rigs"
GF = 0.00980665
RPM = 2.0 * math.pi / 60.0

needs_field = pytest.mark.skipif(not FIELD.is_dir(), reason="the field recordings (../shared/field) are not here")


def read_field(file: str, rig: str) -> Recording:
    plan, findings = parse_rig(RIGS / f"{rig}.toml")
    assert findings == ()
    return read_recording("field", {"log": str(FIELD / file)}, plan)


def reduce_field(file: str, rig: str, kind: Kind = "holds", *, diameter: float | None = None) -> ReducedRun:
    """Read and reduce one recording as a run of a book would be, in unknown air."""
    plan, _ = parse_rig(RIGS / f"{rig}.toml")
    run = Run("r", "c", "d", "", "r", kind, {"log": file}, "", None)
    job = RunJob(run, plan, Design("d", diameter=diameter), None, 1.225, {"log": str(FIELD / file)}, {})
    return reduce_run(read_recording("r", job.files, plan), job)


def codes(reduced: ReducedRun) -> list[str]:
    return [finding.code for finding in reduced.findings]


def message(reduced: ReducedRun, code: str) -> str:
    return next(finding.message for finding in reduced.findings if finding.code == code)


def peak(reduced: ReducedRun, measurand: str = "peak-thrust") -> float:
    value = next(figure.value for figure in reduced.figures if figure.measurand == measurand)
    assert value is not None
    return value


def why_absent(reduced: ReducedRun, measurand: str) -> str:
    figure = next(figure for figure in reduced.figures if figure.measurand == measurand)
    assert figure.value is None
    return figure.absent or ""


def holds_at(reduced: ReducedRun, throttle: float) -> list[HoldPoint]:
    """Holds at one command."""
    return [hold for hold in reduced.holds if abs((hold.throttle or 0.0) - throttle) < 0.002]


def level(reduced: ReducedRun, quantity: str, throttle: float) -> float:
    """Mean of a quantity over the holds at one command, each by its length."""
    held = holds_at(reduced, throttle)
    lengths = [hold.end - hold.start for hold in held]
    return float(np.average([getattr(hold, quantity) for hold in held], weights=lengths))


def rows_at(recording: Recording, channel: str, throttle: float) -> Floats:
    """Every row of a channel while the command stands at one value, settled or not."""
    there = np.abs(recording.channels["throttle"].values - throttle) < 1e-6
    return recording.channels[channel].values[there]
