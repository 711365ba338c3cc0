"""Five lines on one fresh recording, to be read at the bench before the next propeller goes on."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.agreement import agreement_object, agreement_sentence
from isothrust.present.findings_table import ORDER, findings_verdict
from isothrust.present.objects import finding_object, plain_number
from isothrust.present.rounding import with_digits
from isothrust.present.shown import in_shown_unit, shown_with_unit, unit_label
from isothrust.records.agreement import FreshFile
from isothrust.records.finding import Finding
from isothrust.records.reduced import Estimate, ReducedRun, ZeroFit

__all__ = ["verdict_lines", "verdict_object"]

NOT_REDUCED = "not-reduced"

VERDICTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "fail": "do not keep it: record it again",
        "warning": "keep it, and look at it first",
        "note": "keep it",
        "": "keep it",
    }
)
LOADS: Final = ("thrust", "torque")
LAGS: Final = ("thrust", "torque", "electrical", "throttle")
_KINDS: Final[Mapping[str, str]] = MappingProxyType({"ramp": "a ramp", "coast": "a coast", "zero": "a zero"})
SETTLED: Final = "each row is a settled point"
UNKNOWN: Final = "not known"


def verdict_lines(name: str, fresh: FreshFile) -> tuple[str, ...]:
    """Return the verdict: what to do and the gravest finding, what was measured, zeros, lags, earlier runs."""
    run = fresh.reduced
    reduced = _is_reduced(run)
    return (
        f"verdict:  {_advice(run)} ({name}: {_findings(run)})",
        f"measured: {_measured(fresh) if reduced else 'nothing, for it could not be reduced'}",
        f"zero:     {_zeros(fresh) if reduced else 'not known'}",
        f"lag:      {_lags(run) if reduced else 'not known'}",
        f"earlier:  {agreement_sentence(fresh.agreement)}",
    )


def verdict_object(name: str, fresh: FreshFile) -> dict[str, object]:
    """Return the verdict as a finding that changes nothing, with its numbers under `verdict`."""
    run = fresh.reduced
    finding = Finding("bench-verdict", "note", "\n".join(verdict_lines(name, fresh)), run=name)
    numbers = {
        "advice": _advice(run),
        "measured": _measured_object(run),
        "zero": {channel: _zero_object(run.zeros[channel], fresh) for channel in LOADS if channel in run.zeros},
        "lag": {channel: _lag_object(run.lags[channel]) for channel in LAGS if channel in run.lags},
        "agreement": agreement_object(fresh.agreement),
    }
    return {**finding_object(finding), "verdict": numbers}


def _is_reduced(run: ReducedRun) -> bool:
    return not any(finding.code == NOT_REDUCED for finding in run.findings)


def _gravest(run: ReducedRun) -> Finding | None:
    return min(run.findings, key=lambda finding: ORDER.index(finding.severity), default=None)


def _advice(run: ReducedRun) -> str:
    gravest = _gravest(run)
    return VERDICTS["" if gravest is None else gravest.severity]


def _findings(run: ReducedRun) -> str:
    """Return how many findings there are, and the gravest; a run's failure ends in a code of its own."""
    gravest = _gravest(run)
    counts = findings_verdict(run.findings)
    if gravest is None:
        return counts
    if gravest.code == "differs-from-earlier":
        return f"{counts}; it differs from earlier runs"
    first = " ".join(gravest.message.splitlines()[0].split())
    said = first if gravest.code == NOT_REDUCED else f"{first.rstrip('. ')} [{gravest.code}]"
    return f"{counts}; {'' if len(run.findings) == 1 else 'the gravest: '}{said}"


def _measured(fresh: FreshFile) -> str:
    run = fresh.reduced
    parts = []
    top = _speeds(run)
    if top is not None:
        parts.append(f"{with_digits(in_shown_unit('speed', top[0]))} to {shown_with_unit('speed', top[1])}")
    for measurand, value in _peaks(run).items():
        words = measurand.removeprefix("peak-").replace("-", " ")
        parts.append(f"{words} up to {shown_with_unit(measurand, value)}")
    if run.abscissa != "speed" and run.curves:
        parts.append("no speed")
    if run.curves and not fresh.kind_told:
        parts.append(f"taken as {_KINDS.get(run.kind, run.kind)} (else say --kind)")
    return ", ".join(parts) or "nothing that gives a curve"


def _speeds(run: ReducedRun) -> tuple[float, float] | None:
    curve = next(iter(run.curves.values()), None)
    return None if curve is None or run.abscissa != "speed" else (curve.low, curve.high)


