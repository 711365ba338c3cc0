"""Where a run stands: it counts, is set aside for a fail, was left out by hand, or was accepted all the same."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from isothrust.records.book import Decision
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun

__all__ = ["GIVES_NOTHING", "Standing", "last_decisions", "standing_of"]

GIVES_NOTHING = frozenset({"not-reduced", "raw-changed"})
"""Fails of a run that gives no figure: there is nothing to accept."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A run's fails and the decision that holds on it."""

    fails: tuple[Finding, ...]
    decision: Decision | None = None
    """The last on the run; None where there is none, or where it was withdrawn."""

    @property
    def left_out(self) -> bool:
        """Whether somebody left it out by hand."""
        return self.decision is not None and self.decision.action == "leave-out"

    @property
    def gives_nothing(self) -> bool:
        """Whether it gives no figure at all."""
        return any(finding.code in GIVES_NOTHING for finding in self.fails)

    @property
    def since(self) -> tuple[Finding, ...]:
        """Return the fails that turned up after the run was accepted: nobody has accepted these."""
        if self.decision is None or self.decision.action != "accept" or self.decision.codes is None:
            return ()
        return tuple(finding for finding in self.fails if finding.code not in self.decision.codes)

    @property
    def accepted(self) -> bool:
        """Whether it counts in spite of its fails."""
        return bool(self.fails) and self.decision is not None and self.decision.action == "accept" and not self.since

    @property
    def counts(self) -> bool:
        """Whether its figures count."""
        return self.accepted or not (self.fails or self.left_out)

    @property
    def settled(self) -> bool:
        """Whether nobody has to look at it any more: no fail, or one on which a decision holds."""
        return self.counts or self.left_out

    @property
    def reason(self) -> str:
        """Say why it does not count; empty where it does."""
        if self.counts:
            return ""
        if self.left_out and self.decision is not None:
            return f"left out by {self.decision.who}: {self.decision.because}"
        told = "; ".join(_told(finding) for finding in self.since or self.fails)
        if self.since and self.decision is not None:
            codes = ", ".join(self.decision.codes or ())
            return f"{told}; found since {self.decision.who} accepted it on {self.decision.when[:10]} for {codes} only"
        return told


def last_decisions(decisions: Iterable[Decision]) -> dict[tuple[str, str], Decision]:
    """Return by (campaign, run) the decision that holds: the last, unless it withdraws what was decided."""
    last = {(decision.campaign, decision.run): decision for decision in decisions}
    return {name: decision for name, decision in last.items() if decision.action != "withdraw"}


def standing_of(run: ReducedRun, holding: Mapping[tuple[str, str], Decision]) -> Standing:
    """Return where a run stands; `holding` is what `last_decisions` returns."""
    fails = tuple(finding for finding in run.findings if finding.severity == "fail")
    return Standing(fails, holding.get((run.campaign, run.run)))


def _told(finding: Finding) -> str:
    """Return a fail in one line; of a run that could not be reduced the message is a whole error, so its first line."""
    first = " ".join(finding.message.split("\n", maxsplit=1)[0].split())
    if finding.code == "not-reduced":
        return f"it could not be reduced: {first}"
    return f"{first.rstrip('. ')} [{finding.code}]"
