"""The simulated thrust stand: raw recordings whose truth is known, for demonstration, coverage study and tests.

It knows nothing of the rest of the project but quantities and errors: a formula wrong in both places would prove
nothing.
"""

from isothrust.virtual.air import STANDARD_AIR, TrueAir
from isothrust.virtual.backwards import on_backwards
from isothrust.virtual.campaigns import campaign, draw_air, draw_mounting, draw_sample, draw_zeros
from isothrust.virtual.conditions import CONDITIONS, Setup, Spread, with_conditions
from isothrust.virtual.demo_book import DEMO_SEED, demo_book, demo_file_names, demo_files
from isothrust.virtual.demo_runs import DemoCampaign, demo_campaigns
from isothrust.virtual.dialects import (
    COMMA,
    COUNTER,
    DIALECTS,
    MICRO,
    MIDNIGHT,
    SEMICOLON,
    TAB,
    Column,
    Dialect,
)
from isothrust.virtual.drive import Drive, SteadyState
from isothrust.virtual.hearing import Microphone, Rush, SoundTruth, Voice
from isothrust.virtual.plans import Fault, Push, RunPlan, Zero
from isothrust.virtual.propeller import Factors, Flutter, Propeller, coefficient_table, make_propeller
from isothrust.virtual.rigtext import rig_toml
from isothrust.virtual.room import Room
from isothrust.virtual.schedules import Schedule, coast, holds, ramp, ramp_up_down, steps, zero
from isothrust.virtual.sensors import Order, Sensor, Sensors, low_noise_sensors
from isothrust.virtual.shaking import Accelerometer, Mode, Shaken, ShakingTruth, Unbalance
from isothrust.virtual.simulation import VirtualRun, simulate, simulate_each
from isothrust.virtual.sounding import Heard, calibrator_tone, room_alone
from isothrust.virtual.stand import RigErrors, Stand, Stated, draw_rig_errors
from isothrust.virtual.truth import PropellerTruth, Truth

__all__ = [
    "COMMA",
    "CONDITIONS",
    "COUNTER",
    "DEMO_SEED",
    "DIALECTS",
    "MICRO",
    "MIDNIGHT",
    "SEMICOLON",
    "STANDARD_AIR",
    "TAB",
    "Accelerometer",
    "Column",
    "DemoCampaign",
    "Dialect",
    "Drive",
    "Factors",
    "Fault",
    "Flutter",
    "Heard",
    "Microphone",
    "Mode",
    "Order",
    "Propeller",
    "PropellerTruth",
    "Push",
    "RigErrors",
    "Room",
    "RunPlan",
    "Rush",
    "Schedule",
    "Sensor",
    "Sensors",
    "Setup",
    "Shaken",
    "ShakingTruth",
    "SoundTruth",
    "Spread",
    "Stand",
    "Stated",
    "SteadyState",
    "TrueAir",
    "Truth",
    "Unbalance",
    "VirtualRun",
    "Voice",
    "Zero",
    "calibrator_tone",
    "campaign",
    "coast",
    "coefficient_table",
    "demo_book",
    "demo_campaigns",
    "demo_file_names",
    "demo_files",
    "draw_air",
    "draw_mounting",
    "draw_rig_errors",
    "draw_sample",
    "draw_zeros",
    "holds",
    "low_noise_sensors",
    "make_propeller",
    "on_backwards",
    "ramp",
    "ramp_up_down",
    "rig_toml",
    "room_alone",
    "simulate",
    "simulate_each",
    "steps",
    "with_conditions",
    "zero",
]
