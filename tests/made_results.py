"""Hand-made results with known budgets."""

from __future__ import annotations

import math
from collections.abc import Mapping

from isothrust.records.curve import Scope
from isothrust.records.reduced import Contribution
from isothrust.records.result import Condition, Result

AT_500GF = Condition("thrust", 500 * 9.80665e-3)


def line(key: str, contribution: float, scope: Scope = "run", dof: float = math.inf) -> Contribution:
    """One line of a budget."""
    return Contribution(key, key, scope, contribution, dof)


def result(
    design: str,
    value: float | None,
    budget: Mapping[str, float] | None = None,
    *,
    measurand: str = "shaft-power",
    condition: Condition | None = AT_500GF,
    campaign: str = "spring",
    sample_sd: float | None = 0.0,
    **others: object,
) -> Result:
    """A result whose budget is given by key; sample_sd None: the scatter of samples is not known."""
    lines = tuple(line(key, c, "rig" if key.startswith("rig") else "run") for key, c in (budget or {}).items())
    u = math.sqrt(sum(one.contribution**2 for one in lines))
    interval = None if value is None else (value - 1.96 * u, value + 1.96 * u)
    samples = () if not sample_sd else (line(f"sample {design}/1", sample_sd, "sample", 10.0),)
    values: dict[str, object] = {
        "sample": None,
        "runs": (f"{design}-1",),
        "standard_uncertainty": None if value is None else u,
        "interval": interval,
        "interval_of_design": None if sample_sd is None else interval,
        "interval_as_sold": None if sample_sd is None else interval,
        "degrees_of_freedom": None if value is None else math.inf,
        "budget": lines,
        "sample_contributions": samples,
        "flags": (),
        "absent": None if value is not None else "the rig has no torque channel",
        "method_version": 1,
    } | others
    return Result(measurand=measurand, condition=condition, design=design, campaign=campaign, value=value, **values)  # type: ignore[arg-type]
