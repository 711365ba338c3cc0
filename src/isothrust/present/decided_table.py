"""What a decision on a run did, for people and for programs."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.objects import Object, condition_object, finding_object
from isothrust.present.shown import measurand_words
from isothrust.present.table import Mark, Table
from isothrust.records.book import Decision
from isothrust.records.decided import DecidedRun
from isothrust.records.finding import Finding
from isothrust.records.result import Result

__all__ = ["decided_object", "decided_table", "decision_sentence", "decision_words"]

WORDS: Final = MappingProxyType(
    {"accept": "accepted", "leave-out": "left out", "withdraw": "what was decided is withdrawn"}
)


def decision_words(action: str) -> str:
    """Return what was done to a run."""
    return WORDS.get(action, action)


def decision_sentence(decision: Decision) -> str:
    """Return a decision in words: what, by whom, when, for which fails, why."""
    codes = f" for {', '.join(decision.codes)}" if decision.codes else ""
    return f"{decision_words(decision.action)} by {decision.who} on {decision.when[:10]}{codes}: {decision.because}"


def decided_table(one: DecidedRun) -> Table:
    """Return one run's decision: what it covers, why, by whom, and what becomes of the figures."""
    run, decision = one.reduced, one.decision
    what = " ".join(part for part in (run.design, run.sample, run.kind) if part)
    rows: list[tuple[str, str]] = [("because", decision.because), ("by", f"{decision.who}, {decision.when}")]
    marks: list[Mark] = ["body", "body"]
    if decision.action == "accept":
        rows += [("in spite of", _said(finding)) for finding in one.now.fails]
        marks += ["fail" for _ in one.now.fails]
    if one.before.decision is not None:
        rows.append(("instead of", decision_sentence(one.before.decision)))
        marks.append("body")
    if one.now.reason:
        rows.append(("set aside", one.now.reason))
        marks.append("body")
    rows.append(("figures", _figures(one)))
    title = f"{run.campaign}/{run.run}  {what}: {decision_words(decision.action)}"
    return Table(title, (), tuple(rows), frozenset({0, 1}), (), 1, (*marks, "body"))


def _said(finding: Finding) -> str:
    where = f" ({finding.channel})" if finding.channel else ""
    lines = [f"{finding.code}{where}: {' '.join(finding.message.split())}"]
    return "\n".join(lines + ([f"effect: {finding.effect}"] if finding.effect else []))


def _figures(one: DecidedRun) -> str:
    before, now = len(one.figures_before), len(one.figures)
    if not before and not now:
        return "none of the usual results rests on this run"
    of = f"of {one.reduced.design}: {_measurands(one.figures or one.figures_before)}"
    if before and now:
        return f"{_counted(now)} {of}, as before"
    if before:
        return f"no longer in {_counted(before)} {of}"
    flagged = "; they carry the flag fail-accepted" if one.now.accepted else ""
    return f"now in {_counted(now)} {of}{flagged}"


def _measurands(results: Sequence[Result]) -> str:
    return ", ".join(dict.fromkeys(measurand_words(one.measurand) for one in results))


def _counted(count: int) -> str:
    return f"{count} usual result{'' if count == 1 else 's'}"


def decided_object(one: DecidedRun) -> Object:
    """Return one run's decision as the object that `--json` prints."""
    decision = one.decision
    return {
        "run": decision.run,
        "campaign": decision.campaign,
        "action": decision.action,
        "because": decision.because,
        "who": decision.who,
        "when": decision.when,
        "codes": None if decision.codes is None else list(decision.codes),
        "counts": one.now.counts,
        "reason": one.now.reason or None,
        "accepted": [finding_object(finding) for finding in one.now.fails] if one.now.accepted else [],
        "figures_before": [_figure(result) for result in one.figures_before],
        "figures": [_figure(result) for result in one.figures],
    }


def _figure(result: Result) -> Object:
    return {
        "measurand": result.measurand,
        "condition": condition_object(result.condition),
        "design": result.design,
        "sample": result.sample,
    }
