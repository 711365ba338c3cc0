"""Records as plain objects for JSON, in shown units, without NaN or Infinity."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping

from isothrust.present.shown import in_shown_unit
from isothrust.quantities import MEASURANDS, Unit
from isothrust.records.finding import Finding
from isothrust.records.reduced import Contribution
from isothrust.records.result import Comparison, Condition, Interval, Pair, Result

__all__ = ["Object", "comparison_object", "finding_object", "json_text", "plain_number", "result_object"]

Object = dict[str, object]


def json_text(objects: Iterable[Mapping[str, object]]) -> str:
    """Return a list of objects as JSON text; a number that JSON does not have is an error of the program."""
    return json.dumps(list(objects), indent=2, ensure_ascii=False, allow_nan=False)


DIGITS = 12
"""Significant digits of a number in JSON: far beyond any measurement, and without the dust that conversions leave."""


def plain_number(value: float | None) -> float | None:
    """Return a number that JSON has; null where it is not known or has no end."""
    return None if value is None or not math.isfinite(value) else float(f"{value:.{DIGITS}g}")


def _scaled(unit: Unit, value: float | None) -> float | None:
    """Convert a difference or a width: the unit's factor alone."""
    return None if value is None else plain_number(value / unit.factor)


def _interval(unit: Unit, interval: Interval | None) -> list[float | None] | None:
    return None if interval is None else [plain_number(unit.from_si(end)) for end in interval]


def condition_object(condition: Condition | None) -> Object | None:
    """Return a condition as quantity, value and unit."""
    if condition is None:
        return None
    return {
        "quantity": condition.quantity,
        "value": plain_number(in_shown_unit(condition.quantity, condition.value)),
        "unit": MEASURANDS[condition.quantity].label,
    }


def _contribution(unit: Unit, line: Contribution) -> Object:
    return {
        "source": line.source,
        "key": line.key,
        "scope": line.scope,
        "contribution": _scaled(unit, line.contribution),
        "degrees_of_freedom": plain_number(line.degrees_of_freedom),
    }


def result_object(result: Result) -> Object:
    """Return a result as the object that `--json` prints."""
    name = result.measurand
    unit = MEASURANDS[name].shown_unit
    return {
        "measurand": name,
        "condition": condition_object(result.condition),
        "design": result.design,
        "sample": result.sample,
        "campaign": result.campaign,
        "runs": list(result.runs),
        "value": None if result.value is None else plain_number(unit.from_si(result.value)),
        "unit": MEASURANDS[name].label,
        "standard_uncertainty": _scaled(unit, result.standard_uncertainty),
        "interval": _interval(unit, result.interval),
        "interval_of_design": _interval(unit, result.interval_of_design),
        "interval_as_sold": _interval(unit, result.interval_as_sold),
        "degrees_of_freedom": plain_number(result.degrees_of_freedom),
        "budget": [_contribution(unit, line) for line in result.budget],
        "flags": list(result.flags),
        "absent": result.absent,
        "method_version": result.method_version,
    }


def finding_object(finding: Finding) -> Object:
    """Return a finding as the object that `check --json` prints."""
    return {
        "run": finding.run,
        "code": finding.code,
        "severity": finding.severity,
        "channel": finding.channel,
        "start": plain_number(finding.start),
        "end": plain_number(finding.end),
        "count": finding.count,
        "effect": finding.effect,
        "done": finding.done,
        "message": finding.message,
    }


def _pair(unit: Unit, pair: Pair) -> Object:
    return {
        "first": pair.first,
        "second": pair.second,
        "difference": _scaled(unit, pair.difference),
        "relative": plain_number(pair.relative),
        "standard_uncertainty": _scaled(unit, pair.uncertainty),
        "degrees_of_freedom": plain_number(pair.degrees_of_freedom),
        "half_width": _scaled(unit, pair.half_width),
        "real": pair.real,
        "statement": pair.statement,
    }


def comparison_object(comparison: Comparison) -> Object:
    """Return a comparison as the object that `compare --json` prints."""
    unit = MEASURANDS[comparison.measurand].shown_unit
    return {
        "measurand": comparison.measurand,
        "condition": condition_object(comparison.condition),
        "class": comparison.class_name,
        "mixed": comparison.mixed,
        "better": comparison.better,
        "ranks": [
            {"place": rank.place, "tied_with": list(rank.tied_with), "result": result_object(rank.result)}
            for rank in comparison.ranks
        ],
        "absent": [result_object(result) for result in comparison.absent],
        "pairs": [_pair(unit, pair) for pair in comparison.pairs],
        "sentences": list(comparison.sentences),
        "notes": list(comparison.notes),
    }
