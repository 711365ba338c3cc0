"""Propellers and drives that the tests of the simulated stand share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from isothrust.virtual import Propeller, Schedule, coast, coefficient_table, make_propeller

RPM = 2 * np.pi / 60


def flat_propeller(*, cp: float, diameter: float, inertia: float) -> Propeller:
    """A propeller whose coefficients do not change with speed at all."""
    ct = coefficient_table(0.15, power=0.0, depth=0.0)
    table = coefficient_table(cp, power=0.0, depth=0.0)
    plain = Propeller("flat", diameter, 0.1, 3, ct, table, inertia=inertia)
    return replace(plain, thrust_twist=0.0, power_twist=0.0)


def five_inch() -> Propeller:
    """A three-blade propeller of 5 inch."""
    return make_propeller("five", diameter=0.127, pitch=0.109, blades=3, ct=0.16, cp=0.09, inertia=5e-6)


def seven_inch() -> Propeller:
    """A two-blade propeller of 7 inch."""
    return make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.2e-5)


def brief() -> Schedule:
    """A coast of few seconds: enough of a recording where its length does not matter."""
    return coast(rest=0.4, rise=0.6, stay=0.4, end=1.6)
