"""The campaigns of a book: campaign.toml over the rig file, and the runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from isothrust.book.airs import section_air
from isothrust.book.rigfile import parse_rig
from isothrust.book.runs import RUNS, RunContext, read_runs
from isothrust.book.settings import Settings
from isothrust.book.toml_section import Remarks, Section, nearest
from isothrust.book.toml_source import read_toml
from isothrust.errors import IsothrustError, RigError
from isothrust.records.book import Campaign, Design, Motor
from isothrust.records.finding import Finding
from isothrust.records.rig import Rig
from isothrust.tables.nearest import names_told

__all__ = [
    "CAMPAIGNS",
    "CAMPAIGN_FILE",
    "EXAMPLE_RIG",
    "RIGS",
    "Shelf",
    "campaign_names",
    "described_rigs",
    "read_campaign",
    "rig_names",
    "tell_unfinished",
]

CAMPAIGNS: Final = "campaigns"
CAMPAIGN_FILE: Final = "campaign.toml"
RIGS: Final = "rigs"
EXAMPLE_RIG: Final = f"{RIGS}/example.toml"


@dataclass(slots=True)
class Shelf:
    """What campaigns share: the book's tables, and each rig read once."""

    root: Path
    settings: Settings
    designs: Mapping[str, Design] | None
    motors: Mapping[str, Motor]
    remarks: Remarks
    rigs: dict[str, Rig | None] = field(default_factory=dict)

    def rig(self, name: str) -> Rig | None:
        """Return a rig; None where its file is wrong, which is then noted."""
        if name not in self.rigs:
            try:
                rig, findings = parse_rig(self.root / RIGS / f"{name}.toml", shown=f"{RIGS}/{name}.toml")
            except RigError as error:
                self.remarks.add(error)
                self.rigs[name] = None
            else:
                self.remarks.findings.extend(findings)
                self.rigs[name] = rig
        return self.rigs[name]


def campaign_names(root: Path) -> tuple[str, ...]:
    """Return the campaigns under campaigns/, in the order of their names: folders with campaign.toml or runs.csv."""
    return tuple(path.name for path in _folders(root) if _has_tables(path))


def tell_unfinished(root: Path, remarks: Remarks) -> None:
    """Warn of folders under campaigns/ that hold no table: an `add` that was killed leaves one."""
    for path in _folders(root):
        if not _has_tables(path):
            message = f"{CAMPAIGNS}/{path.name} has neither {CAMPAIGN_FILE} nor {RUNS}: it is no campaign yet."
            done = "left unread; the same  isothrust add  once more completes it"
            remarks.findings.append(Finding("unfinished-campaign", "warning", message, done=done))


def _folders(root: Path) -> list[Path]:
    folder = root / CAMPAIGNS
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if path.is_dir() and not path.name.startswith("."))


def _has_tables(folder: Path) -> bool:
    return any((folder / name).is_file() for name in (CAMPAIGN_FILE, RUNS))


def rig_names(root: Path) -> tuple[str, ...]:
    """Return the names of the book's rigs."""
    return tuple(sorted(path.stem for path in (root / RIGS).glob("*.toml")))


def described_rigs(root: Path) -> tuple[str, ...]:
    """Return the names of the book's rigs without the example that comes with every book."""
    return tuple(name for name in rig_names(root) if name != Path(EXAMPLE_RIG).stem)


