"""What a flag means, in words for the line below a table."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

__all__ = ["FLAG_WORDS", "flag_notes"]

FLAG_WORDS = MappingProxyType(
    {
        "air-from-book": "the air was taken from the book's default, not read on the day",
        "air-from-campaign": "the air was taken from the campaign's default, not read for the run",
        "air-not-known": "the air is not known: nothing is referred to standard density",
        "air-of-the-day": "holds in the air of the day, not referred to standard density",
        "calibration-not-stated": "the rig states no uncertainty for a channel: the interval is a lower bound",
        "electrical-as-recorded": "electrical figures as recorded: the cost of accelerating the rotor is still inside",
        "inertia-not-removed": "the torque that accelerates the rotor is still inside",
        "repeatability-borrowed": "one mounting only: its scatter is borrowed from the campaign's other designs",
        "repeatability-unknown": "no propeller of the campaign was mounted twice: the interval is a lower bound",
        "runs-set-aside": "some of its runs were set aside (named below)",
        "fail-accepted": "a run that failed a check was accepted by a decision in the book",
        "scatters-more": "scatters more than the campaign's other designs: its own scatter is used",
    }
)


def flag_notes(flags_by_name: Iterable[tuple[str, tuple[str, ...]]]) -> tuple[str, ...]:
    """Return one line a flag: whom it concerns, what it means."""
    names: dict[str, list[str]] = {}
    everybody: list[str] = []
    for name, flags in flags_by_name:
        if name not in everybody:
            everybody.append(name)
        for flag in flags:
            holders = names.setdefault(flag, [])
            if name not in holders:
                holders.append(name)
    return tuple(
        f"{flag}: {FLAG_WORDS.get(flag, 'see the findings of the runs')} "
        f"({'all' if len(holders) == len(everybody) and len(holders) > 1 else ', '.join(holders)})"
        for flag, holders in names.items()
    )
