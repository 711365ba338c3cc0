"""What is odd about the book itself: told whole where somebody looks for it, in one line where they ask for figures."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from isothrust.cli.screen import say, width_of_screen
from isothrust.cli.session import book_words
from isothrust.present.findings_table import ORDER, findings_verdict
from isothrust.records.finding import Finding

__all__ = ["count_findings", "tell_findings"]


def tell_findings(findings: Sequence[Finding]) -> None:
    """Tell each finding on standard error, the gravest first, with what was done about it."""
    for finding in sorted(findings, key=lambda finding: ORDER.index(finding.severity)):
        lines = [f"{finding.severity}: {finding.message} [{finding.code}]"]
        lines += [f"  done: {finding.done}"] if finding.done != "nothing" else []
        for line in lines:
            say(
                textwrap.fill(
                    line, width_of_screen(), subsequent_indent="    ", break_on_hyphens=False, break_long_words=False
                )
            )


def count_findings(findings: Sequence[Finding], book: str) -> None:
    """Say on standard error how many findings there are, and how to see them."""
    if findings:
        them = "it" if len(findings) == 1 else "them"
        say(f"{findings_verdict(findings)} on the book: isothrust check{book_words(book)} shows {them}")
