"""Tables for people: nothing wider than asked, absent cells with their reason, flags in words."""

from __future__ import annotations

import pytest

from isothrust.present.comparison_table import comparison_remarks, comparison_table, comparison_title, lone_line
from isothrust.present.findings_table import findings_table, findings_verdict, gathered_notes
from isothrust.present.flags import FLAG_WORDS, flag_notes
from isothrust.present.plain import plain_text, table_lines
from isothrust.present.results_table import results_tables
from isothrust.present.table import Table
from isothrust.records.book import Design
from isothrust.records.finding import Finding
from isothrust.reduction.comparing import Grounds, compare_results
from made_results import result

MEASURANDS = ("speed", "torque", "shaft-power", "shaft-efficiency", "electrical-power", "figure-of-merit", "current")


def text_of(tables: list[Table], width: int = 80) -> str:
    return "\n\n".join(plain_text(table, width) for table in tables)


def test_columns_stand_under_their_heads() -> None:
    table = Table("Title", ("\nname", "power\n[W]"), (("Auk", "1.5"), ("Gull", "10.5")), frozenset({0}))
    assert plain_text(table, 80).split("\n") == [
        "Title",
        "",
        "      power",
        "name    [W]",
        "----  -----",
        "Auk     1.5",
        "Gull   10.5",
    ]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_results_fit_the_width(width: int) -> None:
    results = [
        result(design, 61.234, {"run a": 0.4}, measurand=measurand)
        for measurand in MEASURANDS
        for design in ("Auk", "a-design-with-a-long-name")
    ]
    text = text_of(results_tables(results, width), width)
    assert max(len(line) for line in text.split("\n")) <= width
    for measurand in MEASURANDS:
        assert measurand.split("-", maxsplit=1)[0] in text


def test_a_results_table_shows_value_half_width_and_unit() -> None:
    text = text_of(results_tables([result("Auk", 61.2345, {"run a": 0.4})], 80))
    assert "Campaign spring, at 500 gf" in text
    assert [line.split()[-1] for line in text.split("\n") if line.strip()][1:4] == ["shaft", "power", "[W]"]
    assert "61.2 ± 0.8" in text  # 1.96 x 0.4


def test_an_empty_cell_points_to_its_reason_below() -> None:
    text = text_of(results_tables([result("Auk", 60.0, {"run a": 0.4}), result("Gull", None)], 80))
    assert "– a" in text
    assert "a: the rig has no torque channel (Gull)" in text


def test_a_column_that_nobody_has_becomes_one_line() -> None:
    results = [
        result("Auk", 60.0, {"run a": 0.4}),
        result("Auk", None, measurand="torque"),
        result("Auk", None, measurand="figure-of-merit"),
    ]
    text = text_of(results_tables(results, 80))
    assert "No torque, figure of merit: the rig has no torque channel." in text
    assert "–" not in text


def test_reasons_that_differ_from_row_to_row_name_whom_they_concern() -> None:
    results = [result("Auk", None), result("Gull", None, absent="no torque on the day")]
    text = text_of(results_tables(results, 80))
    assert "No shaft power of Auk: the rig has no torque channel." in text
    assert "No shaft power of Gull: no torque on the day." in text


def test_flags_are_told_in_words_with_whom_they_concern() -> None:
    (note,) = flag_notes([("Auk", "speed", ("air-from-book",)), ("Gull", "speed", ())])
    assert note == f"air-from-book: {FLAG_WORDS['air-from-book']} (Auk)"
    (note,) = flag_notes([("Auk", "speed", ("air-from-book",)), ("Gull", "speed", ("air-from-book",))])
    assert note.endswith("(all)")
    (note,) = flag_notes([("Auk", "speed", ("scatters-more",)), ("Auk", "torque", ())])
    assert note.endswith("(Auk: speed)")
    (note,) = flag_notes([("Auk", "speed", ("air-of-the-day", "air-unknown"))])
    assert note.startswith("air-unknown: ")


