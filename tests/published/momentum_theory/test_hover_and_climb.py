"""Hover and climb of whole craft by momentum theory."""

from __future__ import annotations

import numpy as np

from isothrust.science.flight import climb_speed, hover_thrust
from isothrust.science.momentum import ideal_hover_power, induced_velocity
from support.validation import Printed

LEISHMAN = "Leishman, Principles of Helicopter Aerodynamics, chapter 2 (worked example, from memory)"
HOUGHTON = "Houghton & Carpenter, Aerodynamics for Engineering Students, chapter 9, exercise (from memory)"
CLOSED = "closed form, worked out outside the project"
FOOT, POUND_FORCE, SLUG = 0.3048, 4.4482216152605, 14.59390294
HORSEPOWER = 745.6998715822702


def test_power_of_a_craft_of_one_kilogram_on_one_disc(printed: Printed) -> None:
    thrust = hover_thrust(1.0, 1)
    power = ideal_hover_power(thrust, 1.225, 0.254)
    printed(power, "87.16042", source=CLOSED, what="ideal hover power of 1 kg on one disc of 254 mm [W]")
    shared = 4 * ideal_hover_power(hover_thrust(1.0, 4), 1.225, 0.254)
    printed(shared, "43.58021", source=CLOSED, what="the same on four discs, half as much [W]")


def test_tilt_rotor_in_hover(printed: Printed) -> None:
    thrust, density = 60_500.0 * POUND_FORCE / 2.0, 0.002378 * SLUG / FOOT**3
    v = induced_velocity(thrust, density, 38.0 * FOOT) / FOOT
    printed(v, "74.888", source=LEISHMAN, what="induced velocity of a tilt rotor [ft/s]", relative=5e-4)
    power = ideal_hover_power(thrust, density, 38.0 * FOOT) / HORSEPOWER
    printed(power, "4118.8", source=LEISHMAN, what="ideal power of one of its rotors [hp]", relative=5e-4)


def test_rate_of_climb_from_the_power_that_reaches_the_air(printed: Printed) -> None:
    area, loading = np.pi * 64.0, 170.0
    climb = climb_speed(0.53 * 600e3, loading * area, np.sqrt(loading / (2.0 * 1.225)))
    printed(60.0 * climb, "110", source=HOUGHTON, what="climb of a helicopter [m/min]", relative=0.01)
