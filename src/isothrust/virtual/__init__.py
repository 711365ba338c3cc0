"""The simulated thrust stand: raw recordings whose truth is known, for the demonstration, the coverage study, the tests.

It knows nothing of the rest of the project but quantities and errors: a formula wrong in both places would prove nothing.
"""

from isothrust.virtual.air import STANDARD_AIR, TrueAir
from isothrust.virtual.drive import Drive, SteadyState
from isothrust.virtual.plans import Fault, RunPlan, Zero
from isothrust.virtual.propeller import Factors, Flutter, Propeller, coefficient_table, make_propeller
from isothrust.virtual.schedules import Schedule, coast, holds, ramp, ramp_up_down, steps, zero
from isothrust.virtual.sensors import Order, Sensor, Sensors, low_noise_sensors
from isothrust.virtual.simulation import VirtualRun, simulate, simulate_each
from isothrust.virtual.stand import RigErrors, Stand, Stated, draw_rig_errors
from isothrust.virtual.truth import PropellerTruth, Truth

__all__ = [
    "STANDARD_AIR",
    "Drive",
    "Factors",
    "Fault",
    "Flutter",
    "Order",
    "Propeller",
    "PropellerTruth",
    "RigErrors",
    "RunPlan",
    "Schedule",
    "Sensor",
    "Sensors",
    "Stand",
    "Stated",
    "SteadyState",
    "TrueAir",
    "Truth",
    "VirtualRun",
    "Zero",
    "coast",
    "coefficient_table",
    "draw_rig_errors",
    "holds",
    "low_noise_sensors",
    "make_propeller",
    "ramp",
    "ramp_up_down",
    "simulate",
    "simulate_each",
    "steps",
    "zero",
]