def test_a_comparison_shows_places_differences_ties_and_who_is_missing() -> None:
    results = [
        result("Auk", 60.0, {"run a": 0.3}),
        result("Gull", 64.0, {"run g": 0.3}),
        result("Tern", 64.2, {"run t": 0.3}),
        result("Skua", None),
    ]
    designs = {one.design: Design(one.design, diameter=0.1778, blades=2) for one in results}
    (comparison,) = compare_results(results, Grounds(designs, (0.1, 0.2)))
    assert comparison_title(comparison) == "Shaft power at 500 gf, less is better"
    text = plain_text(comparison_table(comparison), 80)
    assert text.startswith("7 inch, 2 blades, campaign spring\n")
    rows = [line.split() for line in text.split("\n") if line.strip().startswith(("1 ", "2 ", "3 "))]
    assert [row[:2] for row in rows] == [["1", "Auk"], ["2", "Gull"], ["2", "Tern"]]
    assert "+6.7 ± 1.7" in text  # 4 of 60 W; 3.314/sqrt 2 x 0.3 sqrt 2 = 0.99 W of 60
    assert comparison_remarks(comparison) == ("not ranked: Skua: the rig has no torque channel",)


def test_a_design_alone_in_its_class_is_one_line_with_its_value() -> None:
    designs = {"Auk": Design("Auk", diameter=0.1778, blades=2)}
    (comparison,) = compare_results([result("Auk", 60.0, {"run a": 0.3})], Grounds(designs, (0.1, 0.2)))
    assert lone_line(comparison) == "alone in its class: Auk, 60.0 ± 0.6 W (7 inch, 2 blades, campaign spring)"


def test_an_obstruction_that_is_not_stated_is_said_between_diameters_and_not_under_every_table() -> None:
    flags = ("obstruction-not-stated", "air-from-book")
    results = [result("Auk", 60.0, {"run a": 0.3}, flags=flags), result("Gull", 64.0, {"run g": 0.3}, flags=flags)]
    assert "obstruction" not in text_of(results_tables(results, 80))
    assert "air-from-book" in text_of(results_tables(results, 80))
    for other, said in ((0.1778, False), (0.1524, True)):
        designs = {"Auk": Design("Auk", diameter=0.1778, blades=2), "Gull": Design("Gull", diameter=other, blades=2)}
        (comparison,) = compare_results(results, Grounds(designs, (0.1, 0.2)))
        assert any("obstruction" in note for note in comparison_remarks(comparison)) is said


def test_findings_come_with_the_gravest_first_and_what_was_done() -> None:
    findings = [
        Finding("zero-drift", "note", "the zero moved by 1 gf", "r1", "thrust"),
        Finding("spikes", "fail", "300 spikes", "r1", "torque", 1.0, 2.0, 300, "1 %", "left out"),
    ]
    lines = plain_text(findings_table("r1", findings), 60).split("\n")
    assert lines[0] == "r1"
    assert lines[1].startswith("fail  spikes (torque, 1.00 to 2.00 s)")
    assert "effect: 1 %" in lines[3]
    assert "done: left out" in lines[4]
    assert findings_verdict(findings) == "1 fail, 1 note"
    assert findings_verdict([]) == "nothing found"


def test_notes_that_many_runs_share_stand_once() -> None:
    notes = [(f"spring/r{k}", Finding("zero-drift", "note", f"moved by {k} gf", f"r{k}", "thrust")) for k in range(6)]
    notes.append(("spring/r9", Finding("clock-repeated", "note", "6 stamps", "r9", "time", 11.0, 11.001, 6)))
    assert plain_text(gathered_notes("Notes", notes), 80).split("\n") == [
        "Notes",
        "note  zero-drift of 6 runs: spring/r0, spring/r1, spring/r2, spring/r3 and 2",
        "      more; the first says:",
        "      moved by 0 gf",
        "note  clock-repeated (time, at 11.0 s) of spring/r9",
        "      6 stamps",
    ]


def test_what_hangs_over_goes_under_the_text_of_its_label() -> None:
    message = "the log is empty    [empty-log]\n  where:    r1.csv\n  fix:      record the run again and copy the file"
    table = findings_table("", [Finding("not-reduced", "fail", message, "r1")])
    lines = plain_text(table, 50).split("\n")
    assert lines[-2:] == ["        fix:      record the run again and copy", "                  the file"]


def test_a_mark_says_which_rows_are_first_and_never_stands_alone() -> None:
    table = Table("", ("place",), (("1",), ("2",)), marks=("first", "body"))
    assert [line.role for line in table_lines(table, 80)][-2:] == ["first", "body"]
