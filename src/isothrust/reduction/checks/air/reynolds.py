"""Referral to standard density keeps the speed, not the Reynolds number: how much that may matter."""

from __future__ import annotations

from isothrust.records.finding import Finding

__all__ = ["check_reynolds"]

_MATTERS = 0.005


def check_reynolds(channel: str, relative: float, ratio: float) -> list[Finding]:
    """Return a finding where the change of coefficient over the referral may pass half a per cent."""
    if abs(relative) < _MATTERS:
        return []
    return [
        Finding(
            code="reynolds-referral",
            severity="note",
            message=f"standard air changes the Reynolds number by {100.0 * ratio:+.1f} % at equal speed, "
            f"and with it the {channel} coefficient by about {100.0 * relative:+.2f} %",
            channel=channel,
            effect="half of the correction stays in the budget, scope campaign",
            done="the coefficient was corrected for it",
        )
    ]
