"""Figures of one small stored recording, as this method version gives them."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np

from isothrust.records.air import Air, AirReading
from isothrust.records.book import Design, Motor, Run
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording, Source
from isothrust.records.rig import ChannelPlan, Rig, StatedUncertainty
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.reduction.method import METHOD_VERSION

__all__ = ["FOLDER", "figures_now"]

FOLDER = Path(__file__).resolve().parent.parent / "golden"
_COLUMNS = ("time", "throttle", "speed", "thrust", "torque", "voltage", "current")
_DIAMETER = 0.1778
_STATED = {
    "speed": StatedUncertainty(5e-4),
    "thrust": StatedUncertainty(3e-3, 0.01),
    "torque": StatedUncertainty(6e-3, 2e-4),
    "voltage": StatedUncertainty(1e-3),
    "current": StatedUncertainty(5e-3, 0.02),
}
_ASKED = (
    ("thrust-coefficient", "speed", 1466.0),
    ("power-coefficient", "speed", 1466.0),
    ("speed", "thrust", 6.0),
    ("shaft-efficiency", "thrust", 6.0),
    ("electrical-power", "thrust", 6.0),
    ("throttle", "thrust", 6.0),
)


def figures_now() -> dict[str, float]:
    """Return value and standard uncertainty of each figure asked, SI, and the method version."""
    run = reduce_run(*_stored())
    out: dict[str, float] = {"method-version": METHOD_VERSION}
    for name, quantity, at in _ASKED:
        figure = evaluate_figure(run, name, quantity, np.array([at]), RunContext(_DIAMETER)).at(0)  # type: ignore[arg-type]
        assert figure.value is not None, figure.absent
        out[name] = figure.value
        out[f"u {name}"] = float(np.sqrt(sum(line.contribution**2 for line in figure.budget)))
    assert run.inertia is not None
    out["rotor-inertia"] = run.inertia.value
    return out


def _stored() -> tuple[Recording, RunJob]:
    table = np.loadtxt(FOLDER / "ramp.csv.gz", delimiter=",", skiprows=1)
    time = np.ascontiguousarray(table[:, 0])
    channels = {
        name: Channel(name, time, np.ascontiguousarray(table[:, k])) for k, name in enumerate(_COLUMNS) if k > 0
    }
    plans = {name: ChannelPlan(name, uncertainty=_STATED.get(name)) for name in channels}
    rig = Rig("golden", "Golden", plans, obstruction=0.0)
    air = Air(AirReading(294.0, 0.3, "run"), AirReading(100500.0, 60.0, "run"), AirReading(0.5, 0.03, "run"))
    run = Run("g", "c", "d", "a", "1", "ramp", {"log": "ramp.csv.gz"}, "", air)
    motor = Motor("m1", kv=157.0796, resistance=0.10, no_load_current=0.377)
    job = RunJob(run, rig, Design("d", diameter=_DIAMETER, blades=2), motor, 1.225, {}, {})
    return Recording("g", channels, (Source("ramp.csv.gz", "", time.size, "stored"),)), job


def _main() -> None:
    """Store what the method gives now; METHOD_VERSION goes up in the same change."""
    text = json.dumps(figures_now(), indent=2) + "\n"
    (FOLDER / "figures.json").write_text(text, encoding="utf-8")
    sys.stdout.write(text)


if __name__ == "__main__":
    _main()
