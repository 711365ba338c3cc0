"""Results of a book: which runs, conditions, designs and campaigns they rest on."""

from __future__ import annotations

import math

import pytest

import made_runs
from isothrust.errors import UsageError
from isothrust.records.air import Air, AirReading
from isothrust.records.book import Book, Campaign, Decision, Design, Run
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.workflows.compare import compare_designs
from isothrust.workflows.results import collect_results
from isothrust.workflows.selection import Selection

GF = 9.80665e-3
AIR = Air(AirReading(293.15, 0.3, "run"), AirReading(101325.0, 60.0, "run"), AirReading(0.5, 0.03, "run"))
ROWS = (
    ("r1", "Auk", "1", "ramp"),
    ("r2", "Auk", "1", "ramp"),
    ("r3", "Auk", "2", "holds"),
    ("r4", "Gull", "1", "ramp"),
    ("r5", "Gull", "2", "ramp"),
    ("r6", "Tern", "1", "ramp"),
    ("r7", "Gull", "2", "steps"),
)
SCALES = {"Auk": 1.00, "Gull": 0.93, "Tern": 1.10}


def rig(**others: object) -> Rig:
    plans = {name: ChannelPlan(name) for name in ("time", "speed", "thrust", "torque")}
    sound = {"sound": ChannelPlan("sound", file="sound")}
    return Rig("loft", "Loft", plans | sound, supply_voltage=24.0, **others)  # type: ignore[arg-type]


def book(*campaigns: str, decisions: tuple[Decision, ...] = (), diameter: float | None = 0.1778) -> Book:
    designs = {
        name: Design(name, diameter=diameter, blades=3 if name == "Tern" else 2) for name in ("Auk", "Gull", "Tern")
    }
    designs["Skua"] = Design("Skua", diameter=diameter, blades=2)
    made = {}
    for campaign in campaigns or ("spring",):
        runs = tuple(
            Run(name, campaign, design, sample, name, kind, {"log": f"{name}.csv"}, "2026-03-01", AIR)  # type: ignore[arg-type]
            for name, design, sample, kind in ROWS
        )
        made[campaign] = Campaign(campaign, rig(), None, runs)
    return Book("book", "Book", "", 1.225, (500 * GF,), (1000.0,), (0.1, 0.16, 0.186), designs, {}, {}, made, decisions)


def reduced(campaign: str = "spring", **others: object) -> list[ReducedRun]:
    runs = []
    for place, (name, design, sample, kind) in enumerate(ROWS):
        curves = made_runs.standard_curves(noise=0.0005, scale=SCALES[design] * (1 + 0.001 * (place % 2)))
        scale = made_runs.scale_influence("thrust", curves, 0.003)
        runs.append(
            made_runs.run(
                name,
                design=design,
                sample=sample,
                campaign=campaign,
                kind=kind,
                curves=curves,
                influences=(scale,),
                **others,
            )
        )
    return runs


def test_every_design_with_runs_gives_a_result_at_every_usual_condition() -> None:
    answer = collect_results(book(), reduced(), Selection())
    found = {
        (result.measurand, result.condition and result.condition.quantity, result.design) for result in answer.results
    }
    for design in ("Auk", "Gull", "Tern"):
        for measurand in ("speed", "shaft-efficiency", "electrical-efficiency", "throttle"):
            assert (measurand, "thrust", design) in found
        for measurand in ("thrust", "thrust-coefficient", "power-coefficient"):
            assert (measurand, "speed", design) in found
        assert ("shaft-power", "speed", design) in found
        assert ("shaft-power", "thrust", design) in found
        assert ("peak-thrust", None, design) in found
    assert "Skua" not in {result.design for result in answer.results}


def test_a_design_asked_for_by_name_gives_a_result_even_without_a_run() -> None:
    answer = collect_results(book(), reduced(), Selection(("thrust",), designs=("Skua",)))
    (result,) = answer.results
    assert result.value is None
    assert result.absent == "no run in campaign spring"


def test_conditions_named_replace_the_books_own() -> None:
    answer = collect_results(book(), reduced(), Selection(("shaft-power",), thrusts=(3.0, 6.0), designs=("Auk",)))
    assert [result.condition and result.condition.value for result in answer.results] == [3.0, 6.0]
    at_speed = collect_results(book(), reduced(), Selection(("shaft-power",), speeds=(900.0,), designs=("Auk",)))
    assert [result.condition and result.condition.quantity for result in at_speed.results] == ["speed"]


def test_the_usual_measurands_at_a_thrust_are_those_that_hold_at_one() -> None:
    answer = collect_results(book(), reduced(), Selection(thrusts=(5.0,), designs=("Auk",)))
    names = {result.measurand for result in answer.results}
    assert "shaft-efficiency" in names
    assert not names & {"thrust-coefficient", "peak-thrust"}


def test_a_measurand_that_holds_at_another_condition_is_refused_with_what_to_write() -> None:
    with pytest.raises(UsageError) as caught:
        collect_results(book(), reduced(), Selection(("thrust-coefficient",), thrusts=(5.0,)))
    assert caught.value.code == "wrong-condition"
    assert "--at speed=" in str(caught.value)


