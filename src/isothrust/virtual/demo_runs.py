"""The runs of the demonstration: three campaigns of a seabird-and-seal survey group, with a few faults planted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from isothrust.virtual.air import TrueAir
from isothrust.virtual.campaigns import draw_mounting, draw_sample, draw_zeros
from isothrust.virtual.conditions import Spread
from isothrust.virtual.demo_designs import BENCHES, DESIGNS, REFERENCE, Bench
from isothrust.virtual.plans import Fault, RunPlan
from isothrust.virtual.propeller import Factors, Propeller
from isothrust.virtual.schedules import Schedule, coast, holds, ramp, ramp_up_down, steps, zero
from isothrust.virtual.stand import RigErrors, draw_rig_errors

__all__ = ["DemoCampaign", "demo_campaigns"]

_SPREAD = Spread(zero=0.04, drift=0.004)
_LEVELS = (0.2, 0.28, 0.36, 0.44, 0.52, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class DemoCampaign:
    """One campaign with its bench and runs."""

    name: str
    bench: Bench
    note: str
    plans: tuple[RunPlan, ...]


@dataclass(frozen=True, slots=True)
class _Day:
    """The air of one day: it warms as the day goes on."""

    date: str
    temperature: float
    pressure: float
    humidity: float

    def air(self, hours: float) -> TrueAir:
        """Return the air so many hours after the first run."""
        return TrueAir(self.temperature + 0.45 * hours, self.pressure - 40.0 * hours, self.humidity - 0.008 * hours)


_MOUNTING_RUNS: tuple[tuple[str, tuple[Schedule, ...]], ...] = (
    ("a", (ramp(), steps(high=0.5))),
    ("a", (ramp(), holds(_LEVELS, stay=2.0))),
    ("b", (ramp(),)),
)
"""What is run in each of a design's three mountings: sample and schedules."""


def demo_campaigns(seed: int) -> tuple[DemoCampaign, ...]:
    """Draw the three campaigns; the same seed gives the same runs."""
    random = np.random.default_rng([seed, 11])
    samples = {(design.name, name): draw_sample(design, _SPREAD, random) for design in DESIGNS for name in ("a", "b")}
    by_name = {design.name: design for design in DESIGNS}
    two_blades = [d.name for d in DESIGNS if d.blades == 2 and d.diameter > 0.17]
    rest = [REFERENCE, *(d.name for d in DESIGNS if d.name not in two_blades)]
    spring = (
        _Day("2026-03-09", 289.2, 99_480.0, 0.71),
        _Day("2026-03-10", 291.7, 101_120.0, 0.62),
        _Day("2026-03-14", 285.6, 102_240.0, 0.55),
    )
    may = (_Day("2026-05-21", 289.3, 101_340.0, 0.66), _Day("2026-05-23", 292.4, 100_210.0, 0.74))
    june = (_Day("2026-06-19", 295.1, 100_870.0, 0.58),)
    maker = _Maker(by_name, samples)
    first = maker.runs(BENCHES[0], two_blades, spring, random)
    second = maker.runs(BENCHES[1], rest, may, random)
    third = maker.recheck(BENCHES[2], ("tirrick-7x3.5", "skooie-7x4.2", REFERENCE), june, random)
    return (
        DemoCampaign("spring-two-blades", BENCHES[0], "All two-blade 7-inch propellers, one motor.", _faulty(first, 0)),
        DemoCampaign(
            "may-three-blades",
            BENCHES[1],
            "Three blades, the small airframe's 6 inch, and the reference.",
            _faulty(second, 1),
        ),
        DemoCampaign(
            "june-recheck",
            BENCHES[2],
            "The finalists once more, up and down, on another bench.",
            (*third, _without_motor(third[-1])),
        ),
    )


