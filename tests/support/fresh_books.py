"""A small reduced book, and fresh logs of its rig that are in no table of it yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from isothrust.virtual import COMMA, RunPlan, Setup, Stand, campaign, ramp, rig_toml, simulate
from support.bench_books import DESIGNS
from support.fresh_runs import fresh_plan

__all__ = ["SETUP", "book_plans", "fresh_log", "fresh_one", "write_fresh_book"]

SETUP = Setup(stand=Stand(rate=250.0))
SEED = 47
HEADS = "run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%]"


def book_plans() -> tuple[RunPlan, ...]:
    """Three designs of two samples, each mounted twice: dated one day after the other."""
    plans = campaign(DESIGNS, seed=SEED, samples=2, mountings=2, schedules=(ramp(rise=6.0, end=2.6),), setup=SETUP)
    return tuple(replace(plan, date=f"2026-03-{day:02d}T10:00") for day, plan in enumerate(plans, start=1))


def write_fresh_book(root: Path) -> Path:
    """Write the book: one campaign, every air read, no default air."""
    plans = book_plans()
    texts: dict[str, bytes] = {}
    rows = [HEADS]
    for run in simulate(plans, SEED):
        texts[f"campaigns/spring/raw/{run.plan.name}.csv"] = run.log_bytes(COMMA)
        rows.append(_row(run.plan))
    texts["campaigns/spring/runs.csv"] = ("\n".join(rows) + "\n").encode()
    texts["campaigns/spring/campaign.toml"] = f'rig = "{SETUP.stand.name}"\n'.encode()
    texts[f"rigs/{SETUP.stand.name}.toml"] = rig_toml(SETUP.stand, SETUP.drive, COMMA).encode()
    texts["motors.csv"] = f"motor,kv [rpm/V]\n{SETUP.drive.name},{SETUP.drive.kv:g}\n".encode()
    texts["propellers.csv"] = b"design,diameter [in],blades\nauk,7,2\ngull,7,2\ntern,7,3\npetrel,7,2\n"
    texts["book.toml"] = b'title = "Fresh"\n'
    for name, content in texts.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return root


def _row(plan: RunPlan) -> str:
    air = plan.read_air
    read = f"{air.temperature - 273.15:.1f},{air.pressure / 100:.1f},{100 * air.humidity:.0f}"
    what = f"{plan.name},{plan.propeller.name},{plan.sample},{plan.mounting},ramp,{plan.name}.csv"
    return f"{what},{plan.date},{read}"


def fresh_one(seed: int, design: str) -> RunPlan:
    """Return the plan of one more run of a design of the book, newly mounted."""
    own: Sequence[RunPlan] = [plan for plan in book_plans() if plan.propeller.name == design]
    return fresh_plan(own, seed, SETUP)


def fresh_log(path: Path, plan: RunPlan) -> Path:
    """Record a run and write its log."""
    (run,) = simulate([plan], SEED + 1)
    path.write_bytes(run.log_bytes(COMMA))
    return path


def said_air(plan: RunPlan) -> str:
    """Return the air of a run as it is said with the command."""
    air = plan.read_air
    return f"{air.temperature - 273.15:.1f} degC, {air.pressure / 100:.1f} hPa, {100 * air.humidity:.0f} %"
