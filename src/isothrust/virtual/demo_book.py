"""The demonstration book: tables, rig files and raw logs, as text and bytes. The truth is not among them."""

from __future__ import annotations

from collections.abc import Iterator
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


def _runs(campaign: DemoCampaign) -> str:
    lines = ["run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%],note"]
    for plan in campaign.plans:
        air = plan.read_air
        cells = [plan.name, plan.propeller.name, plan.sample, plan.mounting, plan.schedule.kind]
        cells += [_log_name(campaign, plan), plan.date]
        cells += [
            f"{air.temperature - 273.15:.1f}",
            f"{air.pressure / 100:.1f}",
            f"{air.humidity * 100:.0f}",
            plan.note,
        ]
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def _propellers() -> str:
    lines = ["design,maker,diameter [in],pitch [in],blades,mass [g],max speed [rpm],note"]
    lines += [_propeller(design) for design in DESIGNS]
    return "\n".join(lines) + "\n"


def _propeller(design: Propeller) -> str:
    inch = 0.0254
    sizes = f"{design.diameter / inch:g},{design.pitch / inch:g},{design.blades},{design.mass * 1e3:.1f}"
    return f"{design.name},{design.maker},{sizes},26000,{design.note}"


def _samples(campaigns: tuple[DemoCampaign, ...]) -> str:
    lines = ["design,sample,mass [g],note"]
    found = {(p.propeller.name, p.sample): p for campaign in campaigns for p in campaign.plans}
    for (name, sample), plan in sorted(found.items()):
        mass = plan.propeller.mass * (1 + plan.added_inertia / plan.propeller.inertia) * 1e3
        lines.append(f"{name},{sample},{mass:.2f},")
    return "\n".join(lines) + "\n"


def _motors() -> str:
    lines = ["motor,kv [rpm/V],resistance [ohm],no-load current [A],pole pairs,rotor inertia [kg m2],max current [A]"]
    lines += [_motor(drive) for drive in MOTORS]
    return "\n".join(lines) + "\n"


def _motor(drive: Drive) -> str:
    """One row, as a data sheet would have it: the no-load current at 10 V."""
    idle = (drive.friction + drive.viscous * drive.kv * 10 * 0.10472) / drive.torque_constant
    figures = f"{drive.kv:g},{drive.resistance:g},{idle:.2f},{drive.pole_pairs},{drive.rotor_inertia:.2g}"
    return f"{drive.name},{figures},{drive.current_limit:g}"
