"""Bad runs as logs: each fault of tests/support/faulty planted in one simulated run and written as a bench would."""

from __future__ import annotations

import zlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.virtual import Dialect, Drive, RunPlan, VirtualRun, ramp, simulate_each
from isothrust.virtual.dialects import Column
from support.faulty import air, electrical, force, physics, speed, throttle, timing
from support.faulty.case import FaultCase
from support.faulty.trial import good_plans
from support.simulated import job_of, recording_of

__all__ = ["GROUPS", "LOGGER", "BadRun", "bad_runs", "named_cases", "seed_of"]

NOISE: Final = 20260601

GROUPS: Final[Mapping[str, Sequence[FaultCase]]] = MappingProxyType(
    {
        "tachometer": speed.CASES,
        "load-cells": force.CASES,
        "electrical": electrical.CASES,
        "throttle": throttle.CASES,
        "timing": timing.CASES,
        "air": air.CASES,
        "physics": physics.CASES,
    }
)
"""Campaign -> its faults, one a run."""

_TIME: Final = Column("time", "t", "ms", 1e-3, 2)
_COMMAND: Final = Column("throttle", "command", "us", 1e-3, 1, bias=1000.0)
_TURNS: Final = Column("speed", "turns", "rpm", 2.0 * np.pi / 60.0, 0)
_SUPPLY: Final = (Column("voltage", "bus", "V", 1.0, 2), Column("current", "draw", "A", 1.0, 2))
_PULL: Final = Column("thrust", "pull", "gf", 9.80665e-3, 1)
_TWIST: Final = Column("torque", "twist", "N mm", 1e-3, 2)
LOGGER: Final = Dialect("corpus", (_TIME, _COMMAND, _TURNS, _PULL, _TWIST, *_SUPPLY), compress=True)
"""Digits as far as the sensors' noise goes, and no further: the files stay small."""

_NEWTONS: Final = replace(
    LOGGER,
    columns=(
        *LOGGER.columns[:3],
        Column("thrust", "pull", "N", 1.0, 3),
        Column("torque", "twist", "N m", 1.0, 5),
        *_SUPPLY,
    ),
)
_ARMED: Final = replace(
    LOGGER,
    columns=(
        *LOGGER.columns[:4],
        Column("torque", "left", "gf", 9.80665e-3, 2, arm=21.0),
        Column("torque", "right", "gf", 9.80665e-3, 2, arm=-21.0),
        *_SUPPLY,
    ),
)
_LOGGERS: Final[Mapping[str, Dialect]] = MappingProxyType(
    {
        "thrust-unit-doubtful": _NEWTONS,
        "thrust-unit-doubtful-3": _NEWTONS,
        "torque-unit-doubtful": _ARMED,
        "torque-unit-doubtful-2": _NEWTONS,
    }
)
"""Loggers of those whose rig file takes the numbers for newtons, or the arms of the cells for metres."""


@dataclass(frozen=True, slots=True)
class Logged:
    """How a fault's run is logged: 100 Hz, or 50 Hz in holds and for what is wrong all along, but for those below."""

    every: int = 10
    """One row in so many of 1000 a second."""
    rows_first: bool = False
    """The fault is in the rows of the log itself: it is planted once they are thinned."""


_ROWS: Final = Logged(10, rows_first=True)
_LOGGED: Final[Mapping[str, Logged]] = MappingProxyType(
    {
        # Spells of 2 to 60 ms, single readings, and a command of three rows: the rate has to show them.
        "tachometer-dropout": Logged(4),
        "tachometer-double-count": Logged(4),
        "tachometer-half-count": Logged(8),
        "tachometer-jump": _ROWS,
        "spikes": _ROWS,
        "spikes-2": Logged(2, rows_first=True),
        "throttle-out-of-range": _ROWS,
        # The rows' own clock.
        "clock-repeated": _ROWS,
        "clock-backward": _ROWS,
        "clock-jitter": _ROWS,
        "clock-bursts": Logged(5, rows_first=True),
        "samples-dropped-2": _ROWS,
        # What moves within tenths of a second, or meets the rate of the log.
        "channel-held": Logged(2),
        "desynchronised": Logged(4),
        "speed-ripple": Logged(1),
        "order-aliased": Logged(2),
    }
)
_SHORT: Final = frozenset({"speed-ripple"})
"""Runs of a short ramp, that a log of 1000 rows a second stays small."""


