"""decisions.jsonl: what was left out or accepted, by whom, when and why; one JSON object a line, only appended to."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Any, Final

from isothrust.book.toml_section import Remarks
from isothrust.errors import Problem, Where
from isothrust.records.book import Decision
from isothrust.records.finding import Finding
from isothrust.tables.atomic import write_bytes

__all__ = ["DECISIONS", "append_decisions", "decision_object", "read_decisions"]

DECISIONS: Final = "decisions.jsonl"
_ACTIONS: Final = ("accept", "leave-out", "withdraw")
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


def append_decisions(root: str | Path, decisions: Sequence[Decision]) -> None:
    """Add lines at the end of decisions.jsonl; the lines that are there keep every byte.

    Only for the holder of the book's lock. A kill leaves the file with all of the new lines or with none.
    """
    path = Path(root) / DECISIONS
    before = path.read_bytes() if path.is_file() else b""
    joint = b"" if not before or before.endswith(b"\n") else b"\n"
    lines = "".join(json.dumps(decision_object(one), ensure_ascii=False) + "\n" for one in decisions)
    write_bytes(path, before + joint + lines.encode("utf-8"))


def decision_object(decision: Decision) -> dict[str, object]:
    """Return a decision as its line has it."""
    content: dict[str, object] = {name: getattr(decision, name) for name in _FIELDS}
    return content if decision.codes is None else {**content, "codes": list(decision.codes)}


def _decision(line: str, where: Where, remarks: Remarks) -> Decision | None:
    try:
        content: Any = json.loads(line)
    except json.JSONDecodeError as error:
        content, reason = None, str(error)
    else:
        reason = _flaw(content)
    if not reason:
        codes = content.get("codes")
        fields = {name: content[name] for name in _FIELDS}
        return Decision(**fields, codes=None if codes is None else tuple(codes))
    remarks.problems.append(
        Problem(
            "bad-decision",
            f"the line is no decision: {reason}",
            where,
            f"a JSON object with {', '.join(_FIELDS)}; action is one of {', '.join(_ACTIONS)}",
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
    codes = content.get("codes", [])
    if codes is not None and not (isinstance(codes, list) and all(isinstance(code, str) for code in codes)):
        return "codes is no list of texts"
    return "" if content["action"] in _ACTIONS else f'action is "{content["action"]}"'


def _tell_unknown_run(decision: Decision, line: int, runs: Collection[tuple[str, str]], remarks: Remarks) -> None:
    if (decision.campaign, decision.run) not in runs:
        message = (
            f"{DECISIONS}, line {line} decides about {decision.campaign}/{decision.run}, which the book does not have."
        )
        remarks.findings.append(Finding("unknown-run", "warning", message, done="left unread"))
