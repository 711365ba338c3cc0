"""The demonstration book: tables, rig files and raw logs, as text and bytes. The truth is not among them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from isothrust.virtual.demo_designs import BENCHES, DESIGNS, MOTORS
from isothrust.virtual.demo_runs import DemoCampaign, demo_campaigns
from isothrust.virtual.drive import Drive
from isothrust.virtual.plans import RunPlan
from isothrust.virtual.propeller import Propeller
from isothrust.virtual.rigtext import rig_toml
from isothrust.virtual.simulation import simulate_each

__all__ = ["DEMO_SEED", "demo_book", "demo_file_names", "demo_files"]

DEMO_SEED = 20260309

_BOOK = """\
title = "Quiet and long-flying: 7-inch propellers for the skerry counts"
owner = "Grey Skerry seabird and seal survey group"
standard_density = "1.225 kg/m3"
comparison_thrusts = ["300 gf", "500 gf", "800 gf"]
comparison_speeds = ["14000 rpm"]
note = "Simulated: every propeller, maker, bench and figure in this book is invented."
"""


def demo_book(folder: str | Path, *, seed: int = DEMO_SEED) -> tuple[str, ...]:
    """Write the whole book into a folder; return the names of its files, relative to it."""
    names = []
    for name, content in demo_files(seed=seed):
        path = Path(folder) / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        names.append(name)
    return tuple(names)


def demo_file_names(*, seed: int = DEMO_SEED) -> tuple[str, ...]:
    """Return the names of all files of the book without simulating a run."""
    campaigns = demo_campaigns(seed)
    return (*_tables(campaigns), *(_log_path(c, plan) for c in campaigns for plan in c.plans))


def demo_files(*, seed: int = DEMO_SEED) -> Iterator[tuple[str, bytes]]:
    """Yield every file of the book: its name relative to the book, and its content; raw logs first, book.toml last.

    A book that was left half written is then no book yet, and is not taken for one.
    """
    campaigns = demo_campaigns(seed)
    plans = [plan for campaign in campaigns for plan in campaign.plans]
    owners = [campaign for campaign in campaigns for _ in campaign.plans]
    for campaign, run in zip(owners, simulate_each(plans, seed), strict=True):
        yield _log_path(campaign, run.plan), run.log_bytes(campaign.bench.dialect)
    for name, text in _tables(campaigns).items():
        yield name, text.encode("utf-8")


def _log_path(campaign: DemoCampaign, plan: RunPlan) -> str:
    return f"campaigns/{campaign.name}/raw/{_log_name(campaign, plan)}"


def _log_name(campaign: DemoCampaign, plan: RunPlan) -> str:
    return f"{plan.name}-{plan.propeller.name}-{plan.sample}-{plan.schedule.kind}{campaign.bench.dialect.suffix}"


def _tables(campaigns: tuple[DemoCampaign, ...]) -> dict[str, str]:
    """Name -> text of everything but the raw logs."""
    texts = {f"rigs/{b.stand.name}.toml": rig_toml(b.stand, b.drive, b.dialect) for b in BENCHES}
    for campaign in campaigns:
        folder = f"campaigns/{campaign.name}"
        texts[f"{folder}/campaign.toml"] = _campaign(campaign)
        texts[f"{folder}/runs.csv"] = _runs(campaign)
    texts["propellers.csv"] = _propellers()
    texts["samples.csv"] = _samples(campaigns)
    texts["motors.csv"] = _motors()
    texts["book.toml"] = _BOOK
    return texts


def _campaign(campaign: DemoCampaign) -> str:
    bench = campaign.bench
    return (
        f'rig = "{bench.stand.name}"\n'
        f'motor = "{bench.drive.name}"\n'
        f'supply_voltage = "{bench.drive.supply_voltage:g} V"\n'
        f'note = "{campaign.note}"\n'
    )


def _table(heads: str, rows: Iterable[Sequence[object]]) -> str:
    """Return a comma-separated table; a cell that holds a comma stands between double quotes."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads.split(","))
    writer.writerows(rows)
    return text.getvalue()


def _runs(campaign: DemoCampaign) -> str:
    heads = "run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%],note"
    return _table(heads, (_run(campaign, plan) for plan in campaign.plans))


def _run(campaign: DemoCampaign, plan: RunPlan) -> list[str]:
    air = plan.read_air
    read = [f"{air.temperature - 273.15:.1f}", f"{air.pressure / 100:.1f}", f"{air.humidity * 100:.0f}"]
    what = [plan.name, plan.propeller.name, plan.sample, plan.mounting, plan.schedule.kind]
    return [*what, _log_name(campaign, plan), plan.date, *read, plan.note]


def _propellers() -> str:
    heads = "design,maker,diameter [in],pitch [in],blades,mass [g],max speed [rpm],note"
    return _table(heads, (_propeller(design) for design in DESIGNS))


def _propeller(design: Propeller) -> list[str]:
    sizes = [f"{design.diameter / 0.0254:g}", f"{design.pitch / 0.0254:g}", f"{design.blades}"]
    return [design.name, design.maker, *sizes, f"{design.mass * 1e3:.1f}", "26000", design.note]


def _samples(campaigns: tuple[DemoCampaign, ...]) -> str:
    found = {(p.propeller.name, p.sample): p for campaign in campaigns for p in campaign.plans}
    rows = []
    for (name, sample), plan in sorted(found.items()):
        mass = plan.propeller.mass * (1 + plan.added_inertia / plan.propeller.inertia)
        rows.append([name, sample, f"{mass * 1e3:.2f}", ""])
    return _table("design,sample,mass [g],note", rows)


def _motors() -> str:
    heads = "motor,kv [rpm/V],resistance [ohm],no-load current [A],pole pairs,rotor inertia [kg m2],max current [A]"
    return _table(heads, (_motor(drive) for drive in MOTORS))


def _motor(drive: Drive) -> list[str]:
    """One row, as a data sheet would have it: the no-load current at 10 V."""
    idle = (drive.friction + drive.viscous * drive.kv * 10 * 0.10472) / drive.torque_constant
    figures = [f"{drive.kv:g}", f"{drive.resistance:g}", f"{idle:.2f}", f"{drive.pole_pairs}"]
    return [drive.name, *figures, f"{drive.rotor_inertia:.2g}", f"{drive.current_limit:g}"]