class _Maker:
    """Makes plans out of drawn samples."""

    def __init__(self, designs: dict[str, Propeller], samples: dict[tuple[str, str], tuple[Factors, float]]) -> None:
        self._designs = designs
        self._samples = samples

    def runs(
        self, bench: Bench, names: Sequence[str], days: Sequence[_Day], random: np.random.Generator
    ) -> tuple[RunPlan, ...]:
        """Return a campaign: a zero run, every design's mountings in random order, the reference before and after."""
        mountings = [(name, k) for name in names for k in range(len(_MOUNTING_RUNS))]
        order = [mountings[k] for k in random.permutation(len(mountings))]
        order.sort(key=lambda pair: {(REFERENCE, 0): 0, (REFERENCE, 2): 2}.get(pair, 1))
        asked: list[tuple[str, str, str, Schedule]] = [(REFERENCE, "a", "m00", zero())]
        for place, (name, k) in enumerate(order):
            sample, schedules = _MOUNTING_RUNS[k]
            extra = (coast(),) if sample == "b" and place % 2 == 0 else ()
            asked += [(name, sample, f"m{place + 1:02d}", schedule) for schedule in (*schedules, *extra)]
        return self._plans(bench, asked, days, random)

    def recheck(
        self, bench: Bench, names: Sequence[str], days: Sequence[_Day], random: np.random.Generator
    ) -> tuple[RunPlan, ...]:
        """Return ramps up and down, two mountings of sample a and one of b."""
        turns = [(name, sample) for name in names for sample in ("a", "a", "b")]
        order = [turns[k] for k in random.permutation(len(turns))]
        asked: list[tuple[str, str, str, Schedule]] = [
            (name, sample, f"m{k + 1:02d}", ramp_up_down()) for k, (name, sample) in enumerate(order)
        ]
        return self._plans(bench, asked, days, random)

    def _plans(
        self,
        bench: Bench,
        asked: Sequence[tuple[str, str, str, Schedule]],
        days: Sequence[_Day],
        random: np.random.Generator,
    ) -> tuple[RunPlan, ...]:
        errors = draw_rig_errors(bench.stand.stated, random)
        mounted: dict[str, Factors] = {}
        plans = []
        a_day = -(-len(asked) // len(days))
        for k, (name, sample, mounting, schedule) in enumerate(asked):
            day, turn = days[k // a_day], k % a_day
            factors = mounted.setdefault(mounting, draw_mounting(_SPREAD, random))
            plan = self._plan(bench, name, sample, schedule, errors)
            thrust, torque, current = draw_zeros(_SPREAD, bench.stand.stated, random)
            at = datetime.fromisoformat(f"{day.date}T09:20:00") + timedelta(minutes=11 * turn)
            plans.append(
                replace(
                    plan,
                    name=f"{bench.stand.name[0]}{k + 1:02d}",
                    mounting=mounting,
                    mounting_factors=factors,
                    air=day.air(11 * turn / 60),
                    thrust_zero=thrust,
                    torque_zero=torque,
                    current_zero=current,
                    date=at.isoformat(timespec="minutes"),
                )
            )
        return tuple(plans)

    def _plan(self, bench: Bench, name: str, sample: str, schedule: Schedule, errors: RigErrors) -> RunPlan:
        factors, inertia = self._samples[name, sample]
        return RunPlan(
            name="",
            propeller=self._designs[name],
            drive=bench.drive,
            stand=bench.stand,
            schedule=schedule,
            sample=sample,
            sample_factors=factors,
            added_inertia=inertia,
            errors=errors,
        )


_PLANTED: tuple[tuple[tuple[str, str, tuple[Fault, ...]], ...], ...] = (
    (
        ("tirrick-7x3.5", "ramp", (Fault("dropout", at=0.45, count=14),)),
        ("dunter-7x4.5", "ramp", (Fault("spike", at=0.5, count=5, size=6.0),)),
        ("shalder-7x5", "ramp", (Fault("zero-drift", at=0.1, size=0.12), Fault("truncated-line"))),
        ("whaup-7x4", "steps", ()),
    ),
    (
        ("neesick-7x3.5", "ramp", (Fault("double-count", at=0.3, count=9), Fault("half-count", at=0.6, count=4))),
        (
            "laverick-6x4",
            "holds",
            (Fault("repeated-stamp", at=0.4, count=6), Fault("backward-stamp", at=0.7, size=0.04)),
        ),
    ),
)
"""For the first two campaigns: design, kind of run (its first), faults; none: a controller that eases its steps."""


def _faulty(plans: Sequence[RunPlan], campaign: int) -> tuple[RunPlan, ...]:
    """Plant the faults of a campaign."""
    made = list(plans)
    for name, kind, faults in _PLANTED[campaign]:
        k = next(k for k, plan in enumerate(made) if plan.propeller.name == name and plan.schedule.kind == kind)
        if faults:
            made[k] = replace(made[k], faults=faults)
        else:
            made[k] = replace(made[k], drive=replace(made[k].drive, duty_slope=1.6))
    return tuple(made)


_NEVER = 1e9
"""Latency [s] of a controller that was not armed: no command comes to the motor."""


def _without_motor(last: RunPlan) -> RunPlan:
    """Return one more run after the last of a campaign, on which the controller was not armed and nothing turned."""
    at = datetime.fromisoformat(last.date) + timedelta(minutes=6)
    return replace(
        last,
        name=f"{last.name[0]}{int(last.name[1:]) + 1:02d}",
        drive=replace(last.drive, latency=_NEVER),
        date=at.isoformat(timespec="minutes"),
    )
