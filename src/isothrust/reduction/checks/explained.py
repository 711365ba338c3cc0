"""Which finding explains which: a fault whose cause is told must not drag accusations of something else along."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from isothrust.records.finding import Finding, Severity
from isothrust.reduction.checks.speed.factor import TIMES_THE_TRUTH
from isothrust.reduction.checks.speed.spell import LONG_SPELL

__all__ = ["EXPLAINED_BY", "Cause", "explain"]

_RANK: Final[Mapping[Severity, int]] = MappingProxyType({"note": 0, "warning": 1, "fail": 2})
_ASIDE: Final = "the run was set aside"


@dataclass(frozen=True, slots=True)
class Cause:
    """A finding that, where it is told, explains another one."""

    code: str
    channel: str | None = None
    """Only about this channel; None: about any."""
    says: str = ""
    """Only where its message says this: one code may tell of things that explain different ones."""


_SPEED: Final = Cause("speed-factor", says=TIMES_THE_TRUTH)
_STEPS: Final = Cause("steps-unsettled")
_CROSSTALK: Final = Cause("torque-crosstalk")
_CREEP: Final = Cause("zero-creep", "torque")

EXPLAINED_BY: Final[Mapping[str, tuple[Cause, ...]]] = MappingProxyType(
    {
        # a wrong speed stands squared in CT and CP, and once in shaft power; a torque that is off takes shaft power and
        # merit along; on steps that never settle all of them are those of the way there
        "propeller-reversed": (_SPEED, _STEPS),
        "coefficient-out-of-class": (_SPEED, _STEPS),
        "merit-above-one": (_SPEED, _STEPS, _CROSSTALK, Cause("coefficient-out-of-class")),
        "merit-high": (_SPEED, _STEPS, _CROSSTALK, Cause("coefficient-out-of-class")),
        "power-balance": (_SPEED, _STEPS, _CROSSTALK, _CREEP),
        "voltage-ahead-of-lead": (_SPEED, _STEPS, _CROSSTALK, _CREEP),
        # what stands at the converter's end arrives there too early and leaves too late
        "lag-beyond-band": (Cause("saturated", "thrust"), Cause("saturated", "torque")),
        # in a long spell without speed nothing follows the command
        "throttle-range-short": (
            Cause("tachometer-half-count", says=LONG_SPELL),
            Cause("tachometer-double-count", says=LONG_SPELL),
        ),
    }
)
"""By code: what explains it, the likeliest first. A cause is never a note: one that is small explains nothing."""


def explain(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings with each consequence as a note that names its cause, right behind it.

    The cause takes over the severity: what was set aside for its consequence stays aside. Nothing is left out.
    """
    cause_of = {place: cause for place, one in enumerate(findings) if (cause := _cause(one, findings)) is not None}
    out: list[Finding] = []
    for place, one in enumerate(findings):
        if place in cause_of:
            continue
        own = [findings[other] for other, cause in sorted(cause_of.items()) if cause == place]
        out.append(_weighed(one, own))
        out.extend(_as_note(other, one) for other in own)
    return tuple(out)


def _cause(one: Finding, findings: Sequence[Finding]) -> int | None:
    """Return the place of the first cause of a finding, followed to its own cause, if that is told too."""
    if one.severity == "note":
        return None
    for cause in EXPLAINED_BY.get(one.code, ()):
        for place, other in enumerate(findings):
            if other.severity != "note" and _is(other, cause):
                first = _cause(other, findings)
                return place if first is None else first
    return None


def _is(one: Finding, cause: Cause) -> bool:
    return one.code == cause.code and cause.channel in {None, one.channel} and cause.says in one.message


def _weighed(cause: Finding, consequences: Sequence[Finding]) -> Finding:
    """Return the cause with the gravest severity of what it explains."""
    gravest = max((cause, *consequences), key=lambda one: _RANK[one.severity]).severity
    if gravest == cause.severity:
        return cause
    if gravest != "fail":
        return replace(cause, severity=gravest)
    return replace(cause, severity=gravest, done=_ASIDE if cause.done == "nothing" else f"{cause.done}; {_ASIDE}")


def _as_note(consequence: Finding, cause: Finding) -> Finding:
    done = "nothing" if consequence.done in {"nothing", _ASIDE} else consequence.done
    message = f"{consequence.message} ({cause.code} explains that)"
    return replace(consequence, severity="note", message=message, done=done)
