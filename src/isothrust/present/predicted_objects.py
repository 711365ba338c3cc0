"""Predictions and matches as plain objects for JSON, in shown units."""

from __future__ import annotations

from isothrust.present.objects import Object, plain_number
from isothrust.present.predicted_names import PREDICTED
from isothrust.quantities import parse_unit
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Estimated, Match, Power, Prediction, WindingSweep

__all__ = ["match_object", "prediction_object"]

KV = parse_unit("rpm/V")
THRUST = parse_unit("gf")


def prediction_object(prediction: Prediction) -> Object:
    """Return a prediction as the object that `predict --json` prints."""
    craft = prediction.craft
    return {
        "design": prediction.design,
        "campaign": prediction.campaign,
        "motor": _motor(prediction.motor),
        "power": _power(prediction.power),
        "density": plain_number(prediction.place.density),
        "craft": None
        if craft is None
        else {"mass": craft.mass, "rotors": craft.rotors, "drag_area": plain_number(craft.drag_area)},
        "figures": [_figure(figure) for figure in prediction.figures],
        "flags": list(prediction.flags),
        "notes": list(prediction.notes),
    }


def match_object(match: Match) -> Object:
    """Return a match as the object that `match --json` prints."""
    return {
        "design": match.design,
        "campaign": match.campaign,
        "motor": _motor(match.motor),
        "power": _power(match.power),
        "bound": match.bound,
        "figures": [_figure(figure) for figure in match.figures],
        "sensitivities": {name: plain_number(value) for name, value in match.sensitivities.items()},
        "sweep": None if match.sweep is None else _sweep(match.sweep),
        "sentences": list(match.sentences),
        "flags": list(match.flags),
        "absent": match.absent,
    }


def _figure(figure: Estimated) -> Object:
    known = PREDICTED[figure.name]
    unit = known.unit
    scale = unit.factor
    return {
        "figure": figure.name,
        "value": None if figure.value is None else plain_number(unit.from_si(figure.value)),
        "unit": known.shown,
        "standard_uncertainty": None
        if figure.standard_uncertainty is None
        else plain_number(figure.standard_uncertainty / scale),
        "interval": None if figure.interval is None else [plain_number(unit.from_si(end)) for end in figure.interval],
        "degrees_of_freedom": plain_number(figure.degrees_of_freedom),
        "budget": [
            {
                "source": line.source,
                "key": line.key,
                "scope": line.scope,
                "contribution": plain_number(line.contribution / scale),
                "degrees_of_freedom": plain_number(line.degrees_of_freedom),
            }
            for line in figure.budget
        ],
        "flags": list(figure.flags),
        "absent": figure.absent,
    }


def _motor(motor: MotorModel) -> Object:
    kv = None if motor.kv is None else plain_number(KV.from_si(motor.kv))
    errors = {name: plain_number(value) for name, value in motor.prediction_errors.items()}
    return {"motor": motor.name, "origin": motor.origin, "kv": kv, "prediction_errors": errors}


def _power(power: Power) -> Object:
    return {
        "voltage": plain_number(power.voltage),
        "resistance": plain_number(power.resistance),
        "empty_voltage": plain_number(power.empty_voltage),
        "usable_energy": plain_number(power.usable_energy),
        "current_limit": plain_number(power.current_limit),
    }


def _sweep(sweep: WindingSweep) -> list[Object]:
    return [
        {
            "kv": plain_number(KV.from_si(kv)),
            "thrust": plain_number(THRUST.from_si(thrust)),
            "standard_uncertainty": plain_number(u / THRUST.factor),
            "without_limits": plain_number(THRUST.from_si(free)),
        }
        for kv, thrust, u, free in zip(
            sweep.kv.tolist(),
            sweep.thrust.tolist(),
            sweep.uncertainty.tolist(),
            sweep.unlimited.tolist(),
            strict=True,
        )
    ]