@dataclass(frozen=True, slots=True, eq=False)
class BadRun:
    """One bad run: its log, and what the book says of it."""

    name: str
    case: FaultCase
    run: VirtualRun
    recording: Recording
    job: RunJob
    """As the tester's book has it, the fault in it where it is one of the book."""

    def log(self) -> bytes:
        """Return the log, with what a channel was changed to by whoever reads it wrongly."""
        columns = dict(self.run.columns)
        columns |= {name: channel.values for name, channel in self.recording.channels.items()}
        return replace(self.run, columns=columns).log_bytes(self.logger)

    @property
    def logger(self) -> Dialect:
        """Who writes the log."""
        return _LOGGERS.get(self.name, LOGGER)


def named_cases(group: str) -> dict[str, FaultCase]:
    """Return the faults of a group by the name of their run: the code, numbered from its second fault on."""
    seen: Counter[str] = Counter()
    named: dict[str, FaultCase] = {}
    for case in GROUPS[group]:
        seen[case.code] += 1
        named[case.code if seen[case.code] == 1 else f"{case.code}-{seen[case.code]}"] = case
    return named


def seed_of(name: str) -> int:
    """Return the seed of a run: its own, whatever other runs there are."""
    return zlib.crc32(name.encode()) % 10_000


def bad_runs(wanted: Sequence[tuple[str, str]]) -> Iterator[BadRun]:
    """Simulate bad runs, each named by its group and name."""
    cases = {(group, name): named_cases(group)[name] for group, name in wanted}
    plans = [_plan(name, case) for (_, name), case in cases.items()]
    order = sorted(range(len(plans)), key=lambda k: plans[k].schedule.duration)  # lanes of like length go together
    keys = [wanted[k] for k in order]
    places = [seed_of(name) for _, name in keys]
    runs = simulate_each([plans[k] for k in order], NOISE, places=places)
    for (group, name), run in zip(keys, runs, strict=True):
        yield _bad(group, name, cases[group, name], run)


def _plan(name: str, case: FaultCase) -> RunPlan:
    seed = seed_of(name)
    (plan,) = good_plans([seed], case.kind)
    if name in _SHORT:
        plan = replace(plan, schedule=ramp(rest=1.2, rise=4.0, end=2.4))
    return replace(case.plan(plan, np.random.default_rng([seed, 11])), name=name)


def _bad(group: str, name: str, case: FaultCase, run: VirtualRun) -> BadRun:
    random = np.random.default_rng([seed_of(name), 12])
    how = _LOGGED.get(name, Logged(20 if case.kind == "holds" or group in {"air", "physics"} else 10))
    if how.rows_first:
        spoiled = case.spoil(run.thinned(how.every), random)
    else:
        spoiled = case.spoil(run, random).thinned(how.every)
    recording, job = case.given(recording_of(spoiled), job_of(run.plan, campaign=group))
    return BadRun(name, case, spoiled, recording, _named_apart(job))


def _named_apart(job: RunJob) -> RunJob:
    """Return a job whose design or motor has a name of its own where it is another one than the corpus's usual."""
    if job.design.max_speed is not None:
        name = f"{job.design.name}-limited"
        job = replace(job, design=replace(job.design, name=name), run=replace(job.run, design=name))
    if job.motor is not None and job.motor.pole_pairs != Drive().pole_pairs:
        job = replace(job, motor=replace(job.motor, name=f"{job.motor.name}-{job.motor.pole_pairs:g}"))
    return job
