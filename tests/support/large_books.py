"""Large simulated books, for what must stay quick: many designs of two classes, each mounted several times."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from isothrust.virtual import Propeller, RunPlan, Setup, Spread, campaign, make_propeller, ramp, rig_toml, simulate_each
from isothrust.virtual.demo_designs import BENCHES

__all__ = ["LargeBook", "write_large_book"]

_STEMS = ("auk", "brent", "crake", "diver", "eider", "fulmar", "gannet", "heron", "ibis", "jackdaw")
_MAKERS = ("Vellisk", "Ounskar", "Brimquist", "Plimmerod", "Tarrowby")
_INCH = 0.0254
_DIAMETER = 7 * _INCH
_RUNS_A_DAY = 40
_BOOK = """\
title = "{designs} propellers, drawn"
standard_density = "1.225 kg/m3"
comparison_thrusts = ["300 gf", "500 gf", "800 gf"]
comparison_speeds = ["14000 rpm"]
note = "Simulated: every propeller, maker, bench and figure in this book is invented."
"""


@dataclass(frozen=True, slots=True)
class LargeBook:
    """How large, and how it is drawn."""

    designs: int = 60
    samples: int = 2
    mountings: int = 2
    seed: int = 60
    rate: float = 200.0
    """Rows a second of the logs: low, so that reducing them all takes a minute."""


def write_large_book(folder: str | Path, size: LargeBook | None = None) -> None:
    """Write a book of one campaign: tables, rig and raw logs, not yet reduced."""
    size = size or LargeBook()
    bench = replace(BENCHES[0], stand=replace(BENCHES[0].stand, rate=size.rate))
    designs = _designs(size)
    plans = _plans(designs, size, Setup(stand=bench.stand, drive=bench.drive, spread=Spread(zero=0.04, drift=0.004)))
    root = Path(folder)
    for plan, run in zip(plans, simulate_each(plans, size.seed), strict=True):
        _write(root / f"campaigns/large/raw/{plan.name}.csv", run.log_bytes(bench.dialect))
    texts = {
        f"rigs/{bench.stand.name}.toml": rig_toml(bench.stand, bench.drive, bench.dialect),
        "campaigns/large/campaign.toml": f'rig = "{bench.stand.name}"\nsupply_voltage = "22.2 V"\n',
        "campaigns/large/runs.csv": _runs(plans),
        "propellers.csv": _propellers(designs),
        "book.toml": _BOOK.format(designs=size.designs),
    }
    for name, text in texts.items():
        _write(root / name, text.encode("utf-8"))


def _designs(size: LargeBook) -> list[Propeller]:
    """Draw the designs: two thirds with two blades, the others with three."""
    random = np.random.default_rng([size.seed, 1])
    made = []
    for k in range(size.designs):
        blades = 3 if k % 3 == 2 else 2
        pitch = 3.0 + 0.25 * (k // len(_STEMS))
        ct = random.uniform(0.13, 0.155) if blades == 3 else random.uniform(0.096, 0.125)
        cp = ct**1.5 * np.sqrt(2.0 / np.pi) / random.uniform(0.58, 0.66)
        name = f"{_STEMS[k % len(_STEMS)]}-7x{pitch:g}" + ("x3" if blades == 3 else "")
        mass = 2.4e-3 * (1.0 + blades) * random.uniform(0.85, 1.15)
        propeller = make_propeller(
            name,
            diameter=_DIAMETER,
            pitch=pitch * _INCH,
            blades=blades,
            ct=float(ct),
            cp=float(cp),
            inertia=float(0.054 * mass * _DIAMETER**2),
        )
        made.append(replace(propeller, mass=float(mass), maker=_MAKERS[k % len(_MAKERS)]))
    return made


def _plans(designs: Sequence[Propeller], size: LargeBook, setup: Setup) -> tuple[RunPlan, ...]:
    plans = campaign(
        designs,
        seed=size.seed,
        samples=size.samples,
        mountings=size.mountings,
        schedules=[ramp(rest=1.0, rise=6.0, end=2.5)],
        setup=setup,
    )
    return tuple(replace(plan, date=date) for plan, date in zip(plans, _dates(), strict=False))


def _dates() -> Iterator[str]:
    day = datetime.fromisoformat("2026-04-06T08:30:00")
    while True:
        for turn in range(_RUNS_A_DAY):
            yield (day + timedelta(minutes=11 * turn)).isoformat(timespec="minutes")
        day += timedelta(days=1)


def _runs(plans: Iterable[RunPlan]) -> str:
    heads = "run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%],note"
    return _table(heads, (_run(plan) for plan in plans))


def _run(plan: RunPlan) -> list[str]:
    air = plan.read_air
    read = [f"{air.temperature - 273.15:.1f}", f"{air.pressure / 100:.1f}", f"{air.humidity * 100:.0f}"]
    what = [plan.name, plan.propeller.name, plan.sample, plan.mounting, plan.schedule.kind]
    return [*what, f"{plan.name}.csv", plan.date, *read, plan.note]


def _propellers(designs: Iterable[Propeller]) -> str:
    rows = (
        [
            one.name,
            one.maker,
            f"{one.diameter / _INCH:g}",
            f"{one.pitch / _INCH:g}",
            one.blades,
            f"{one.mass * 1e3:.1f}",
        ]
        for one in designs
    )
    return _table("design,maker,diameter [in],pitch [in],blades,mass [g]", rows)


def _table(heads: str, rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads.split(","))
    writer.writerows(rows)
    return text.getvalue()


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
