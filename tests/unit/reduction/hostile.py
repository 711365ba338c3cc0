"""Recordings that something went wrong with, and what a reduced run may never hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.recording import Channel, Recording
from isothrust.records.reduced import Figure, ReducedRun
from unit.reduction.bench import changed, only_while, without

__all__ = ["CHANNELS", "ONE_CHANNEL", "WHOLE_LOG", "absurdities"]

CHANNELS = ("throttle", "speed", "thrust", "torque", "voltage", "current")
Spoil = Callable[[Recording, str], Recording]
Values = Callable[[np.ndarray, np.ndarray, np.random.Generator], np.ndarray]


def _values(change: Values) -> Spoil:
    def spoil(recording: Recording, name: str) -> Recording:
        return changed(recording, name, lambda t, v: change(t, v, np.random.default_rng(7)))

    return spoil


def _clocked(change: Callable[[Channel], Channel]) -> Spoil:
    def spoil(recording: Recording, name: str) -> Recording:
        return replace(recording, channels={**recording.channels, name: change(recording.channels[name])})

    return spoil


def _part(start: int | None, stop: int | None) -> Callable[[Channel], Channel]:
    return lambda c: replace(c, time=c.time[start:stop], values=c.values[start:stop])


def _at_rate(rate: float) -> Callable[[Channel], Channel]:
    def resampled(channel: Channel) -> Channel:
        time = np.arange(channel.time[0], channel.time[-1], 1.0 / rate)
        return replace(channel, time=time, values=np.interp(time, channel.time, channel.values))

    return resampled


def _with_gap(channel: Channel) -> Channel:
    there = (channel.time < 5.0) | (channel.time > 7.0)
    return replace(channel, time=channel.time[there], values=channel.values[there])


def _spiked(_: np.ndarray, v: np.ndarray, random: np.random.Generator) -> np.ndarray:
    return np.where(random.random(v.size) < 0.003, 1e4 * np.abs(v).max() * random.standard_normal(v.size), v)


ONE_CHANNEL: Mapping[str, Spoil] = {
    "missing": without,
    "alone": lambda r, n: replace(r, channels={n: r.channels[n]}),
    "constant": _values(lambda _, v, __: np.full_like(v, np.median(v))),
    "zero": _values(lambda _, v, __: 0.0 * v),
    "negative": _values(lambda _, v, __: -v),
    "in other units": _values(lambda _, v, __: 1e9 * v),
    "stuck high": _values(lambda _, v, __: np.full_like(v, 1e9)),
    "one enormous reading": _values(lambda _, v, __: np.where(np.arange(v.size) == v.size // 2, 1e300, v)),
    "spiked": _values(_spiked),
    "noisy": _values(lambda _, v, g: v + 0.3 * np.abs(v).max() * g.standard_normal(v.size)),
    "noise alone": _values(lambda _, v, g: g.standard_normal(v.size)),
    "shuffled": _values(lambda _, v, g: g.permutation(v)),
    "in four steps": _values(lambda _, v, __: np.round(4.0 * v / np.abs(v).max()) * np.abs(v).max() / 4.0),
    "held for 200 ms": _values(lambda _, v, __: v[(np.arange(v.size) // 200) * 200]),
    "at 2 Hz": _clocked(_at_rate(2.0)),
    "at 10 Hz": _clocked(_at_rate(10.0)),
    "ends early": _clocked(_part(None, 3000)),
    "starts late": _clocked(_part(-3000, None)),
    "of two samples": _clocked(_part(None, 2)),
    "of one sample": _clocked(_part(None, 1)),
    "of no sample": _clocked(_part(None, 0)),
    "on one stamp": _clocked(lambda c: replace(c, time=0.0 * c.time)),
    "on another day": _clocked(lambda c: replace(c, time=c.time + 1e6)),
    "with a gap": _clocked(_with_gap),
}


def _times(change: Callable[[np.ndarray], np.ndarray]) -> Callable[[Recording], Recording]:
    return lambda r: replace(r, channels={n: replace(c, time=change(c.time)) for n, c in r.channels.items()})


def _all(change: Callable[[Channel], Channel]) -> Callable[[Recording], Recording]:
    return lambda r: replace(r, channels={n: change(c) for n, c in r.channels.items()})


def _every(rows: int) -> Callable[[Recording], Recording]:
    def thin(channel: Channel) -> Channel:
        step = max(1, channel.time.size // rows)
        return replace(channel, time=channel.time[::step], values=channel.values[::step])

    return _all(thin)


def _noisier(channel: Channel) -> Channel:
    random = np.random.default_rng(len(channel.quantity))
    noise = float(np.median(np.abs(np.diff(channel.values))))
    return replace(channel, values=channel.values + 10.0 * noise * random.standard_normal(channel.values.size))


def _noise_alone(channel: Channel) -> Channel:
    random = np.random.default_rng(len(channel.quantity))
    return replace(channel, values=random.standard_normal(channel.values.size))


def _shaken(recording: Recording) -> Recording:
    time = recording.channels["thrust"].time
    shaking = np.random.default_rng(5).standard_normal((time.size, 3))
    return replace(recording, channels={**recording.channels, "acceleration": Channel("acceleration", time, shaking)})


def _mixed(recording: Recording) -> Recording:
    rates = {"voltage": 10.0, "speed": 50.0, "current": 20.0}
    return replace(
        recording,
        channels={n: _at_rate(rates[n])(c) if n in rates else c for n, c in recording.channels.items()},
    )


WHOLE_LOG: Mapping[str, Callable[[Recording], Recording]] = {
    "empty": lambda r: replace(r, channels={}),
    "all constant": _all(lambda c: replace(c, values=np.full_like(c.values, 3.0))),
    "all zero": _all(lambda c: replace(c, values=0.0 * c.values)),
    "all noise": _all(_noise_alone),
    "ten times the noise": _all(_noisier),
    "two samples": _all(_part(None, 2)),
    "one sample": _all(_part(None, 1)),
    "five rows": _every(5),
    "twenty rows": _every(20),
    "sixty rows": _every(60),
    "two hundred rows": _every(200),
    "rest alone": lambda r: only_while(r, 0.0, 1.9),
    "cut at a third": lambda r: only_while(r, 0.0, 5.5),
    "cut before the top": lambda r: only_while(r, 0.0, 11.0),
    "no rest at the start": lambda r: only_while(r, 3.0, 99.0),
    "no rest at all": lambda r: only_while(r, 3.0, 11.0),
    "half a second of it": lambda r: only_while(r, 6.0, 6.5),
    "a gap of ten minutes": _times(lambda t: t + np.where(t > 6.0, 600.0, 0.0)),
    "a gap of a day": _times(lambda t: t + np.where(t > 6.0, 86_400.0, 0.0)),
    "backwards": _times(lambda t: t[::-1]),
    "a clock that wraps": _times(lambda t: t % 6.0),
    "a clock of another unit": _times(lambda t: 1e-6 * t),
    "a thousand times slower": _times(lambda t: 1e3 * t),
    "before the epoch": _times(lambda t: t - 1e5),
    "a jittering clock": _times(lambda t: np.sort(t + 0.003 * np.random.default_rng(1).standard_normal(t.size))),
    "acceleration on three axes": _shaken,
    "mixed rates": _mixed,
    "current off by ten amperes": lambda r: changed(r, "current", lambda _, v: v - 10.0),
    "voltage lost for a second": lambda r: changed(r, "voltage", lambda t, v: np.where((t > 5) & (t < 6), 0.0, v)),
    "thrust that drifts far": lambda r: changed(r, "thrust", lambda t, v: v + 5.0 * t),
}


def absurdities(run: ReducedRun) -> Iterator[str]:
    """Yield what no reduced run may hold."""
    for name, curve in run.curves.items():
        yield from (f"{name} {what}" for what in _of_curve(name, curve))
    for influence in run.influences:
        if not all(np.all(np.isfinite(shift)) for shift in influence.shifts.values()):
            yield f"{influence.source} shifts by no number"
    for figure in run.figures:
        yield from (f"{figure.measurand} {what}" for what in _of_figure(figure))
    for name, lag in run.lags.items():
        if not np.all(np.isfinite([lag.value, lag.uncertainty])) or abs(lag.value) > 0.3:
            yield f"the lag of {name} is {lag}"
    if run.inertia is not None and not 0.0 < run.inertia.value < np.inf:
        yield f"the inertia is {run.inertia}"
    for zero in run.zeros.values():
        if not np.all(np.isfinite([zero.before or 0.0, zero.after or 0.0, zero.scatter, zero.uncertainty])):
            yield f"the zero is {zero}"


def _of_curve(name: str, curve: SmoothCurve) -> Iterator[str]:
    numbers = [curve.low, curve.high, curve.degrees_of_freedom, curve.residual_sd, curve.correlation]
    if not all(np.all(np.isfinite(x)) for x in (numbers, curve.knots, curve.coefficients, curve.covariance)):
        yield "is not finite"
    if not 0.0 <= curve.low <= curve.high:
        yield "has no range"
    if np.any(np.diag(curve.covariance) <= 0.0) or curve.correlation < 1.0 or curve.degrees_of_freedom < 1.0:
        yield "is too sure of itself"
    if name in {"thrust", "torque"} and not np.median(curve.coefficients) > 0.0:
        yield "is not positive"


def _of_figure(figure: Figure) -> Iterator[str]:
    if (figure.value is None) == (figure.absent is None):
        yield "is neither there nor explained"
    if figure.value is not None and not np.all(np.isfinite([figure.value, *(b.contribution for b in figure.budget)])):
        yield "is not finite"
