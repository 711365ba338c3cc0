"""A rig file: channels, calibration, supply and geometry of the stand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from isothrust.book.rigchannel import FILES, parse_channel
from isothrust.book.rigfiles import parse_file_plan
from isothrust.book.toml_section import Remarks, Section
from isothrust.book.toml_source import read_toml
from isothrust.errors import RigError, raise_problems
from isothrust.quantities import CHANNELS
from isothrust.records.finding import Finding
from isothrust.records.rig import ChannelPlan, FilePlan, Rig

__all__ = ["LAYOUTS", "parse_rig"]

LAYOUTS = ("pusher", "tractor")


def parse_rig(path: str | Path, *, shown: str | None = None) -> tuple[Rig, tuple[Finding, ...]]:
    """Read a rig file.

    Parameters
    ----------
    path
        The file.
    shown
        Its name as errors tell it; None: as given.

    Returns
    -------
    tuple
        The rig, and a warning for each key that means nothing.

    Raises
    ------
    RigError
        With every problem of the file.
    """
    path = Path(path)
    remarks = Remarks()
    top = Section(read_toml(path, shown or str(path), RigError), remarks)
    channels, unread = _channels(top.section("channels"))
    air, supply = top.section("air"), top.section("supply")
    files = _files(top.section("files"))
    rig = Rig(
        name=path.stem,
        title=top.text("name") or path.stem,
        channels=channels,
        motor=top.text("motor") or None,
        layout=top.word("layout", LAYOUTS),
        clearance=top.value("clearance", "length", least=0.0),
        altitude=top.value("altitude", "length"),
        obstruction=top.value("obstruction", "area", least=0.0),
        obstruction_drag=_or(top.number("obstruction_drag", positive=True), 1.0),
        u_temperature=air.value("temperature", "temperature-difference", least=0.0),
        u_pressure=air.value("pressure", "pressure", least=0.0),
        u_humidity=air.value("humidity", "humidity", least=0.0),
        supply_voltage=supply.value("voltage", "voltage", least=0.0),
        current_limit=supply.value("current_limit", "current", least=0.0),
        sinks_current=supply.flag("sinks_current"),
        controller=_words(top.section("controller")),
        files=files,
        extra={
            **{key: text for key in ("date", "note") if (text := _shown(top.raw(key)))},
            **unread,
            **air.finish(),
            **supply.finish(),
            **top.finish(),
        },
    )
    raise_problems(remarks.all_problems(), RigError)
    return rig, tuple(remarks.findings)


def _channels(section: Section) -> tuple[dict[str, ChannelPlan], dict[str, str]]:
    """Return the channels, and what stands under [channels] but is none."""
    plans: dict[str, ChannelPlan] = {}
    for name in list(section):
        if name in CHANNELS:
            plans[name] = parse_channel(section.section(name), name)
    unread = section.finish(known=tuple(CHANNELS))
    if not plans:
        section.problem(
            "missing-key",
            "the rig has no channel",
            expected=f"a section for each quantity in the log, such as [channels.thrust]; known: {', '.join(CHANNELS)}",
            fix="add  [channels.time]  and what else the log holds",
        )
    _need_clock(section, plans)
    _refuse_shared_columns(section, plans)
    return plans, unread


def _files(section: Section) -> dict[str, FilePlan]:
    """Return what is said of each kind of file as a whole."""
    plans = {name: parse_file_plan(section.section(name), name) for name in FILES if name in section}
    section.finish(known=FILES)
    return plans


def _need_clock(section: Section, plans: dict[str, ChannelPlan]) -> None:
    """Note channels of the log that have neither the log's clock nor a rate of their own."""
    timeless = [name for name, plan in plans.items() if plan.file == "log" and plan.rate is None]
    if timeless and "time" not in plans:
        section.problem(
            "missing-key",
            f"nothing says when {', '.join(timeless)} were read",
            expected='[channels.time] with column and unit, or with  rate = "1 kHz"  where the log has no time column',
            fix="add  [channels.time]",
        )


def _refuse_shared_columns(section: Section, plans: dict[str, ChannelPlan]) -> None:
    """Note columns that two channels claim: the sign of a copied line, and one of the two figures would be wrong."""
    owners: dict[tuple[Any, ...], list[str]] = {}
    for name, plan in plans.items():
        for pick in plan.picks:
            owners.setdefault((plan.file, pick.head, pick.position, pick.block, pick.tag), []).append(name)
    for (_, head, position, _, _), names in owners.items():
        owned = list(dict.fromkeys(names))
        if len(owned) > 1:
            column = f'"{head}"' if head is not None else str(position)
            section.section(owned[-1]).problem(
                "two-quantities-one-column",
                f"column {column} is read as {' and as '.join(owned)}",
                key="columns" if "columns" in section.section(owned[-1]) else "column",
                expected="each column read once, as one quantity",
                fix=f"correct the column under all but one of {', '.join(f'[channels.{name}]' for name in owned)}",
            )


def _words(section: Section) -> dict[str, str]:
    return {key: _shown(section.raw(key)) for key in section}


def _shown(value: Any) -> str:  # noqa: ANN401
    return "" if value is None else str(value)


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