def read_campaign(name: str, shelf: Shelf) -> Campaign | None:
    """Return a campaign; None where its file or its rig is wrong, which is then noted, and its runs looked at."""
    shown = f"{CAMPAIGNS}/{name}"
    try:
        source = read_toml(shelf.root / CAMPAIGNS / name / CAMPAIGN_FILE, f"{shown}/{CAMPAIGN_FILE}")
    except IsothrustError as error:
        shelf.remarks.add(error)
        _look_at_runs(name, shelf)
        return None
    top = Section(source, shelf.remarks)
    air = section_air(top)
    stated_motor = top.text("motor") or None
    stated_voltage = top.value("supply_voltage", "voltage", least=0.0)
    note = top.text("note") or ""
    rig = _rig(top, shelf)
    top.finish()
    if rig is None:
        _look_at_runs(name, shelf)
        return None
    rig = _with_campaigns_own(top, rig, stated_motor, stated_voltage)
    motor = _motor(top, rig, shelf)
    path = shelf.root / CAMPAIGNS / name / RUNS
    if not path.is_file():
        message = (
            f"{shown} has no {RUNS}: it holds no run yet. Next: isothrust add FOLDER --campaign {name} --rig {rig.name}"
        )
        shelf.remarks.findings.append(Finding("no-runs", "note", message))
        return Campaign(name, rig, motor, (), note)
    context = RunContext(name, rig, shelf.designs, air, shelf.settings.air)
    return Campaign(name, rig, motor, read_runs(path, f"{shown}/{RUNS}", context, shelf.remarks), note)


def _look_at_runs(name: str, shelf: Shelf) -> None:
    """Note what is wrong in the runs of a campaign that cannot be used: all is told at once."""
    path = shelf.root / CAMPAIGNS / name / RUNS
    if path.is_file():
        remarks = Remarks()
        context = RunContext(name, Rig("", "", {}), shelf.designs, {}, {})
        read_runs(path, f"{CAMPAIGNS}/{name}/{RUNS}", context, remarks)
        shelf.remarks.problems.extend(remarks.problems)


def _rig(top: Section, shelf: Shelf) -> Rig | None:
    name = top.text("rig")
    known = rig_names(shelf.root)
    described = described_rigs(shelf.root)
    if not name:
        if "rig" not in top:
            top.problem(
                "missing-key",
                "the campaign names no rig",
                expected=f"a rig of the book: {', '.join(described) or 'there is none yet'}",
                fix='add  rig = "…"',
            )
        return None
    if name not in known:
        top.problem(
            "unknown-rig",
            f'there is no rig "{name}"',
            key="rig",
            expected=names_told(name, described, otherwise=f"a file {RIGS}/{name}.toml"),
            fix=f"mend the name, or write {RIGS}/{name}.toml",
        )
        return None
    return shelf.rig(name)


def _with_campaigns_own(top: Section, rig: Rig, motor: str | None, voltage: float | None) -> Rig:
    """Return the rig with the campaign's motor and supply put in; a difference is a note."""
    for key, own, of_rig in (("motor", motor, rig.motor), ("supply_voltage", voltage, rig.supply_voltage)):
        if own is not None and of_rig is not None and own != of_rig:
            unit = " V" if key == "supply_voltage" else ""
            shown = f"{own:g}{unit}" if isinstance(own, float) else own
            other = f"{of_rig:g}{unit}" if isinstance(of_rig, float) else of_rig
            message = f"{top.where(key)} is {shown}, the rig {rig.name} says {other}; the campaign's own counts."
            top.remarks.findings.append(
                Finding("campaign-differs-from-rig", "note", message, done="campaign's own used")
            )
    return replace(
        rig,
        motor=motor if motor is not None else rig.motor,
        supply_voltage=voltage if voltage is not None else rig.supply_voltage,
    )


def _motor(top: Section, rig: Rig, shelf: Shelf) -> Motor | None:
    """Return the motor's row, None where no motor is named or nothing is known of it."""
    if rig.motor is None or rig.motor in shelf.motors:
        return None if rig.motor is None else shelf.motors[rig.motor]
    near = nearest(rig.motor, tuple(shelf.motors))
    hint = f"; the nearest is {near[0]}" if near else ""
    message = f'{top.where("motor")}: motors.csv has no motor "{rig.motor}"{hint}: nothing but its name is known.'
    shelf.remarks.findings.append(Finding("unknown-motor", "note", message))
    return None
