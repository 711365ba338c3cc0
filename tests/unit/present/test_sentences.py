"""What a comparison says in words."""

from __future__ import annotations

from isothrust.present.sentences import comparison_sentences
from isothrust.records.book import Design
from isothrust.records.result import Condition, Result
from isothrust.reduction.comparing import Grounds, compare_results
from made_results import result


def said(*results: Result) -> tuple[str, ...]:
    designs = {one.design: Design(one.design, diameter=0.1778, blades=2) for one in results}
    (comparison,) = compare_results(results, Grounds(designs, (0.1, 0.2)))
    return comparison_sentences(comparison)


def power(design: str, value: float, u: float = 0.3) -> Result:
    return result(design, value, {f"run {design}": u})


def test_one_winner_two_tied_behind() -> None:
    first, last = said(power("Auk", 60.0), power("Gull", 64.0), power("Tern", 70.0), power("Skua", 70.2))
    # differences of known variance: q(0.95; 4, inf) = 3.633, half-width 3.633/sqrt 2 * 0.3 sqrt 2 = 1.09 W of 64 W
    assert first == "Auk uses 6.2 ± 1.7 % less shaft power than Gull at 500 gf; Tern and Skua are tied."
    assert last == "Auk uses 14.5 ± 1.6 % less shaft power than Skua, the last."


def test_two_designs_need_one_sentence() -> None:
    assert said(power("Auk", 60.0), power("Gull", 64.0)) == (
        "Auk uses 6.2 ± 1.3 % less shaft power than Gull at 500 gf.",
    )


def test_tied_leaders_are_named_together() -> None:
    (sentence,) = said(power("Auk", 60.0), power("Gull", 60.2), power("Tern", 70.0))
    assert sentence.startswith("Auk and Gull are tied for the least shaft power at 500 gf; Auk uses 14.3 ± ")
    assert sentence.endswith(" % less shaft power than Tern.")


def test_all_tied_is_said_plainly() -> None:
    assert said(power("Auk", 60.0, 2.0), power("Gull", 60.2, 2.0)) == (
        "Auk and Gull are tied on shaft power at 500 gf: no difference is larger than its uncertainty.",
    )


def test_a_first_that_nobody_can_be_told_from_does_not_hide_what_differs() -> None:
    (sentence,) = said(power("Auk", 60.0, 8.0), power("Gull", 61.0), power("Tern", 64.0))
    # q(0.95; 3, inf) = 3.314: 3.314/sqrt 2 * 0.3 sqrt 2 = 0.99 W of 64 W
    assert sentence == (
        "Auk is not sure enough to be told from any other at 500 gf; Gull uses 4.7 ± 1.6 % less shaft power than Tern."
    )


def test_nobody_is_compared_with_nobody() -> None:
    assert said(power("Auk", 60.0)) == ("Auk alone has this figure at 500 gf: there is nothing to compare it with.",)
    assert said(result("Auk", None)) == ()


def test_more_is_better_and_the_verb_follows_the_measurand() -> None:
    one = result("Auk", 0.07, {"run a": 1e-4}, measurand="electrical-efficiency")
    two = result("Gull", 0.06, {"run g": 1e-4}, measurand="electrical-efficiency")
    assert said(one, two)[0].startswith("Auk gives 16.7 ± ")
    assert said(one, two)[0].endswith(" % more thrust per electrical watt than Gull at 500 gf.")


def test_measurands_without_a_verb_are_higher_or_lower() -> None:
    at = Condition("speed", 1466.0766)
    one = result("Auk", 0.70, {"run a": 1e-3}, measurand="figure-of-merit", condition=at)
    two = result("Gull", 0.60, {"run g": 1e-3}, measurand="figure-of-merit", condition=at)
    (sentence,) = said(one, two)
    assert sentence.startswith("Auk's figure of merit is 16.7 ± ")
    assert sentence.endswith(" % higher than Gull's at 14000 rpm.")


def test_peaks_hold_at_no_condition() -> None:
    one = result("Auk", 17.0, {"run a": 0.01}, measurand="peak-thrust", condition=None)
    two = result("Gull", 15.0, {"run g": 0.01}, measurand="peak-thrust", condition=None)
    assert said(one, two)[0].endswith("% more peak thrust than Gull.")


def test_ties_that_overlap_are_both_said() -> None:
    # Auk ties with Gull and Gull with Tern, but Auk differs from Tern: 3 x 0.5 W against a half-width of 1.17 W
    (sentence,) = said(power("Auk", 60.0, 0.35), power("Gull", 60.9, 0.35), power("Tern", 61.8, 0.35))
    assert "Auk and Gull are tied for the least shaft power" in sentence
    assert "Gull and Tern are tied" in sentence


def test_of_many_designs_only_the_first_and_the_last_are_said() -> None:
    # q(0.95; 20, inf) = 5.01: 5.01 * 0.3 = 1.50 W, so that the fourth, 1.5 W from the first, is still tied with it
    names = [f"P{number:02d}" for number in range(20)]
    first, last = said(*(power(name, 60.0 + 0.5 * number) for number, name in enumerate(names)))
    assert first.startswith("P00, P01, P02 and P03 are tied for the least shaft power at 500 gf; P00 uses ")
    assert first.count("tied") == 1
    assert last.endswith(" % less shaft power than P19, the last.")
