"""A motor as tables: constants, correlations, what each design was foretold to do without its own runs."""

from __future__ import annotations

import math

from isothrust.present.flags import flag_notes
from isothrust.present.motor_names import ERROR_WORDS, correlations, friction_torque, shown_constants
from isothrust.present.rounding import with_digits, with_half_width
from isothrust.present.table import Table
from isothrust.records.motor import CONSTANTS, MotorModel
from isothrust.science.uncertainty import coverage_factor

__all__ = ["correlation_table", "left_out_table", "motor_legend", "motor_table"]

ABSENT = "–"
_RPM = 2.0 * math.pi / 60.0
_MIDDLE = 15_000.0
"""Speed at which friction is shown where no run says which speeds matter [rpm]."""


def motor_table(campaign: str, model: MotorModel) -> Table:
    """Return constants with their uncertainty; what is absent has its reason below."""
    rows: list[tuple[str, ...]] = []
    reasons: dict[str, list[str]] = {}
    for constant in shown_constants(model):
        if constant.value is None:
            rows.append((constant.words, ABSENT, constant.unit))
            reasons.setdefault(constant.absent or "", []).append(constant.words)
        else:
            rows.append((constant.words, with_half_width(constant.value, constant.half_width), constant.unit))
    rows += _further(model)
    notes = [f"No {', no '.join(names)}: {reason}." for reason, names in reasons.items()]
    notes += [f"{name}: {model.unidentified[name]}." for name in CONSTANTS if _marked(model, name)]
    notes += [f"{note}." for note in model.notes]
    notes += flag_notes([(model.name, "", model.flags)])
    return Table(_title(campaign, model), ("", "value", "unit"), tuple(rows), frozenset({0, 2}), tuple(notes))


def _marked(model: MotorModel, name: str) -> bool:
    """Whether a constant has a value, and yet the runs do not tell it: one that is stated stands in."""
    return getattr(model, name) is not None and name in model.unidentified


def _title(campaign: str, model: MotorModel) -> str:
    if model.origin == "stated":
        return f"Motor {model.name}, as motors.csv states it"
    runs = f"{len(model.runs)} run{'' if len(model.runs) == 1 else 's'}"
    designs = f"{len(model.designs)} design{'' if len(model.designs) == 1 else 's'}"
    return f"Motor {model.name}, found from {runs} of {designs} of campaign {campaign}"


def _further(model: MotorModel) -> list[tuple[str, ...]]:
    reach = float(coverage_factor(model.degrees_of_freedom))
    rows: list[tuple[str, ...]] = []
    lost = friction_torque(model, _MIDDLE * _RPM)
    if lost is not None and model.viscous is not None:
        text = with_half_width(1e3 * lost[0], 1e3 * reach * lost[1])
        rows.append((f"friction torque at {_MIDDLE:.0f} rpm", text, "mN m"))
    if model.copper is not None:
        text = with_half_width(model.copper, None if model.u_copper is None else reach * model.u_copper)
        rows.append(("resistance of the winding times KV squared", text, "W/(N m)2"))
    if model.heat_capacity is not None:
        rows.append(("heat capacity of the winding", with_digits(model.heat_capacity, 2), "J/K"))
    if model.origin == "found":
        warm = with_half_width(model.warmth, 2.0 * model.u_warmth)
        rows.append(("winding at the end of a run, over 20 degC", warm, "K"))
    if model.supply is not None:
        s = model.supply
        rows.append(("supply, without load", with_half_width(s.voltage, 2.0 * s.u_voltage), "V"))
        rows.append(("supply and leads, resistance", with_half_width(1e3 * s.resistance, 2e3 * s.u_resistance), "mohm"))
    return rows


def correlation_table(model: MotorModel) -> Table:
    """Return how the constants' errors go together: 1 fully, 0 not at all, -1 against each other."""
    found = correlations(model)
    names = [name for name in CONSTANTS if any(name in pair for pair in found)]
    rows = tuple((_plain(name), *(_correlation(found, name, other) for other in names)) for name in names)
    return Table("Correlation of the constants", ("", *(_plain(name) for name in names)), rows)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _correlation(found: dict[tuple[str, str], float], first: str, second: str) -> str:
    return "1" if first == second else f"{found.get((first, second), found.get((second, first), 0.0)):.2f}"


def left_out_table(model: MotorModel) -> Table | None:
    """Return, design by design, what the motor of the other designs foretold, in per cent off; None where nothing."""
    if not model.left_out:
        return None
    names = [name for name in ERROR_WORDS if name in model.prediction_errors]
    rows = [
        (one.design, *(f"{100.0 * one.errors[name]:+.2f}" if name in one.errors else ABSENT for name in names))
        for one in model.left_out
    ]
    rows.append(("rms", *(f"{100.0 * model.prediction_errors[name]:.2f}" for name in names)))
    heads = ("left out", *(f"{ERROR_WORDS[name].replace(', ', chr(10))}" for name in names))
    title = "Foretold without its own runs, at full and at middle throttle: off what was measured by [%]"
    return Table(title, heads, tuple(rows))


def motor_legend() -> str:
    """Return what the model is, and what ± means."""
    return (
        "duty x V = speed/KV + resistance x i; torque = i/KV - friction; V x I = duty x V x i + controller's "
        "resistance x i2 + idle power. ± is half the 95 % interval; the rig's scale errors are in it."
    )