@pytest.mark.parametrize(
    ("selection", "code", "nearest"),
    [
        (Selection(("shaft-eficiency",)), "unknown-measurand", "shaft-efficiency"),
        (Selection(designs=("auk",)), "unknown-design", "Auk"),
        (Selection(campaigns=("sprng",)), "unknown-campaign", "spring"),
    ],
)
def test_an_unknown_name_is_told_with_the_nearest(selection: Selection, code: str, nearest: str) -> None:
    with pytest.raises(UsageError) as caught:
        collect_results(book(), reduced(), selection)
    problem = caught.value.problems[0]
    assert problem.code == code
    assert problem.expected is not None
    assert problem.expected.startswith(nearest)


def test_steps_do_not_count_for_curves() -> None:
    answer = collect_results(book(), reduced(), Selection(("thrust",), designs=("Gull",)))
    assert answer.results[0].runs == ("r4", "r5")


def test_per_sample_and_per_run_split_what_per_design_pools() -> None:
    asked = Selection(("thrust",), designs=("Auk",))
    (pooled,) = collect_results(book(), reduced(), asked).results
    by_sample = collect_results(book(), reduced(), Selection(("thrust",), designs=("Auk",), per="sample")).results
    by_run = collect_results(book(), reduced(), Selection(("thrust",), designs=("Auk",), per="run")).results
    assert pooled.sample is None
    assert [(result.sample, result.runs) for result in by_sample] == [("1", ("r1", "r2")), ("2", ("r3",))]
    assert [result.runs for result in by_run] == [("r1",), ("r2",), ("r3",)]
    values = [result.value for result in by_sample]
    assert all(value is not None for value in values)
    assert min(values) <= pooled.value <= max(values)  # type: ignore[type-var, operator]


def test_campaigns_are_never_pooled() -> None:
    runs = [*reduced("spring"), *reduced("autumn")]
    answer = collect_results(book("spring", "autumn"), runs, Selection(("thrust",), designs=("Auk",)))
    assert [result.campaign for result in answer.results] == ["spring", "autumn"]
    only = collect_results(book("spring", "autumn"), runs, Selection(("thrust",), campaigns=("autumn",)))
    assert {result.campaign for result in only.results} == {"autumn"}


def test_runs_left_out_by_a_decision_are_named() -> None:
    decisions = (Decision("r1", "spring", "leave-out", "nicked blade", "me", "2026-03-02"),)
    answer = collect_results(book(decisions=decisions), reduced(), Selection(("thrust",), designs=("Auk",)))
    assert answer.results[0].runs == ("r2", "r3")
    assert [(one.run, one.reason) for one in answer.set_aside] == [("r1", "left out by me: nicked blade")]


def test_runs_that_were_not_reduced_are_the_reason_where_nothing_else_is_left() -> None:
    runs = [run for run in reduced() if run.design != "Tern"]
    (result,) = collect_results(book(), runs, Selection(("thrust",), designs=("Tern",))).results
    assert result.absent == "run r6 not reduced"


def test_without_diameter_efficiency_stands_and_coefficients_do_not() -> None:
    selection = Selection(("shaft-efficiency", "thrust-coefficient"), designs=("Auk",))
    with_diameter = collect_results(book(), reduced(), selection).results
    without = collect_results(book(diameter=None), reduced(), selection).results
    assert without[0].value == pytest.approx(with_diameter[0].value, rel=1e-9)
    assert without[0].standard_uncertainty == pytest.approx(with_diameter[0].standard_uncertainty, rel=1e-9)
    assert without[1].value is None
    assert without[1].absent == "no diameter is stated for Auk"


def test_a_microphone_that_the_run_has_no_file_from_is_no_recording() -> None:
    (result,) = collect_results(book(), reduced(), Selection(("sound-level",), designs=("Auk",))).results
    assert result.absent == "the run has no recording from a microphone"


def test_a_comparison_stays_within_a_class_and_says_a_sentence() -> None:
    compared = compare_designs(book(), reduced(), Selection(("shaft-power",), thrusts=(500 * GF,)))
    two, three = compared.comparisons
    assert [rank.result.design for rank in two.ranks] == ["Auk", "Gull"]
    assert [rank.result.design for rank in three.ranks] == ["Tern"]
    assert two.sentences[0].startswith("Auk uses ")
    assert two.sentences[0].endswith(" % less shaft power than Gull at 500 gf.")
    # thrust curves 7 % apart and P at T roughly as k_T^-1.5: about 10 %
    assert two.pairs[0].relative == pytest.approx(-0.10, abs=0.02)


def test_the_common_thrust_scale_cancels_in_a_comparison() -> None:
    (comparison,) = compare_designs(
        book(), reduced(), Selection(("shaft-power",), thrusts=(500 * GF,), designs=("Auk", "Gull"))
    ).comparisons
    auk, gull = (rank.result for rank in comparison.ranks)
    scale = [next(line.contribution for line in result.budget if "scale" in line.key) for result in (auk, gull)]
    assert comparison.pairs[0].uncertainty < math.hypot(auk.standard_uncertainty or 0, gull.standard_uncertainty or 0)
    assert abs(scale[0] - scale[1]) < 0.15 * abs(scale[0])


def test_blade_counts_are_mixed_on_request_only() -> None:
    (comparison,) = compare_designs(
        book(), reduced(), Selection(("shaft-power",), thrusts=(500 * GF,)), across_blades=True
    ).comparisons
    assert comparison.mixed
    assert len(comparison.ranks) == 3
