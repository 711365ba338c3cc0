"""An explanation as text: from the figure back to the files, in the order in which somebody would doubt it."""

from __future__ import annotations

from isothrust.present.explanation_pool import budget_section, mean_section
from isothrust.present.explanation_rig import rig_lines
from isothrust.present.explanation_run import reading_lines, run_lines
from isothrust.present.explanation_words import indented, paragraph, title, working
from isothrust.present.explanation_working import working_lines
from isothrust.present.flags import FLAG_WORDS
from isothrust.present.plain import Line
from isothrust.present.rounding import plainly, with_digits
from isothrust.present.shown import condition_words, in_shown_unit, measurand_words, shown_value, unit_label
from isothrust.quantities import MEASURANDS
from isothrust.records.book import Design
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.records.trail import Explanation, FigureTrail, RunFacts

__all__ = ["explanation_lines"]


def explanation_lines(explanation: Explanation, width: int) -> list[Line]:
    """Return the whole trail of one design's or run's figures in one campaign."""
    lines: list[Line] = []
    for number, trail in enumerate(explanation.trails):
        if number:
            lines.append(Line("body", ""))
        lines += _figure(explanation, trail, width)
    if explanation.runs:
        lines += rig_lines(explanation, width)
    if any(run.reduced.curves for run in explanation.runs):
        steps = any(run.reduced.response is not None for run in explanation.runs)
        sound = any(run.reduced.sound is not None for run in explanation.runs)
        lines += reading_lines(width, steps=steps, sound=sound)
    for run in explanation.runs:
        lines += run_lines(run, explanation.rig, width)
        lines += _workings(explanation, run.reduced.run, width)
    return lines


def _workings(explanation: Explanation, run: str, width: int) -> list[Line]:
    """Return how a run's figures come about; what stands at the top already is not told again."""
    lines: list[Line] = []
    for trail in explanation.trails:
        result = trail.result
        for one in trail.workings:
            if one.run == run and one.figure.absent != (result.absent or ""):
                lines += working_lines(one, result.condition, width, counts=result.value is not None)
    return lines


def _figure(explanation: Explanation, trail: FigureTrail, width: int) -> list[Line]:
    result = trail.result
    name = f"{measurand_words(result.measurand)} of {explanation.subject}"
    where = condition_words(result.condition)
    head = f"{name[:1].upper()}{name[1:]} {where}".rstrip()
    lines = [Line("title", head if _is_run(explanation) else f"{head}, campaign {explanation.campaign}")]
    if result.value is None:
        lines += [*paragraph(f"absent: {result.absent}", width), *_question(explanation, result, width)]
        return [*lines, *_measured(explanation, width)]
    shown = f"{shown_value(result, result.interval)} {unit_label(result.measurand)}".rstrip()
    lines += paragraph(f"{shown} (95 %), as tested: these samples, on this rig, in this campaign", width)
    lines += _question(explanation, result, width)
    lines += mean_section(trail, width)
    return [*lines, *budget_section(trail, width)]


def _is_run(explanation: Explanation) -> bool:
    return explanation.subject.startswith(f"{explanation.campaign}/")


def _question(explanation: Explanation, result: Result, width: int) -> list[Line]:
    measurand = MEASURANDS[result.measurand]
    lines = title("What was asked")
    unit = unit_label(result.measurand)
    shown = f", in {unit}" if unit else ""
    if measurand.shown != measurand.si:
        shown += f" (1 {unit} = {working(measurand.shown_unit.factor)} {measurand.si})".removesuffix(" 1)") + (
            ")" if measurand.si == "1" else ""
        )
    lines += paragraph(f"measurand: {result.measurand}, {measurand.description}{shown}", width)
    if result.condition is not None:
        asked = MEASURANDS[result.condition.quantity]
        value = working(in_shown_unit(result.condition.quantity, result.condition.value))
        si = working(result.condition.value)
        lines.append(indented(f"condition: {result.condition.quantity} = {value} {asked.label} = {si} {asked.si}"))
    lines.append(indented(f"rho0 = {working(explanation.standard_density)} kg/m3, standard air"))
    lines += paragraph(f"design: {_design(explanation.design)}", width)
    if result.runs:
        lines += paragraph(f"runs: {', '.join(result.runs)}; method version {result.method_version}", width)
    for one in explanation.left_out if not _is_run(explanation) else ():
        lines += paragraph(f"set aside: {one.run}: {one.reason}", width)
    for flag in result.flags:
        lines += paragraph(f"{flag}: {FLAG_WORDS.get(flag, 'see the findings of the runs')}", width)
    return lines


def _design(design: Design) -> str:
    said = [design.name]
    if design.maker:
        said.append(f"by {design.maker}")
    if design.diameter is not None:
        said.append(f"diameter D = {working(design.diameter)} m ({plainly(design.diameter / 0.0254)} in)")
    else:
        said.append("no diameter stated")
    if design.pitch is not None:
        said.append(f"pitch {plainly(design.pitch / 0.0254)} in")
    if design.blades is not None:
        said.append(f"{design.blades} blades")
    return ", ".join(said)


def _measured(explanation: Explanation, width: int) -> list[Line]:
    """Return what there is instead of an absent figure, run by run."""
    lines = title("What was measured, and what is missing")
    if not explanation.runs:
        return [*lines, *paragraph(f"no run of {explanation.design.name} in campaign {explanation.campaign}", width)]
    for run in explanation.runs:
        lines += paragraph(f"{run.reduced.run} ({run.reduced.kind}): {_there(run)}", width)
        missing = dict.fromkeys(run.reduced.absent.values())
        for reason in missing:
            lines += paragraph(f"missing: {reason}", width, 2)
    return lines


def _there(run: RunFacts) -> str:
    said = [f"channels {', '.join(run.channels)}"] if run.channels else ["no channel could be read"]
    return "; ".join([*said, *_curves(run.reduced), *_singles(run.reduced)])


def _curves(run: ReducedRun) -> list[str]:
    if not run.curves:
        return []
    low = min(curve.low for curve in run.curves.values())
    high = max(curve.high for curve in run.curves.values())
    if run.abscissa == "speed":
        limits = f"{_four('speed', low)} to {_four('speed', high)} rpm"
    else:
        limits = f"thrusts of {_four('thrust', low**2)} to {_four('thrust', high**2)} gf"
    return [f"curves of {', '.join(run.curves)} from {limits}"]


def _singles(run: ReducedRun) -> list[str]:
    return [
        f"{figure.measurand} {_four(figure.measurand, figure.value)} {unit_label(figure.measurand)}".rstrip()
        for figure in run.figures
        if figure.value is not None
    ]


def _four(measurand: str, value: float) -> str:
    return with_digits(in_shown_unit(measurand, value))
