"""Matches from hand-made runs: what binds, which KV, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import UsageError
from isothrust.records.prediction import Match
from isothrust.workflows.match import MatchAsked, match_designs
from support.match_books import BARE, GF, KV, book, runs

ASKED = MatchAsked(("Auk",), "m1", voltage=13.0)


def matched(asked: MatchAsked = ASKED) -> Match:
    (match,) = match_designs(book(), runs(), asked)
    return match


def test_light_propeller_is_speed_bound_with_torque_in_hand() -> None:
    match = matched()
    assert match.bound == "speed"
    margin = match.figure("torque-in-hand").value
    assert margin is not None
    assert margin > 0.0
    assert match.sentences[0].startswith("Auk on m1 is speed-bound with ")
    assert "of torque in hand" in match.sentences[0]


def test_tight_limit_makes_it_torque_bound_and_says_what_is_missing() -> None:
    match = matched(replace(ASKED, current_limit=6.0))
    assert match.bound == "torque"
    assert "is not there" in match.sentences[0]
    assert (match.figure("torque-in-hand").value or 0.0) < 0.0


def test_voltage_moves_thrust_more_than_resistance_does() -> None:
    slopes = matched().sensitivities
    assert 1.0 < slopes["voltage"] < 2.5
    assert 0.7 < slopes["kv"] < slopes["voltage"]
    assert -0.5 < slopes["resistance"] < 0.0
    assert slopes["current-limit"] == pytest.approx(0.0, abs=1e-6), "the limit of heat is far away"


def test_without_any_limit_thrust_rises_with_kv_and_no_best_is_named() -> None:
    match = matched(replace(ASKED, motor="m2"))
    assert match.sweep is not None
    assert np.all(np.diff(match.sweep.thrust) > 0.0)
    figure = match.figure("strongest-kv")
    assert figure.value is None
    assert "thrust rises with KV" in (figure.absent or "")
    assert any(sentence.startswith("No KV is the strongest") for sentence in match.sentences)


def test_with_a_limit_the_best_kv_meets_it_at_full_throttle() -> None:
    match = matched(replace(ASKED, current_limit=12.0))
    best = match.figure("strongest-kv")
    assert best.value is not None
    assert best.interval is not None
    assert best.interval[0] < best.value < best.interval[1]
    assert match.sweep is not None
    assert match.sweep.kv[np.argmax(match.sweep.thrust)] == pytest.approx(best.value, rel=0.03)


def test_most_efficient_kv_reaches_the_hover_thrust_and_no_more() -> None:
    match = matched(replace(ASKED, hover=700 * GF))
    bare, reserve = match.figure("efficient-kv").value, match.figure("efficient-kv-with-reserve").value
    assert bare is not None
    assert reserve is not None
    assert bare < reserve < 1.5 * KV
    assert "--hover" in (matched().figure("efficient-kv").absent or "")


def test_sweep_without_limits_is_nowhere_below_the_one_with_them() -> None:
    sweep = matched(replace(ASKED, current_limit=12.0)).sweep
    assert sweep is not None
    assert np.all(sweep.unlimited >= sweep.thrust * (1.0 - 1e-9))
    assert np.all(sweep.uncertainty > 0.0)


def test_design_without_torque_has_no_match_and_the_reason() -> None:
    match = matched(replace(ASKED, designs=("Tern",)))
    assert match.absent == "the rig has no torque channel"
    assert match.bound is None


def test_campaigns_own_motor_and_voltage_are_the_usual_ones() -> None:
    match = matched(MatchAsked(("Auk",)))
    assert match.motor.name == "m1"
    assert match.power.voltage == 15.0


@pytest.mark.parametrize(
    ("asked", "code"),
    [(replace(ASKED, motor="m3"), "unknown-motor"), (replace(ASKED, motor=BARE.name), "motor-unknown-constants")],
)
def test_motor_that_says_too_little_is_refused(asked: MatchAsked, code: str) -> None:
    with pytest.raises(UsageError) as caught:
        match_designs(book(), runs(), asked)
    assert caught.value.code == code


def test_campaign_that_says_neither_motor_nor_voltage_is_told_what_to_add() -> None:
    whole = book()
    campaign = whole.campaigns["spring"]
    silent = replace(campaign, motor=None, rig=replace(campaign.rig, motor=None, supply_voltage=None))
    without = replace(whole, campaigns={"spring": silent})
    for asked, code in ((MatchAsked(("Auk",)), "motor-needed"), (MatchAsked(("Auk",), "m1"), "voltage-needed")):
        with pytest.raises(UsageError) as caught:
            match_designs(without, runs(), asked)
        assert caught.value.code == code
        assert caught.value.problems[0].fix is not None