def _peaks(run: ReducedRun) -> dict[str, float]:
    return {
        figure.measurand: figure.value
        for figure in run.figures
        if figure.value is not None and figure.measurand.startswith("peak-")
    }


def _measured_object(run: ReducedRun) -> dict[str, object]:
    low, high = _speeds(run) or (None, None)
    speeds = {"lowest-speed": low, "top-speed": high}
    shown: dict[str, object] = {
        name: None if value is None else {"value": plain_number(in_shown_unit("speed", value)), "unit": "rpm"}
        for name, value in speeds.items()
    }
    for name, value in _peaks(run).items():
        shown[name] = {"value": plain_number(in_shown_unit(name, value)), "unit": unit_label(name)}
    return shown


def _zeros(fresh: FreshFile) -> str:
    """Return each channel's shift; channels of which the same is said stand together."""
    said: dict[str, list[str]] = {}
    for name in LOADS:
        if name in fresh.reduced.zeros:
            said.setdefault(_zero(fresh.reduced.zeros[name], fresh), []).append(name)
    told = [f"{' and '.join(names)} {words}" for words, names in said.items()]
    return ", ".join(told) or "no channel that has one"


def _zero(zero: ZeroFit, fresh: FreshFile) -> str:
    if zero.before_window is None:
        taken = "taken from the rig file" if zero.before is not None else "not known"
        return f"{taken}: no spell with the rotor stopped"
    shift = _shift(zero)
    if shift is None:
        return "read on one side of the run only: no shift is known"
    moved = with_digits(in_shown_unit(zero.channel, shift), 2).replace("-", "\N{MINUS SIGN}")
    share = _share(zero, fresh)
    of_peak = f" ({with_digits(100.0 * share, 1)} % of the peak)" if share is not None else ""
    return f"moved by {moved} {unit_label(zero.channel)}{of_peak}"


def _shift(zero: ZeroFit) -> float | None:
    return None if zero.before is None or zero.after is None else zero.after - zero.before


def _share(zero: ZeroFit, fresh: FreshFile) -> float | None:
    """Return the shift in proportion to the greatest thrust, or to the torque at top speed."""
    shift = _shift(zero)
    peak = _peaks(fresh.reduced).get("peak-thrust") if zero.channel == "thrust" else fresh.torque_at_top
    return abs(shift) / peak if shift is not None and peak else None


def _zero_object(zero: ZeroFit, fresh: FreshFile) -> dict[str, object]:
    shift, share = _shift(zero), _share(zero, fresh)
    return {
        "before": None if zero.before is None else plain_number(in_shown_unit(zero.channel, zero.before)),
        "after": None if zero.after is None else plain_number(in_shown_unit(zero.channel, zero.after)),
        "shift": None if shift is None else plain_number(in_shown_unit(zero.channel, shift)),
        "unit": unit_label(zero.channel),
        "per_cent_of_peak": None if share is None else plain_number(100.0 * share),
    }


def _lags(run: ReducedRun) -> str:
    """Return how late each channel is; those that nothing tells stand last, with why."""
    known = {name: run.lags[name] for name in LAGS if name in run.lags and _tells(run.lags[name])}
    if any(lag.origin == SETTLED for lag in run.lags.values()):
        return "none: each row is a settled point"
    behind = "the speed" if run.abscissa == "speed" else "the thrust"
    found = ", ".join(f"{name} {_milliseconds(lag)}" for name, lag in known.items())
    missing = [name for name in LAGS if name in run.lags and name not in known and _wanted(name, run)]
    parts = [f"{found} behind {behind}"] if found else []
    if "electrical" in missing and "torque" not in run.lags:
        missing.remove("electrical")
        parts.append("electrical not found: only torque tells it")
    parts += [f"{', '.join(missing)} not found: no drop, no steps, no leg down tells it"] if missing else []
    return "; ".join(parts) or "no channel that has one"


def _wanted(name: str, run: ReducedRun) -> bool:
    """Say whether the run has the channel whose lag nobody could find."""
    curve = {"electrical": "electrical-power"}.get(name, name)
    return curve in run.curves


def _tells(lag: Estimate) -> bool:
    return not lag.origin.startswith(UNKNOWN) and lag.origin != SETTLED


def _milliseconds(lag: Estimate) -> str:
    return f"{1e3 * lag.value:.0f} ms".replace("-", "\N{MINUS SIGN}")


def _lag_object(lag: Estimate) -> dict[str, object]:
    found = _tells(lag)
    return {
        "value": plain_number(1e3 * lag.value) if found else None,
        "standard_uncertainty": plain_number(1e3 * lag.uncertainty),
        "unit": "ms",
        "origin": lag.origin,
    }
