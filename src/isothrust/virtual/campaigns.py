"""Campaigns for coverage studies: each draws a rig, days, samples, mountings and zeros of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from isothrust.virtual.air import TrueAir
from isothrust.virtual.conditions import Setup, Spread
from isothrust.virtual.plans import RunPlan, Zero
from isothrust.virtual.propeller import Factors, Propeller
from isothrust.virtual.schedules import Schedule, ramp
from isothrust.virtual.stand import RigErrors, Stated, draw_rig_errors

__all__ = ["campaign", "draw_air", "draw_mounting", "draw_sample", "draw_zeros"]

_TORQUE_PER_THRUST = 0.02
"""Zeros of the torque channel [N m] for one of the thrust channel's [N]."""
_CURRENT_PER_THRUST = 0.2


def campaign(
    designs: Sequence[Propeller],
    *,
    seed: int,
    samples: int = 1,
    mountings: int = 3,
    schedules: Sequence[Schedule] | None = None,
    setup: Setup | None = None,
    rig_errors: bool = True,
) -> tuple[RunPlan, ...]:
    """Draw one campaign: every design's samples, each mounted `mountings` times and run through each schedule.

    Runs are in a random order of mountings, as a fair campaign has them. `rig_errors=False` leaves the scale and air
    sensor errors at zero, and what the rig states as it is.
    """
    setup = setup or Setup()
    random = np.random.default_rng([seed, 7])
    drawn = draw_rig_errors(setup.stand.stated, random)
    errors = drawn if rig_errors else RigErrors()
    mounted = list(_mounted(designs, samples, mountings, setup, random))
    plans: list[RunPlan] = []
    for place in random.permutation(len(mounted)):
        air = draw_air(setup.spread, random)
        for schedule in schedules or (ramp(),):
            creep = 0.0 if plans else setup.creep
            thrust, torque, current = draw_zeros(setup.spread, setup.stand.stated, random, creep=creep)
            plan = replace(
                mounted[place],
                name=f"r{len(plans) + 1:03d}",
                schedule=schedule,
                air=air,
                errors=errors,
                thrust_zero=thrust,
                torque_zero=torque,
                current_zero=current,
            )
            plans.append(plan)
    return tuple(plans)


def _mounted(
    designs: Sequence[Propeller], samples: int, mountings: int, setup: Setup, random: np.random.Generator
) -> Iterator[RunPlan]:
    """Draw all mountings: plans that lack a schedule, air and zeros of their own."""
    for design in designs:
        propeller = setup.dressed(design)
        for k in range(samples):
            sample = chr(ord("a") + k)
            factors, inertia = draw_sample(propeller, setup.spread, random)
            for m in range(mountings):
                yield RunPlan(
                    name="",
                    propeller=propeller,
                    drive=setup.drive,
                    stand=setup.stand,
                    sample=sample,
                    sample_factors=factors,
                    added_inertia=inertia,
                    mounting=f"{propeller.name}-{sample}{m + 1}",
                    mounting_factors=draw_mounting(setup.spread, random),
                )


def draw_sample(propeller: Propeller, spread: Spread, random: np.random.Generator) -> tuple[Factors, float]:
    """Draw a sample's factors and what its inertia is off the design's [kg m2]."""
    pitch, own_thrust, own_power, weight = random.standard_normal(4)
    factors = Factors(
        float(1 + spread.sample_pitch * pitch + spread.sample_own * own_thrust),
        float(1 + 1.7 * spread.sample_pitch * pitch + spread.sample_own * own_power),
    )
    return factors, float(propeller.inertia * spread.sample_inertia * weight)


def draw_mounting(spread: Spread, random: np.random.Generator) -> Factors:
    """Draw the factors of one mounting, thrust and torque partly together."""
    both, thrust, power = random.standard_normal(3)
    shared = np.sqrt(spread.mounting_correlation)
    alone = np.sqrt(1 - spread.mounting_correlation)
    return Factors(
        float(1 + spread.mounting * (shared * both + alone * thrust)),
        float(1 + spread.mounting * (shared * both + alone * power)),
    )


def draw_air(spread: Spread, random: np.random.Generator) -> TrueAir:
    """Draw the air of a day in a workshop near sea level."""
    warm, high = random.standard_normal(2)
    return TrueAir(
        float(294.0 + spread.temperature * warm),
        float(100_500.0 + spread.pressure * high),
        float(random.uniform(0.3, 0.7)),
    )


def draw_zeros(
    spread: Spread, stated: Stated, random: np.random.Generator, *, creep: float = 0.0
) -> tuple[Zero, Zero, Zero]:
    """Draw the zeros of thrust, torque and current of one run.

    The fixed parts of what the rig states are there only while the rotor turns: no rest shows them.
    """
    start, drift, running = random.standard_normal((3, 3))
    shares = (1.0, _TORQUE_PER_THRUST, _CURRENT_PER_THRUST)
    fixed = (stated.thrust_fixed, stated.torque_fixed, stated.current_fixed)
    thrust, torque, current = (
        Zero(
            start=float(start[k]) * spread.zero * share,
            drift=float(drift[k]) * spread.drift * share,
            running=float(running[k]) * fixed[k],
        )
        for k, share in enumerate(shares)
    )
    return replace(thrust, creep=creep), replace(torque, creep=creep * _TORQUE_PER_THRUST), current
