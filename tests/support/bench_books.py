"""A small book with simulated recordings, to be reduced in earnest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

import numpy as np

from isothrust.virtual import (
    COMMA,
    PropellerTruth,
    RunPlan,
    Setup,
    campaign,
    make_propeller,
    ramp,
    rig_toml,
    simulate_each,
)

INCH = 0.0254
DESIGNS = (
    make_propeller("auk", diameter=7 * INCH, pitch=4 * INCH, blades=2, ct=0.107, cp=0.0435),
    make_propeller("gull", diameter=7 * INCH, pitch=5 * INCH, blades=2, ct=0.122, cp=0.0590),
    make_propeller("tern", diameter=7 * INCH, pitch=4 * INCH, blades=3, ct=0.140, cp=0.0660),
)
SAMPLES, MOUNTINGS = 2, 1
SEED = 31


def bench_plans() -> tuple[RunPlan, ...]:
    """The runs of the book, before they are simulated."""
    schedules = (ramp(rise=6.0),)
    return campaign(DESIGNS, seed=SEED, samples=SAMPLES, mountings=MOUNTINGS, schedules=schedules, setup=Setup())


def true_mean(design: str, asked: Callable[[PropellerTruth], object]) -> float:
    """The mean over a design's runs of what was true of the propeller as it was mounted."""
    mounted = [PropellerTruth(plan.propeller, plan.factors) for plan in bench_plans() if plan.propeller.name == design]
    return float(np.mean([np.asarray(asked(one)) for one in mounted]))


def write_bench_book(root: Path) -> Path:
    """Write the book: three designs of two samples, one ramp each, and a row whose recording holds prose."""
    for name, content in _contents().items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return root


@cache
def _contents() -> Mapping[str, bytes]:
    """What its files hold, simulated once in a process."""
    setup = Setup()
    plans = bench_plans()
    rows = []
    texts: dict[str, bytes] = {}
    for run in simulate_each(plans, SEED):
        plan = run.plan
        air = plan.read_air
        read = f"{air.temperature - 273.15:.1f},{air.pressure / 100:.1f},{100 * air.humidity:.0f}"
        rows.append(f"{plan.name},{plan.propeller.name},{plan.sample},{plan.mounting},ramp,{plan.name}.csv,{read}")
        texts[f"campaigns/spring/raw/{plan.name}.csv"] = run.log_bytes(COMMA)
    rows.append("r900,auk,a,,ramp,r900.csv,20,1013,50")
    texts["campaigns/spring/raw/r900.csv"] = b"Went for tea. Nothing was recorded today, sorry.\n"
    heads = "run,design,sample,mounting,kind,log,temperature [degC],pressure [hPa],humidity [%]"
    texts["campaigns/spring/runs.csv"] = "\n".join([heads, *rows, ""]).encode()
    texts["campaigns/spring/campaign.toml"] = f'rig = "{setup.stand.name}"\n'.encode()
    texts[f"rigs/{setup.stand.name}.toml"] = rig_toml(setup.stand, setup.drive, COMMA).encode()
    texts["motors.csv"] = f"motor,kv [rpm/V]\n{setup.drive.name},{setup.drive.kv:g}\n".encode()
    texts["propellers.csv"] = b"design,diameter [in],blades\nauk,7,2\ngull,7,2\ntern,7,3\npetrel,7,2\n"
    texts["book.toml"] = b'title = "Small bench"\ncomparison_thrusts = ["500 gf"]\ncomparison_speeds = ["14000 rpm"]\n'
    return MappingProxyType(texts)
