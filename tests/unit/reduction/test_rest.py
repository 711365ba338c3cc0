"""When the rotor stood still."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.records.recording import Channel
from isothrust.reduction.rest import rest_spells
from unit.reduction.channels import channel, clock, ramped

T = clock(16.0)
THROTTLE = ramped(T, 1.0)
STOP = 11.4  # the cut is at 10.3 s, the rotor needs a second or so
SPEED = np.where(T < 10.3, 1500.0 * THROTTLE, 1500.0 / (1.0 + np.maximum(T - 10.3, 0.0) / 0.17))
SPEED[STOP <= T] = 0.0
CURRENT = 40.0 * THROTTLE**2


def given(*, without: str = "") -> dict[str, Channel]:
    made = {"speed": SPEED, "throttle": THROTTLE, "current": CURRENT, "thrust": 20.0 * (SPEED / 1500.0) ** 2}
    return {name: channel(name, T, values) for name, values in made.items() if name not in without.split()}


def test_rests_before_and_after_are_found_and_the_end_waits_for_the_rotor_not_for_the_throttle() -> None:
    before, after = rest_spells(given())
    assert before == pytest.approx((0.0, 1.97), abs=0.03)  # the command passes half a per cent at 2.04 s
    assert after[0] == pytest.approx(STOP + 0.3, abs=0.005)
    assert after[1] == pytest.approx(T[-1] - 0.05)


def test_without_a_tachometer_the_throttle_says_so_and_a_longer_wait_makes_up_for_the_coast() -> None:
    before, after = rest_spells(given(without="speed"))
    assert before == pytest.approx((0.0, 1.95), abs=0.06)
    assert after[0] == pytest.approx(10.3 + 1.5, abs=0.01)
    assert after[0] > STOP


def test_without_throttle_the_tachometer_alone_will_do() -> None:
    before, after = rest_spells(given(without="throttle"))
    assert before[1] < 2.2
    assert after[0] == pytest.approx(STOP + 0.3, abs=0.005)


def test_without_either_the_calm_ends_of_the_load_serve() -> None:
    spells = rest_spells(given(without="speed throttle current"))
    assert len(spells) == 2
    assert spells[0][0] == 0.0
    assert spells[0][1] < 4.0  # a square law hardly lifts off at first
    assert 10.3 + 1.4 < spells[1][0] < 13.5


def test_without_either_a_current_of_next_to_nothing_says_that_the_motor_is_off() -> None:
    (before_start, before_end), (after_start, after_end) = rest_spells(given(without="speed throttle"))
    assert before_start == 0.0
    assert 1.9 < before_end < 2.9  # the square of a command that rises by an eighth a second passes half a per cent
    assert after_start == pytest.approx(10.3 + 1.5, abs=0.05)
    assert after_end == pytest.approx(T[-1] - 0.05)


@pytest.mark.parametrize(("offset", "noise"), [(0.6, 0.0), (0.0, 0.5)])
def test_a_motor_that_may_idle_or_a_current_lost_in_noise_says_nothing_and_the_load_serves(
    offset: float, noise: float
) -> None:
    drawn = CURRENT + offset + noise * np.random.default_rng(3).standard_normal(T.size)
    blind = {**given(without="speed throttle"), "current": channel("current", T, drawn)}
    assert rest_spells(blind) == rest_spells(given(without="speed throttle current"))


def test_a_tachometer_that_reads_nothing_while_current_flows_is_no_rest() -> None:
    blind = np.where((T > 6.0) & (T < 8.0), 0.0, SPEED)
    assert len(rest_spells({**given(without="throttle"), "speed": channel("speed", T, blind)})) == 2


def test_a_throttle_that_is_up_is_no_rest_even_where_the_rotor_stalls() -> None:
    stalled = {
        "speed": channel("speed", T, np.where(T < 9.0, 0.0, 500.0)),
        "throttle": channel("throttle", T, THROTTLE),
    }
    assert all(end <= 2.0 for _, end in rest_spells(stalled))


@pytest.mark.parametrize(("start", "end"), [(0.0, 11.0), (3.0, 11.0), (3.0, 16.0)])
def test_a_log_without_rest_at_an_end_has_no_spell_there(start: float, end: float) -> None:
    keep = (start <= T) & (end > T)
    cut = {name: channel(name, T[keep], c.values[keep]) for name, c in given().items()}
    spells = rest_spells(cut)
    assert len(spells) == (start == 0.0) + (end == 16.0)


def test_a_moment_of_rest_is_too_short_to_read_a_zero_from() -> None:
    keep = T >= 1.9
    late = {name: channel(name, T[keep], c.values[keep]) for name, c in given().items()}
    assert len(rest_spells(late)) == 1


def test_a_log_of_current_alone_has_no_rest_to_find() -> None:
    assert rest_spells({"current": channel("current", T, CURRENT)}) == []
