"""An explanation as plain objects for JSON: results as everywhere in shown units, what lies behind them in SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace

from isothrust.present.objects import Object, finding_object, plain_number, result_object
from isothrust.records.reduced import ReducedRun
from isothrust.records.response import Response
from isothrust.records.trail import Explanation, FigureTrail, RunFacts

__all__ = ["explanation_object"]


def explanation_object(explanation: Explanation) -> Object:
    """Return an explanation as the object that `explain --json` prints."""
    return {
        "units": "each result in the unit that it names, all else in SI",
        "subject": explanation.subject,
        "campaign": explanation.campaign,
        "design": _plain(explanation.design),
        "rig": _plain(explanation.rig),
        "motor": _plain(explanation.motor),
        "standard_density": plain_number(explanation.standard_density),
        "slipstream": plain_number(explanation.slipstream),
        "figures": [_trail(trail) for trail in explanation.trails],
        "runs": [_run(run) for run in explanation.runs],
        "set_aside": _plain(explanation.left_out),
    }


def _trail(trail: FigureTrail) -> Object:
    return {
        "result": result_object(trail.result),
        "pool": _plain(trail.pool),
        "statements": _plain(trail.statements),
        "workings": _plain(trail.workings),
    }


def _run(facts: RunFacts) -> Object:
    run = facts.reduced
    return {
        **_identity(run),
        "note": facts.note,
        "files": _plain(facts.files),
        "channels": list(facts.channels),
        "air": _plain(facts.air),
        "density": plain_number(run.density),
        "zeros": {
            name: {**_mapping(zero), "levels": _plain(facts.zeros.get(name, ()))} for name, zero in run.zeros.items()
        },
        "lags": _plain(run.lags),
        "inertia": _plain(run.inertia),
        "response": _response(run.response),
        "absent": dict(run.absent),
        "flags": list(run.flags),
        "findings": [finding_object(finding) for finding in run.findings],
        "decision": _plain(facts.decision),
    }


def _response(response: Response | None) -> object:
    """Return a run's steps; the mean courses as lists."""
    if response is None:
        return None
    kinds = [
        {**_mapping(replace(kind, time=None, share=None)), "time": kind.time.tolist(), "share": kind.share.tolist()}  # type: ignore[arg-type]
        for kind in response.kinds
    ]
    return {**_mapping(replace(response, kinds=())), "kinds": kinds}


def _identity(run: ReducedRun) -> Object:
    names = ("run", "campaign", "design", "sample", "mounting", "kind", "rig", "date", "abscissa", "method_version")
    return {name: getattr(run, name) for name in names}


def _mapping(record: object) -> Object:
    assert is_dataclass(record)
    return {field.name: _plain(getattr(record, field.name)) for field in fields(record)}


def _plain(value: object) -> object:
    """Return records as objects of their fields, tuples as lists, numbers without end as null."""
    if is_dataclass(value):
        return _mapping(value)
    if isinstance(value, Mapping):
        return {str(name): _plain(item) for name, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return plain_number(value)
    assert value is None or isinstance(value, str | int | bool), type(value)
    return value
