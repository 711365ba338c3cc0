"""Findings run by run as plain data, each run with its picture where something was found at a time of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from isothrust.present.charts.recording_data import recording_object
from isothrust.present.decided_table import decision_sentence, decision_words
from isothrust.present.findings_table import ORDER, findings_verdict, when_words
from isothrust.present.report.content import ReportContent
from isothrust.records.finding import Finding
from isothrust.records.picture import RunPicture
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import Standing, last_decisions, standing_of

__all__ = ["findings_object"]

Object = dict[str, object]
NOT_REDUCED: Final = "not-reduced"


def findings_object(content: ReportContent) -> Object:
    """Return the runs with a warning, a fail or a decision, the gravest first, and the notes of the others by code."""
    holding = last_decisions(content.book.decisions)
    standings = {(run.campaign, run.run): standing_of(run, holding) for run in content.runs}
    grave = [run for run in content.runs if _gravest(run.findings) != "note" or (run.campaign, run.run) in holding]
    grave.sort(key=lambda run: ORDER.index(_gravest(run.findings)))
    others = [run for run in content.runs if run not in grave]
    return {
        "runs": [_run(content, run, standings[run.campaign, run.run]) for run in grave],
        "warned": sum(_gravest(run.findings) != "note" for run in grave),
        "notes": _notes(others),
        "quiet": sum(not run.findings for run in content.runs),
        "total": len(content.runs),
        "decisions": _decisions(content),
    }


def _decisions(content: ReportContent) -> list[Object]:
    """Return every decision on a run of the page, in their order, and whether it still holds."""
    holding = last_decisions(content.book.decisions)
    shown = {(run.campaign, run.run) for run in content.runs}
    return [
        {
            "run": f"{one.campaign}/{one.run}",
            "what": decision_words(one.action),
            "codes": ", ".join(one.codes or ()),
            "because": one.because,
            "who": one.who,
            "when": one.when[:16].replace("T", " "),
            "holds": holding.get((one.campaign, one.run)) is one,
        }
        for one in content.book.decisions
        if (one.campaign, one.run) in shown
    ]


def _gravest(findings: Sequence[Finding]) -> str:
    return min((finding.severity for finding in findings), key=ORDER.index, default="note")


def _run(content: ReportContent, run: ReducedRun, standing: Standing) -> Object:
    picture = content.pictures.get((run.campaign, run.run))
    aside = content.set_aside.get((run.campaign, run.run))
    return {
        "run": f"{run.campaign}/{run.run}",
        "of": " ".join(part for part in (run.design, run.sample, run.kind, (run.date or "").replace("T", " ")) if part),
        "verdict": findings_verdict(run.findings),
        "gravest": _gravest(run.findings),
        "badge": "left out" if standing.left_out else _gravest(run.findings),
        "set_aside": aside,
        "accept": _acceptance(run) if aside and not (standing.left_out or standing.gives_nothing) else "",
        "accepted": decision_sentence(standing.decision) if standing.accepted and standing.decision else "",
        "findings": [_finding(finding) for finding in sorted(run.findings, key=lambda one: ORDER.index(one.severity))],
        "picture": None if picture is None else _picture(picture),
    }


def _acceptance(run: ReducedRun) -> str:
    """Return the command by which a run that was set aside counts all the same."""
    return f'isothrust accept {run.campaign}/{run.run} --because "…"'


def _finding(finding: Finding) -> Object:
    message = finding.message
    if finding.code == NOT_REDUCED:
        # its message is a whole error; the page has room for what is wrong and how to mend it
        message = " ".join(line.strip() for line in message.splitlines()[:1])
    return {
        "severity": finding.severity,
        "code": finding.code,
        "channel": finding.channel or "",
        "when": when_words(finding),
        "message": message,
        "effect": finding.effect or "",
        "done": "" if finding.done == "nothing" else finding.done,
    }


def _picture(picture: RunPicture) -> Object:
    if not picture.traces:
        return {"absent": picture.absent or "the recording has no channel to draw"}
    return {"absent": None, **recording_object(picture)}


def _notes(runs: Sequence[ReducedRun]) -> list[Object]:
    """Return the notes of some runs, each code once: how many runs carry it, and what the first says."""
    by_code: dict[str, dict[str, str]] = {}
    for run in runs:
        for finding in run.findings:
            by_code.setdefault(finding.code, {}).setdefault(f"{run.campaign}/{run.run}", finding.message)
    return [
        {"code": code, "runs": len(said), "first": next(iter(said)), "message": next(iter(said.values()))}
        for code, said in sorted(by_code.items(), key=lambda item: -len(item[1]))
    ]
