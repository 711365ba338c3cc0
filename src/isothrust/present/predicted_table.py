"""Predictions and matches as tables: a row a figure, a column a design."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.flags import FLAG_WORDS
from isothrust.present.predicted_names import PREDICTED
from isothrust.present.rounding import with_digits, with_half_width
from isothrust.present.shown import half_width
from isothrust.present.table import Table
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Estimated, Match, Prediction

__all__ = ["match_table", "motor_words", "prediction_table", "sensitivity_table"]

ABSENT: Final = "–"
MOST_SOURCES: Final = 3
MOST_NAMED: Final = 2
"""Absent figures of one reason that are named before they are counted."""
SENSITIVE: Final[Mapping[str, str]] = MappingProxyType(
    {"kv": "KV", "resistance": "resistance", "voltage": "voltage", "current-limit": "limits of current"}
)


def prediction_table(predictions: Sequence[Prediction]) -> Table:
    """Return the table of predictions that share motor, supply, place and craft."""
    first = predictions[0]
    craft = "" if first.craft is None else f", {1e3 * first.craft.mass:.0f} g on {first.craft.rotors} rotors"
    title = f"Predicted on {first.motor.name}, {first.power.words}{craft}, {first.place.words}"
    columns = {prediction.design: prediction.figures for prediction in predictions}
    flags = {prediction.design: prediction.flags for prediction in predictions}
    return _table(title, columns, flags, (motor_words(first.motor), *first.notes))


def match_table(matches: Sequence[Match]) -> Table:
    """Return the table of matches of one campaign."""
    first = matches[0]
    title = f"Campaign {first.campaign} on {first.motor.name}, {first.power.words}, standard air"
    columns = {match.design: match.figures for match in matches if match.absent is None}
    flags = {match.design: match.flags for match in matches}
    missing = tuple(f"{match.design}: no match: {match.absent}" for match in matches if match.absent is not None)
    return _table(title, columns, flags, (*missing, motor_words(first.motor)))


def sensitivity_table(matches: Sequence[Match]) -> Table:
    """Return what one per cent more of each property does to the thrust at full throttle."""
    there = [match for match in matches if match.sensitivities]
    names = [name for name in SENSITIVE if any(name in match.sensitivities for match in there)]
    rows = tuple((SENSITIVE[name], *(_signed(match.sensitivities.get(name)) for match in there)) for name in names)
    title = "Per cent of thrust at full throttle for one per cent more of this, all else equal"
    return Table(title, ("", *(match.design for match in there)), rows)


def motor_words(motor: MotorModel) -> str:
    """Say where a motor's constants come from, and how well predictions from them did."""
    if motor.origin == "stated":
        return (
            f"Motor {motor.name} was not tested: its constants are those of motors.csv, with the uncertainty usual of "
            "data sheets, and a usual controller."
        )
    told = f"Motor {motor.name} as {len(motor.runs)} runs show it"
    errors = ", ".join(f"{name} {100.0 * value:.1f} %" for name, value in motor.prediction_errors.items())
    return told + (f"; designs left out were predicted to (rms): {errors}." if errors else ".")


def _table(
    title: str,
    columns: Mapping[str, Sequence[Estimated]],
    flags: Mapping[str, Sequence[str]],
    notes: Sequence[str],
) -> Table:
    cells = {(design, one.name): one for design, figures in columns.items() for one in figures}
    names = [name for name in PREDICTED if any((design, name) in cells for design in columns)]
    shown = [name for name in names if any(_is_shown(cells.get((design, name))) for design in columns)]
    rows = tuple(
        (PREDICTED[name].words, PREDICTED[name].label, *(_cell(cells.get((design, name))) for design in columns))
        for name in shown
    )
    return Table(
        title,
        ("", "", *columns),
        rows,
        frozenset({0, 1}),
        (
            *_absences(cells),
            *_flag_lines(cells, flags),
            *_main_sources(cells),
            *notes,
        ),
    )


def _absences(cells: Mapping[tuple[str, str], Estimated]) -> Iterable[str]:
    """Say why figures are absent: those of one reason together, a design's many counted."""
    reasons: dict[tuple[str, str], list[str]] = {}
    for (design, name), one in cells.items():
        if one.absent is not None:
            reasons.setdefault((one.absent, design), []).append(PREDICTED[name].words)
    for (reason, design), names in reasons.items():
        more = f" and {len(names) - MOST_NAMED} figures more" if len(names) > MOST_NAMED + 1 else ""
        told = "; ".join(names[:MOST_NAMED] if more else names)
        yield f"{design}: no {told}{more}: {reason}."


def _is_shown(one: Estimated | None) -> bool:
    return one is not None and (one.value is not None or one.interval is not None)


def _cell(one: Estimated | None) -> str:
    if one is None or not _is_shown(one):
        return ABSENT
    unit = PREDICTED[one.name].unit
    if one.value is None:
        assert one.interval is not None
        return " to ".join(with_digits(unit.from_si(end), 2) for end in one.interval)
    width = half_width(one.interval)
    mark = " *" if "extrapolated" in one.flags else ""
    return with_half_width(unit.from_si(one.value), None if width is None else width / unit.factor) + mark


def _flag_lines(cells: Mapping[tuple[str, str], Estimated], flags: Mapping[str, Sequence[str]]) -> Iterable[str]:
    holders: dict[str, list[str]] = {}
    for design, own in flags.items():
        for flag in own:
            holders.setdefault(flag, []).append(design)
    for (design, _), one in cells.items():
        for flag in one.flags:
            if design not in holders.setdefault(flag, []):
                holders[flag].append(design)
    for flag, designs in holders.items():
        if flag in FLAG_WORDS and flag != "obstruction-not-stated":
            mark = "* " if flag == "extrapolated" else ""
            yield f"{mark}{flag}: {FLAG_WORDS[flag]} ({', '.join(designs)})"


def _main_sources(cells: Mapping[tuple[str, str], Estimated]) -> Iterable[str]:
    """Say what the interval of the thrust at full throttle is mostly made of."""
    for (design, name), one in cells.items():
        if name != "peak-thrust" or one.value is None or not one.standard_uncertainty:
            continue
        total = one.standard_uncertainty**2
        told = [f"{line.source} {100.0 * line.contribution**2 / total:.0f} %" for line in one.budget[:MOST_SOURCES]]
        yield f"± of thrust at full throttle, {design}, is made of: {', '.join(told)} (shares of the variance)."


def _signed(value: float | None) -> str:
    return ABSENT if value is None else f"{value:+.2f}"
