"""A balance in words, as a table, and as a plain object."""

from __future__ import annotations

import math

from isothrust.present.objects import Object, plain_number
from isothrust.present.rounding import with_digits
from isothrust.present.table import Table
from isothrust.records.balance import Balance, UnbalancePart

__all__ = ["balance_object", "balance_sentences", "balance_table"]

_GRAM_MILLIMETRE = 1e-6
_RPM = math.pi / 30.0


def balance_sentences(balance: Balance) -> tuple[str, ...]:
    """Return what to do, and how well the rotor is balanced as it stands."""
    angle, u = math.degrees(balance.correction.angle), math.degrees(balance.correction.u_angle)
    where = f"{1e3 * balance.radius:.3g} mm from the axis, {angle:.0f} deg ({u:.1g} deg) {_from(balance)}"
    mass = f"{1e3 * balance.mass:.3g} g (standard uncertainty {1e3 * balance.u_mass:.2g} g)"
    name = f"{balance.design}, sample {balance.sample}"
    said = [f"{name}: add {mass} at {where}, counted in the direction of rotation."]
    if balance.grade is not None and balance.rotor_mass is not None:
        rpm = balance.service_speed / _RPM
        said.append(
            f"As it stands its {with_digits(balance.correction.size / _GRAM_MILLIMETRE)} g mm on "
            f"{1e3 * balance.rotor_mass:.3g} g make {balance.grade:.2g} mm/s at {rpm:.0f} rpm: "
            f"grade {balance.grade_name} of ISO 21940-11."
        )
    if balance.hub is not None and balance.blade is not None:
        hub, blade = balance.hub.size / _GRAM_MILLIMETRE, balance.blade.size / _GRAM_MILLIMETRE
        more = "the propeller" if blade > hub else "hub and motor"
        said.append(f"Hub and motor have {hub:.2g} g mm of it, the propeller {blade:.2g} g mm: more is {more}'s.")
    return tuple(said)


def _from(balance: Balance) -> str:
    return "from the mark" if balance.marked else "from where the trial's angle is counted"


def balance_table(balance: Balance) -> Table:
    """Return the unbalances behind it, with their uncertainties."""
    rows = [("correction", *_cells(balance.correction))]
    if balance.hub is not None:
        rows.append(("of hub and motor", *_cells(balance.hub)))
    if balance.blade is not None:
        rows.append(("of the propeller", *_cells(balance.blade)))
    runs = f"{balance.initial} without, {', '.join(balance.trials)} with a trial mass"
    change = f"the trial changed the vector by {100.0 * balance.change:.0f} %"
    speeds = f"speeds from {balance.low / _RPM:.0f} to {balance.high / _RPM:.0f} rpm"
    notes = (
        f"campaign {balance.campaign}, mounting {balance.mounting}: {runs}; {change}; {speeds}",
        *balance.notes,
    )
    return Table("", ("", "unbalance\n[g mm]", "u\n[g mm]", "angle\n[deg]", "u\n[deg]"), tuple(rows), notes=notes)


def _cells(part: UnbalancePart) -> tuple[str, str, str, str]:
    size, u = part.size / _GRAM_MILLIMETRE, part.u_size / _GRAM_MILLIMETRE
    return f"{size:.3g}", f"{u:.2g}", f"{math.degrees(part.angle):.1f}", f"{math.degrees(part.u_angle):.2g}"


def balance_object(balance: Balance) -> Object:
    """Return a balance as the object that `balance --json` prints: masses in g, unbalances in g mm, angles in deg."""
    return {
        "design": balance.design,
        "sample": balance.sample,
        "campaign": balance.campaign,
        "mounting": balance.mounting,
        "run_without_trial": balance.initial,
        "runs_with_trial": list(balance.trials),
        "marked": balance.marked,
        "correction_mass": plain_number(1e3 * balance.mass),
        "standard_uncertainty_of_mass": plain_number(1e3 * balance.u_mass),
        "radius": plain_number(1e3 * balance.radius),
        "correction": _part(balance.correction),
        "change": plain_number(balance.change),
        "speed": [plain_number(balance.low / _RPM), plain_number(balance.high / _RPM)],
        "service_speed": plain_number(balance.service_speed / _RPM),
        "rotor_mass": None if balance.rotor_mass is None else plain_number(1e3 * balance.rotor_mass),
        "grade": plain_number(balance.grade),
        "grade_name": balance.grade_name,
        "hub_and_motor": None if balance.hub is None else _part(balance.hub),
        "propeller": None if balance.blade is None else _part(balance.blade),
        "notes": list(balance.notes),
        "units": "g, mm, g mm, deg, rpm, mm/s",
    }


def _part(part: UnbalancePart) -> Object:
    return {
        "unbalance": plain_number(part.size / _GRAM_MILLIMETRE),
        "standard_uncertainty": plain_number(part.u_size / _GRAM_MILLIMETRE),
        "angle": plain_number(math.degrees(part.angle)),
        "standard_uncertainty_of_angle": plain_number(math.degrees(part.u_angle)),
    }
