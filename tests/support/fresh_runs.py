"""Fresh runs of a simulated campaign: newly mounted on the rig that the campaign was run on, on another day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from isothrust.virtual import RunPlan, Setup, draw_air, draw_mounting, draw_sample, draw_zeros

__all__ = ["fresh_plan", "with_thrust_scale"]


def fresh_plan(plans: Sequence[RunPlan], seed: int, setup: Setup, *, new_sample: bool = False) -> RunPlan:
    """Return one more run of one of the campaign's propellers, with a mounting, zeros and air of its own."""
    random = np.random.default_rng([seed, 99])
    base = plans[int(random.integers(len(plans)))]
    factors, inertia = draw_sample(base.propeller, setup.spread, random)
    thrust, torque, current = draw_zeros(setup.spread, setup.stand.stated, random)
    plan = replace(
        base,
        name=f"fresh{seed}",
        mounting=f"fresh{seed}",
        mounting_factors=draw_mounting(setup.spread, random),
        air=draw_air(setup.spread, random),
        thrust_zero=thrust,
        torque_zero=torque,
        current_zero=current,
    )
    return replace(plan, sample="z", sample_factors=factors, added_inertia=inertia) if new_sample else plan


def with_thrust_scale(plan: RunPlan, error: float) -> RunPlan:
    """Return the run as a rig records it whose thrust scale has moved since the campaign."""
    return replace(plan, errors=replace(plan.errors, thrust=plan.errors.thrust + error))
