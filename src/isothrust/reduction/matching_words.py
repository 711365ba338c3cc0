"""What a match says, in sentences."""

from __future__ import annotations

from isothrust.records.prediction import Estimated, Match

__all__ = ["match_sentences"]

RPM = 60.0 / (2.0 * 3.141592653589793)


def match_sentences(match: Match) -> tuple[str, ...]:
    """Return the sentences of a match, the plainest first."""
    return tuple(
        sentence
        for sentence in (_bound(match), _limit(match), _strongest(match), *_efficient(match), _size(match))
        if sentence
    )


def _bound(match: Match) -> str:
    torque, speed = match.figure("torque-in-hand").value, match.figure("speed-in-hand").value
    if torque is None or speed is None:
        return ""
    start = f"{match.design} on {match.motor.name} is {match.bound}-bound"
    if match.bound == "speed":
        return (
            f"{start} with {_share(torque)} of torque in hand: it runs {_share(speed)} above the speed at which it "
            "would be torque-bound. More voltage or KV gives more thrust, a heavier propeller too."
        )
    return (
        f"{start}: of the torque that it asks for at full throttle {_share(-torque)} is not there"
        f"{_slower(speed)}. A lighter propeller or a larger motor helps; more KV or voltage does not."
    )


def _slower(speed: float) -> str:
    return f", and it runs {_share(-speed)} slower for it" if speed < 0.0 else ""


def _limit(match: Match) -> str:
    told = []
    if match.power.current_limit is not None:
        told.append(f"{match.power.current_limit:g} A into the controller")
    if match.motor.max_current is not None:
        told.append(f"{match.motor.max_current:g} A in the motor, by heat")
    return f"Limits: {' and '.join(told)}." if told else ""


def _strongest(match: Match) -> str:
    figure = match.figure("strongest-kv")
    if figure.value is None:
        return f"No KV is the strongest: {figure.absent}."
    kv = match.motor.kv
    assert kv is not None
    change = figure.value / kv - 1.0
    if abs(change) < 0.02:
        return f"Its KV is about the one of greatest thrust within the limits, {_kv(figure)}."
    word = "more" if change > 0.0 else "less"
    return f"The same size of motor gives most thrust within the limits at {_kv(figure)}, {_share(abs(change))} {word}."


def _efficient(match: Match) -> list[str]:
    bare, reserve = match.figure("efficient-kv"), match.figure("efficient-kv-with-reserve")
    told = []
    if bare.value is not None:
        told.append(
            f"In hover it takes least power at {_kv(bare)}, the least KV that reaches the thrust at all: what the "
            "controller and leads lose falls with KV, what the winding loses does not."
        )
    if reserve.value is not None:
        told.append(f"With twice the hover thrust at full throttle, it takes least power at {_kv(reserve)}.")
    return told


def _size(match: Match) -> str:
    gain = match.figure("next-size-gain")
    if gain.value is None:
        return ""
    rule = "20 % more torque constant squared over resistance and 20 % more friction, at the same KV"
    if gain.value > 0.02:
        return f"The next size up ({rule}) would give about {_share(gain.value)} more thrust, weight aside."
    if gain.value < 0.0:
        return f"The next size up ({rule}) would give no more thrust."
    return f"The next size up ({rule}) would give {_share(gain.value)} more thrust: hardly worth its weight."


def _kv(figure: Estimated) -> str:
    assert figure.value is not None
    return f"{figure.value * RPM:.0f} rpm/V"


def _share(value: float) -> str:
    percent = 100.0 * value
    return f"{percent:.0f} %" if abs(percent) >= 2.0 else f"{percent:.1f} %"
