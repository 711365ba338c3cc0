"""A motor as a plain object for JSON, in shown units."""

from __future__ import annotations

from collections.abc import Mapping

from isothrust.present.motor_names import correlations, shown_constants
from isothrust.present.objects import Object, plain_number
from isothrust.records.motor import MotorModel

__all__ = ["motor_object"]


def motor_object(campaign: str, model: MotorModel) -> Object:
    """Return a motor as the object that `--json` prints."""
    return {
        "motor": model.name,
        "campaign": campaign or None,
        "origin": model.origin,
        "runs": list(model.runs),
        "designs": list(model.designs),
        "constants": [
            {
                "constant": one.name.replace("_", "-"),
                "value": plain_number(one.value),
                "unit": one.unit,
                "standard_uncertainty": plain_number(one.uncertainty),
                "half_width": plain_number(one.half_width),
                "absent": one.absent,
            }
            for one in shown_constants(model)
        ],
        "correlation": [
            {"first": a.replace("_", "-"), "second": b.replace("_", "-"), "value": plain_number(value)}
            for (a, b), value in correlations(model).items()
        ],
        "copper_loss": _uncertain(model.copper, model.u_copper, "W/(N m)2"),
        "winding_temperature": plain_number(model.temperature - 273.15),
        "warmth": _uncertain(model.warmth, model.u_warmth, "K") if model.origin == "found" else None,
        "heat_capacity": _uncertain(model.heat_capacity, None, "J/K"),
        "rotor_inertia": _uncertain(model.rotor_inertia, model.u_rotor_inertia, "kg m2"),
        "max_current": _uncertain(model.max_current, None, "A"),
        "degrees_of_freedom": plain_number(model.degrees_of_freedom),
        "duty": _duty(model),
        "supply": _supply(model),
        "left_out": [
            {"design": one.design, "runs": list(one.runs), "errors": _plain(one.errors)} for one in model.left_out
        ],
        "prediction_errors": _plain(model.prediction_errors),
        "unidentified": {name.replace("_", "-"): reason for name, reason in model.unidentified.items()},
        "flags": list(model.flags),
        "notes": list(model.notes),
    }


def _plain(values: Mapping[str, float]) -> Object:
    return {name: plain_number(value) for name, value in values.items()}


def _uncertain(value: float | None, uncertainty: float | None, unit: str) -> Object | None:
    if value is None:
        return None
    return {"value": plain_number(value), "standard_uncertainty": plain_number(uncertainty), "unit": unit}


def _duty(model: MotorModel) -> list[Object] | None:
    if model.duty is None:
        return None
    columns = (model.duty.throttle, model.duty.duty, model.duty.uncertainty)
    return [
        {
            "throttle": plain_number(100.0 * throttle),
            "duty": plain_number(100.0 * duty),
            "standard_uncertainty": plain_number(100.0 * uncertainty),
        }
        for throttle, duty, uncertainty in zip(*(column.tolist() for column in columns), strict=True)
    ]


def _supply(model: MotorModel) -> Object | None:
    if model.supply is None:
        return None
    s = model.supply
    return {
        "voltage": _uncertain(s.voltage, s.u_voltage, "V"),
        "resistance": _uncertain(1e3 * s.resistance, 1e3 * s.u_resistance, "mohm"),
    }
