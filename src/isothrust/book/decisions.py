"""decisions.jsonl: what was left out or accepted, by whom, when and why; one JSON object a line, only appended to."""

from __future__ import annotations

import json
from collections.abc import Collection
from pathlib import Path
from typing import Any, Final

from isothrust.book.toml_section import Remarks
from isothrust.errors import Problem, Where
from isothrust.records.book import Decision
from isothrust.records.finding import Finding

__all__ = ["DECISIONS", "read_decisions"]

DECISIONS: Final = "decisions.jsonl"
_ACTIONS: Final = ("accept", "leave-out")
_FIELDS: Final = ("run", "campaign", "action", "because", "who", "when")


def read_decisions(root: Path, runs: Collection[tuple[str, str]], remarks: Remarks) -> tuple[Decision, ...]:
    """Return the book's decisions in their order; `runs` are the (campaign, run) that there are."""
    path = root / DECISIONS
    if not path.is_file():
        return ()
    decisions: list[Decision] = []
    for number, line in enumerate(path.read_text(encoding="utf-8-sig").splitlines(), start=1):
        if line.strip():
            decision = _decision(line, Where(DECISIONS, number), remarks)
            if decision is not None:
                decisions.append(decision)
                _tell_unknown_run(decision, number, runs, remarks)
    return tuple(decisions)


def _decision(line: str, where: Where, remarks: Remarks) -> Decision | None:
    try:
        content: Any = json.loads(line)
    except json.JSONDecodeError as error:
        content, reason = None, str(error)
    else:
        reason = _flaw(content)
    if not reason:
        return Decision(**{name: content[name] for name in _FIELDS})
    remarks.problems.append(
        Problem(
            "bad-decision",
            f"the line is no decision: {reason}",
            where,
            f"a JSON object with {', '.join(_FIELDS)}; action is {' or '.join(_ACTIONS)}",
            "mend or delete the line",
        )
    )
    return None


def _flaw(content: Any) -> str:  # noqa: ANN401 (anything that JSON holds)
    if not isinstance(content, dict):
        return "it is no object"
    missing = [name for name in _FIELDS if not isinstance(content.get(name), str)]
    if missing:
        return f"it has no text under {', '.join(missing)}"
    return "" if content["action"] in _ACTIONS else f'action is "{content["action"]}"'


def _tell_unknown_run(decision: Decision, line: int, runs: Collection[tuple[str, str]], remarks: Remarks) -> None:
    if (decision.campaign, decision.run) not in runs:
        message = (
            f"{DECISIONS}, line {line} decides about {decision.campaign}/{decision.run}, which the book does not have."
        )
        remarks.findings.append(Finding("unknown-run", "warning", message, done="left unread"))
