"""What was tested and how: a campaign's stand, air, propellers and runs as plain words and rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.report.content import ReportContent
from isothrust.present.rounding import plainly, with_digits
from isothrust.quantities import CHANNELS, QUANTITIES, parse_unit
from isothrust.records.book import Book, Campaign, Design, Motor, Run
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import ChannelPlan, Rig

__all__ = ["campaign_object"]

Object = dict[str, object]
Fact = tuple[str, str]
NOT_STATED: Final = "not stated"
PRINTED_UNITS: Final[Mapping[str, str]] = MappingProxyType({"degC": "°C", "cm2": "cm²", "m3": "m³", "mohm": "mΩ"})


def campaign_object(content: ReportContent, name: str) -> Object:
    """Return what the page says of one campaign."""
    book, campaign = content.book, content.book.campaigns[name]
    reduced = [run for run in content.runs if run.campaign == name]
    aside = {run: reason for (of, run), reason in content.set_aside.items() if of == name}
    return {
        "name": name,
        "note": campaign.note,
        "facts": [fact for fact in (*_stand(campaign), *_days(campaign.runs, reduced)) if fact[1]],
        "channels": [_channel(plan) for channel, plan in campaign.rig.channels.items() if channel != "time"],
        "designs": _designs(book, campaign.runs, aside),
        "set_aside": list(aside.items()),
    }


def _stand(campaign: Campaign) -> Iterable[Fact]:
    rig = campaign.rig
    yield "Stand", rig.title or rig.name
    yield "Motor", _motor(campaign.motor) if campaign.motor else (rig.motor or NOT_STATED)
    yield "Supply", _supply(rig)
    yield "Controller", ", ".join(f"{key.replace('_', ' ')}: {value}" for key, value in rig.controller.items())
    yield "Layout", rig.layout or NOT_STATED
    yield "Clearance to the nearest wall or floor", _shown("length", rig.clearance, "m")
    yield "Stand area in the slipstream", _shown("area", rig.obstruction, "cm2")


def _motor(motor: Motor) -> str:
    parts = [
        motor.name,
        _shown("kv", motor.kv, "rpm/V", absent=""),
        _shown("resistance", motor.resistance, "mohm", absent=""),
    ]
    return ", ".join(part for part in parts if part)


def _supply(rig: Rig) -> str:
    parts = [_shown("voltage", rig.supply_voltage, "V")]
    if rig.current_limit is not None:
        parts.append(f"at most {_shown('current', rig.current_limit, 'A')}")
    if rig.sinks_current is not None:
        parts.append("takes back what a slowing motor returns" if rig.sinks_current else "takes nothing back")
    return ", ".join(parts)


def _shown(quantity: str, value: float | None, unit: str, *, absent: str = NOT_STATED) -> str:
    if value is None:
        return absent
    assert quantity in QUANTITIES
    return f"{plainly(parse_unit(unit).from_si(value))} {_label(unit)}"


def _label(unit: str) -> str:
    """Return a unit as it is printed."""
    for typed, printed in PRINTED_UNITS.items():
        unit = unit.replace(typed, printed)
    return unit


def _days(runs: Sequence[Run], reduced: Sequence[ReducedRun]) -> Iterable[Fact]:
    yield "Days", _range(sorted({run.date[:10] for run in runs if run.date}))
    airs = [run.air for run in runs if run.air is not None]
    readings = {
        "Temperature of the air": ("degC", [air.temperature.value for air in airs]),
        "Pressure at the stand": ("hPa", [air.pressure.value for air in airs]),
        "Humidity": ("%", [air.humidity.value for air in airs]),
        "Density of the air": ("kg/m3", [run.density for run in reduced if run.density is not None]),
    }
    for words, (unit, values) in readings.items():
        yield words, _span(unit, values)
    origins = dict.fromkeys(air.temperature.origin for air in airs)
    told = {"run": "read for each run", "campaign": "the campaign's", "book": "the book's default"}
    yield "Where the air comes from", ", ".join(told[origin] for origin in origins)


def _range(values: Sequence[str]) -> str:
    if not values:
        return NOT_STATED
    return values[0] if len(values) == 1 else f"{values[0]} to {values[-1]}"


def _span(unit: str, values: Sequence[float]) -> str:
    if not values:
        return "not known"
    low, high = (plainly(float(with_digits(parse_unit(unit).from_si(value)))) for value in (min(values), max(values)))
    label = _label(unit)
    return f"{low} {label}" if low == high else f"{low} to {high} {label}"


def _channel(plan: ChannelPlan) -> Object:
    return {
        "channel": plan.quantity.replace("-", " "),
        "column": " and ".join(pick.head or f"column {pick.position}" for pick in plan.picks),
        "unit": plan.unit or "",
        "uncertainty": _uncertainty(plan),
    }


def _uncertainty(plan: ChannelPlan) -> str:
    """Return the standard uncertainty that the rig states for a channel."""
    if plan.uncertainty is None:
        return NOT_STATED
    parts = []
    if plan.uncertainty.relative:
        parts.append(f"{plainly(100.0 * plan.uncertainty.relative)} %")
    if plan.uncertainty.absolute:
        unit = CHANNELS[plan.quantity].shown
        parts.append(f"{plainly(plan.uncertainty.absolute / parse_unit(unit).factor)} {unit}")
    return " and ".join(parts) or "none"


def _designs(book: Book, runs: Sequence[Run], aside: Mapping[str, str]) -> list[Object]:
    names = dict.fromkeys(run.design for run in runs)
    return [
        _design(book.designs.get(name, Design(name)), [run for run in runs if run.design == name], aside)
        for name in names
    ]


def _design(design: Design, runs: Sequence[Run], aside: Mapping[str, str]) -> Object:
    return {
        "name": design.name,
        "maker": design.maker,
        "diameter": _shown("length", design.diameter, "in", absent=""),
        "pitch": _shown("length", design.pitch, "in", absent=""),
        "blades": "" if design.blades is None else str(design.blades),
        "mass": _shown("mass", design.mass, "g", absent=""),
        "samples": len({run.sample for run in runs}),
        "mountings": len({(run.sample, run.mounting) for run in runs}),
        "runs": len(runs),
        "set_aside": sum(run.name in aside for run in runs),
    }
