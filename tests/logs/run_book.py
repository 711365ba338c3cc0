"""The book that the logs of runs lie in: rigs, propellers, motors, and a row for each run."""

from __future__ import annotations

import gzip
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from isothrust.records.book import Design, Motor
from isothrust.records.job import RunJob
from isothrust.records.rig import Rig
from isothrust.virtual import Dialect, Drive, Stand, rig_toml
from support.simulated import rig_of

__all__ = ["Row", "book_files", "campaigns_of", "rig_text"]

_RPM_V = 30.0 / 3.141592653589793
HEADS = "run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%],note"
DESIGN_HEADS = "design,diameter [mm],pitch [mm],blades,max speed [rpm]"
MOTOR_HEADS = "motor,kv [rpm/V],resistance [ohm],no-load current [A],pole pairs"


@dataclass(frozen=True, slots=True)
class Row:
    """One run as the book has it, and its log."""

    job: RunJob
    rig: str
    """Text of the rig file."""
    log: bytes
    suffix: str = ".csv.gz"
    note: str = ""
    expected: str = ""
    """What has to be found, as TOML; nothing for a good run."""

    @property
    def file(self) -> str:
        """Name of the log under raw/."""
        return self.job.run.name + self.suffix


def rig_text(job: RunJob, dialect: Dialect, *, all_told: bool = False) -> str:
    """Return the rig file of the simulated stand with what the job's rig and motor say.

    Supply and controller are left out, as a tester may, unless all is to be told or the job's rig states the supply.
    """
    plain = rig_of(Stand())
    text = rig_toml(Stand(), Drive(), dialect)
    if not all_told:
        text = text.partition("[supply]")[0] + "[channels.time]" + text.partition("[channels.time]")[2]
    motor = f'motor = "{job.motor.name}"\n' if job.motor is not None else ""
    text = text.replace(f'motor = "{Drive().name}"\n', motor)
    return _with_statements(text, job.rig, plain)


def _with_statements(text: str, rig: Rig, plain: Rig) -> str:
    """Return a rig file with what a rig states beyond the plain one, or otherwise."""
    if rig.clearance is not None and rig.clearance != plain.clearance:
        text = text.replace(f'clearance = "{plain.clearance:g} m"', f'clearance = "{rig.clearance:g} m"')
    if rig.altitude is not None:
        text = text.replace("layout = ", f'altitude = "{rig.altitude:g} m"\nlayout = ', 1)
    if rig.supply_voltage is not None:
        text = text.replace("[channels.time]", f'[supply]\nvoltage = "{rig.supply_voltage:g} V"\n\n[channels.time]', 1)
    for name in ("thrust", "torque"):
        zero = rig.channels[name].zero
        if zero is not None:
            text = text.replace(f"[channels.{name}]\n", f"[channels.{name}]\nzero = {zero:g}\n")
    return text


def campaigns_of(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Return the rows by campaign: one that is read by several rigs becomes several, numbered."""
    by_rig: dict[str, dict[str, list[Row]]] = {}
    for row in rows:
        by_rig.setdefault(row.job.run.campaign, {}).setdefault(row.rig, []).append(row)
    return {
        name if rank == 0 else f"{name}-{rank + 1}": members
        for name, rigs in by_rig.items()
        for rank, members in enumerate(sorted(rigs.values(), key=lambda members: -len(members)))
    }


def book_files(campaigns: Mapping[str, Sequence[Row]]) -> dict[str, bytes]:
    """Return every file of the book by name."""
    texts = {"book.toml": 'title = "Runs with one fault each, and runs with none: all simulated"\n'}
    logs: dict[str, bytes] = {}
    for name, members in campaigns.items():
        texts[f"rigs/{name}.toml"] = members[0].rig
        texts[f"campaigns/{name}/campaign.toml"] = f'rig = "{name}"\n'
        texts[f"campaigns/{name}/runs.csv"] = _table(HEADS, map(_run, members))
        for row in members:
            logs[f"campaigns/{name}/raw/{row.file}"] = row.log
            if row.expected:
                texts[f"campaigns/{name}/raw/{row.file}.expected.toml"] = row.expected
    jobs = [row.job for members in campaigns.values() for row in members]
    designs = {job.design.name: job.design for job in jobs}
    motors = {job.motor.name: job.motor for job in jobs if job.motor is not None}
    texts["propellers.csv"] = _table(DESIGN_HEADS, (_design(designs[name]) for name in sorted(designs)))
    texts["motors.csv"] = _table(MOTOR_HEADS, (_motor(motors[name]) for name in sorted(motors)))
    return {name: text.encode() for name, text in texts.items()} | {name: _packed(log) for name, log in logs.items()}


def _packed(log: bytes) -> bytes:
    """Return a compressed log as small as it gets."""
    return gzip.compress(gzip.decompress(log), compresslevel=9, mtime=0)


def _table(heads: str, lines: Iterable[str]) -> str:
    return "\n".join([heads, *lines]) + "\n"


def _run(row: Row) -> str:
    run = row.job.run
    assert "," not in row.note, "the table is written without quotes"
    air = run.air
    assert air is not None
    read = f"{air.temperature.value - 273.15:.1f},{air.pressure.value / 100:.1f},{100 * air.humidity.value:.2f}"
    return f"{run.name},{run.design},{run.sample},{run.mounting},{run.kind},{row.file},{run.date},{read},{row.note}"


def _design(design: Design) -> str:
    top = "" if design.max_speed is None else f"{design.max_speed * _RPM_V:.0f}"
    pitch = "" if design.pitch is None else f"{1e3 * design.pitch:g}"
    assert design.diameter is not None
    return f"{design.name},{1e3 * design.diameter:g},{pitch},{design.blades},{top}"


def _motor(motor: Motor) -> str:
    assert motor.kv is not None
    kv = motor.kv * _RPM_V
    return f"{motor.name},{kv:.6g},{motor.resistance:g},{motor.no_load_current:.4g},{motor.pole_pairs:g}"
