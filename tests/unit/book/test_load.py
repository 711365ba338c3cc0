"""A book is read as it was written, by hand or by a spreadsheet; all that is wrong is told at once, with its place."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.errors import BookError, IsothrustError, ProblemsError, RigError
from isothrust.records.air import AirReading
from isothrust.records.book import Book, Run
from unit.book.books import FILES, write_book

RUNS = FILES["campaigns/spring/runs.csv"]


def run_of(book: Book, name: str = "r01") -> Run:
    return next(run for run in book.campaigns["spring"].runs if run.name == name)


def refused(root: Path) -> IsothrustError:
    with pytest.raises(IsothrustError) as caught:
        load_book(root)
    return caught.value


def codes(error: IsothrustError) -> list[str]:
    return [problem.code for problem in error.problems]


def test_tables_are_read_in_si(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path))
    auk = book.designs["Auk"]
    assert (auk.diameter, auk.pitch) == pytest.approx((0.1778, 0.1016))
    assert (auk.blades, auk.note, auk.maker) == (2, "grey, matt", "Inlet")
    assert auk.mass == pytest.approx(9.1e-3)
    assert auk.max_speed == pytest.approx(20000 * 2 * math.pi / 60)
    assert book.designs["Tern"].mass is None
    motor = book.motors["m1"]
    assert motor.kv == pytest.approx(1300 * 2 * math.pi / 60)
    assert (motor.resistance, motor.no_load_current, motor.pole_pairs, motor.rotor_inertia) == (0.06, 0.8, 7, None)
    assert book.campaigns["spring"].motor == motor
    assert (book.title, book.owner, book.findings) == ("Loft", "A. Tester", ())


def test_a_run_is_read_with_its_air_and_files(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path))
    run = run_of(book)
    assert (run.design, run.sample, run.mounting, run.kind, run.date, run.line) == (
        "Auk",
        "A1",
        "m1",
        "ramp",
        "2026-03-01",
        2,
    )
    assert run.files == {"log": "r01.csv"}
    assert run.air is not None
    assert run.air.temperature == AirReading(293.15, 0.3, "run")
    assert run.air.pressure == AirReading(pytest.approx(101325.0), pytest.approx(60.0), "run")
    assert run.air.humidity == AirReading(pytest.approx(0.5), pytest.approx(0.03), "run")
    second = run_of(book, "r02")
    assert second.files == {"log": "r02.csv", "vibration": "r02v.csv"}
    assert second.mounting == "r02"


def test_a_table_saved_by_a_spreadsheet_is_the_same_table(tmp_path: Path) -> None:
    plain = load_book(write_book(tmp_path / "plain"))
    saved = write_book(tmp_path / "saved")
    for name in ("propellers.csv", "motors.csv", "campaigns/spring/runs.csv"):
        rows = FILES[name].replace('"grey, matt"', "grey_ matt").splitlines()
        text = "\r\n".join(row.replace(",", ";").replace(".", ",").replace(",csv", ".csv") for row in rows) + "\r\n"
        (saved / name).write_bytes(b"\xef\xbb\xbf" + text.replace("grey_ matt", "grey, matt").encode())
    other = load_book(saved)
    assert other.designs == plain.designs
    assert other.motors == plain.motors
    assert other.campaigns["spring"].runs == plain.campaigns["spring"].runs


def test_air_comes_from_the_row_then_the_campaign_then_the_book(tmp_path: Path) -> None:
    runs = RUNS.replace(",20,1013.25,50,", ",20,,,")
    book = load_book(
        write_book(
            tmp_path,
            campaigns__spring__runs_dot_csv=runs,
            campaigns__spring__campaign_dot_toml='rig = "loft"\ntemperature = "9 degC"\n'
            'pressure = ["990 hPa", "2 hPa"]\n',
            book_dot_toml='[air]\ntemperature = ["15 degC", "8 K"]\npressure = ["1 bar", "20 hPa"]\n'
            'humidity = ["60 %", "20 %"]\n',
        )
    )
    air = run_of(book).air
    assert air is not None
    assert air.temperature == AirReading(pytest.approx(293.15), 0.3, "run")
    assert air.pressure == AirReading(pytest.approx(99000.0), pytest.approx(200.0), "campaign")
    assert air.humidity == AirReading(pytest.approx(0.6), pytest.approx(0.2), "book")


def test_a_run_whose_humidity_nobody_states_has_no_air_and_says_so(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=RUNS.replace("1013.25,50,", "1013.25,,")))
    assert run_of(book).air is None
    assert run_of(book, "r02").air is not None
    (finding,) = book.findings
    assert (finding.code, finding.severity, finding.count) == ("air-unknown", "warning", 1)
    assert "humidity of r01" in finding.message


def test_runs_without_any_air_are_one_warning_and_a_zero_run_needs_none(tmp_path: Path) -> None:
    bare = RUNS.replace(",20,1013.25,50,", ",,,,").replace(",21,1012,48,", ",,,,")
    lines = bare.strip().splitlines()
    zero = lines[1].replace("r01", "r00").replace("ramp", "zero")
    rows = "\n".join([lines[0], zero, *lines[1:]]) + "\n"
    book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=rows))
    (finding,) = book.findings
    assert (finding.code, finding.count) == ("air-unknown", 2)
    assert "temperature, pressure or humidity of r01, r02" in finding.message
    assert "r00" not in finding.message


def test_a_design_that_the_book_lacks_is_told_once_for_all_its_runs(tmp_path: Path) -> None:
    runs = RUNS.replace(",Auk,", ",Ter,").replace(",Tern,", ",Ter,")
    (problem,) = refused(write_book(tmp_path, campaigns__spring__runs_dot_csv=runs)).problems
    assert problem.what == 'there is no design "Ter" (2 rows: lines 2-3)'
    assert problem.expected == "Tern, Auk"


@pytest.mark.parametrize(
    ("propellers", "code"),
    [
        ("design,diameter [in]\nAuk,7\nTern,5,extra\n", "ragged-row"),
        ("name,diameter [in]\nAuk,7\n", "missing-column"),
        (None, "missing-file"),
        ("design,diameter [in]\nAuk,-7\nTern,5\n", "negative-value"),
    ],
)
def test_a_fault_of_the_propellers_is_told_once_and_not_by_every_run(
    tmp_path: Path, propellers: str | None, code: str
) -> None:
    assert codes(refused(write_book(tmp_path, propellers_dot_csv=propellers))) == [code]


def test_runs_are_looked_at_though_their_rig_is_wrong(tmp_path: Path) -> None:
    runs = RUNS.replace(",ramp,", ",,")
    rig = FILES["rigs/loft.toml"].replace('unit = "N"', 'unit = "NN"')
    error = refused(write_book(tmp_path, rigs__loft_dot_toml=rig, campaigns__spring__runs_dot_csv=runs))
    assert sorted(codes(error)) == ["missing-value", "unknown-unit"]


def test_the_campaign_wins_over_the_rig_and_a_difference_is_a_note(tmp_path: Path) -> None:
    book = load_book(
        write_book(
            tmp_path,
            campaigns__spring__campaign_dot_toml='rig = "loft"\nmotor = "m2"\nsupply_voltage = "16.8 V"\n'
            'note = "outdoors"\n',
        )
    )
    campaign = book.campaigns["spring"]
    assert (campaign.rig.motor, campaign.rig.supply_voltage, campaign.note) == ("m2", 16.8, "outdoors")
    assert campaign.motor is None
    assert [finding.code for finding in book.findings] == ["campaign-differs-from-rig"] * 2 + ["unknown-motor"]
    assert {finding.severity for finding in book.findings} == {"note"}


def test_settings_left_out_are_filled_in(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path))
    assert book.standard_density == 1.225
    assert book.comparison_thrusts == pytest.approx([0.25 * 9.80665, 0.5 * 9.80665, 9.80665])
    assert len(book.class_edges) == 14
    assert book.class_edges[0] == pytest.approx(1.75 * 0.0254)


def test_settings_are_read_with_their_units(tmp_path: Path) -> None:
    text = (
        'standard_density = "1.2 kg/m3"\ncomparison_thrusts = ["1 N"]\ncomparison_speeds = ["100 rev/s", "9000rpm"]\n'
        'class_edges = ["100 mm", "200 mm"]\nclass_edge = 1\n'
    )
    book = load_book(write_book(tmp_path, book_dot_toml=text))
    assert (book.standard_density, book.comparison_thrusts) == (1.2, (1.0,))
    assert book.comparison_speeds == pytest.approx([200 * math.pi, 300 * math.pi])
    assert book.class_edges == pytest.approx((0.1, 0.2))
    assert [finding.code for finding in book.findings] == ["unknown-key"]
    assert "class_edges" in book.findings[0].message


def test_extra_columns_are_kept_and_a_near_miss_is_a_warning(tmp_path: Path) -> None:
    runs = RUNS.replace("humidity [%],note", "humidty [%],weather").replace("50,\n", "50,fog\n")
    book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=runs))
    assert run_of(book).extra == {"humidty [%]": "50", "weather": "fog"}
    assert [finding.code for finding in book.findings] == ["unknown-column", "air-unknown"]


def test_a_folder_without_book_is_refused_with_what_to_type(tmp_path: Path) -> None:
    error = refused(tmp_path)
    assert isinstance(error, BookError)
    assert error.code == "no-book"
    assert "isothrust new DIR" in str(error)


def test_a_campaign_without_runs_is_a_note(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=None))
    assert book.campaigns["spring"].runs == ()
    assert [finding.code for finding in book.findings] == ["no-runs"]


def test_a_folder_of_a_campaign_without_tables_is_told_and_left_unread(tmp_path: Path) -> None:
    root = write_book(tmp_path)
    (root / "campaigns" / "autumn" / "raw").mkdir(parents=True)
    book = load_book(root)
    assert list(book.campaigns) == ["spring"]
    assert [(finding.code, finding.severity) for finding in book.findings] == [("unfinished-campaign", "warning")]
    assert "campaigns/autumn" in book.findings[0].message


def test_a_head_without_unit_names_file_column_and_fix(tmp_path: Path) -> None:
    error = refused(write_book(tmp_path, propellers_dot_csv="design,diameter,blades\nAuk,7,2\nTern,5,3\n"))
    assert codes(error) == ["missing-unit"]
    told = str(error)
    assert 'propellers.csv, line 2, column "diameter"' in told
    assert "diameter [" in told.split("fix:")[1]


def test_a_cell_may_carry_its_unit_itself(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path, propellers_dot_csv="design,diameter\nAuk,7 in\nTern,127 mm\n"))
    assert [design.diameter for design in book.designs.values()] == pytest.approx([0.1778, 0.127])


@pytest.mark.parametrize(
    ("table", "code", "place"),
    [
        ("design,diameter [in]\nAuk,-7\nTern,5\n", "negative-value", 'line 2, column "diameter [in]"'),
        ("design,diameter [in]\nAuk,0\nTern,5\n", "out-of-range", "line 2"),
        ("design,diameter [in]\nAuk,seven\nTern,5\n", "bad-number", "line 2"),
        ("design,blades\nAuk,1e400\nTern,3\n", "bad-number", "line 2"),
        ("design,blades\nAuk,2.5\nTern,3\n", "not-whole", 'line 2, column "blades"'),
        ("design,blades\nAuk,2\nTern,3\nauk,2\n", "duplicate-name", "line 4"),
        ("design,diameter [kg]\nAuk,7\nTern,5\n", "wrong-dimension", 'line 1, column "diameter [kg]"'),
        ("design,diameter [inchs]\nAuk,7\nTern,5\n", "unknown-unit", "line 1"),
        ("design,blades\nAuk,2\nTern,3\n,2\n", "missing-value", "line 4"),
        ("design,blades\nAuk,2\nTern,3\na/b,2\n", "bad-name", "line 4"),
        ("design,blades\nAuk,2\nTern,3,4,5\n", "ragged-row", "line 3"),
    ],
)
def test_what_is_wrong_with_a_design_is_told_with_its_place(tmp_path: Path, table: str, code: str, place: str) -> None:
    error = refused(write_book(tmp_path, propellers_dot_csv=table))
    assert code in codes(error)
    problem = next(problem for problem in error.problems if problem.code == code)
    assert "propellers.csv" in str(problem.where)
    assert str(tmp_path) not in str(problem.where)
    assert place in str(problem.where)
    assert problem.fix or code == "bad-name"


@pytest.mark.parametrize(
    ("old", "new", "code", "part"),
    [
        ("ramp", "rmap", "unknown-kind", "expected: ramp"),
        ("ramp", "", "missing-value", 'column "kind"'),
        (",Auk,", ",Awk,", "unknown-design", "expected: Auk, Tern"),
        (",Auk,", ",,", "missing-value", 'column "design"'),
        (",A1,", ",,", "missing-value", 'column "sample"'),
        ("r01.csv", "", "missing-value", 'column "log"'),
        ("r01.csv", "../r01.csv", "bad-path", "raw/"),
        ("r02,", "r01,", "duplicate-name", "line 2 already"),
        ("r02,", "R01,", "duplicate-name", "line 2 already"),
        ("r02,", "a:b,", "bad-name", "line 3"),
        ("2026-03-01,20,", "03/04/2026,20,", "ambiguous-date", "2026-04-03 or 2026-03-04"),
        ("2026-03-01,20,", "31/02/2026,20,", "bad-date", 'column "date"'),
        ("2026-03-01,20,", "yesterday,20,", "bad-date", "2026-03-01"),
        (",20,", ",293,", "out-of-range", "-60 to 60 degC"),
        (",1013.25,", ",760,", None, ""),
        (",1013.25,", ",29.9,", "out-of-range", "300 to 1100 hPa"),
        (",50,", ",101,", "out-of-range", "0 to 100 %"),
    ],
)
def test_what_is_wrong_with_a_run_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, code: str | None, part: str
) -> None:
    root = write_book(tmp_path, campaigns__spring__runs_dot_csv=RUNS.replace(old, new, 1))
    if code is None:
        load_book(root)
        return
    error = refused(root)
    assert codes(error) == [code]
    assert "campaigns/spring/runs.csv, line " in str(error)
    assert part in str(error)


def test_dates_that_can_be_one_day_only_are_read(tmp_path: Path) -> None:
    for text in ("2026-03-27", "27/03/2026", "27.3.2026", "3/27/2026", "2026/3/27"):
        book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=RUNS.replace("2026-03-01", text, 1)))
        assert run_of(book).date == "2026-03-27"


def test_everything_missing_is_listed_at_once_with_file_row_head_and_next_command(tmp_path: Path) -> None:
    text = (
        "run,design,sample,kind,log,pressure\n"
        "r01,,A1,,r01.csv,1013\n"
        "r02,Awk,,ramp,,1012\n"
        "r03,Auk,A1,spin,r03.csv,1011\n"
    )
    error = refused(
        write_book(
            tmp_path,
            campaigns__spring__runs_dot_csv=text,
            propellers_dot_csv="design,diameter [in]\nAuk,-7\n",
            campaigns__spring__campaign_dot_toml='rig = "loft"\ntemperature = 20\n',
        )
    )
    assert sorted(codes(error)) == sorted(
        [*["missing-value"] * 4, *["missing-unit"] * 2, "negative-value", "unknown-design", "unknown-kind"]
    )
    told = str(error)
    for place in (
        'line 2, column "design"',
        'line 2, column "kind"',
        'line 3, column "sample"',
        'line 3, column "log"',
    ):
        assert f"campaigns/spring/runs.csv, {place}" in told
    assert "then: isothrust check r02" in told


def test_all_problems_of_rigs_and_tables_are_told_together(tmp_path: Path) -> None:
    bad_rig = FILES["rigs/loft.toml"].replace('unit = "N"', 'unit = "Nn"')
    assert isinstance(refused(write_book(tmp_path, rigs__loft_dot_toml=bad_rig)), RigError)
    both = refused(write_book(tmp_path, rigs__loft_dot_toml=bad_rig, propellers_dot_csv="design,blades\nAuk,two\n"))
    assert isinstance(both, ProblemsError)
    assert {"unknown-unit", "bad-number"} <= set(codes(both))


def test_a_rig_that_no_campaign_uses_may_be_unfinished(tmp_path: Path) -> None:
    write_book(tmp_path, rigs__draft_dot_toml="layout = ")
    assert load_book(tmp_path).campaigns["spring"].rig.name == "loft"


@pytest.mark.parametrize(
    ("text", "code"),
    [("", "missing-key"), ('rig = "lotf"', "unknown-rig"), ("rig = 3", "wrong-type"), ("rig = ", "bad-toml")],
)
def test_a_campaign_that_names_no_rig_is_refused(tmp_path: Path, text: str, code: str) -> None:
    assert codes(refused(write_book(tmp_path, campaigns__spring__campaign_dot_toml=text))) == [code]


def test_a_book_without_propellers_is_refused(tmp_path: Path) -> None:
    assert "missing-file" in codes(refused(write_book(tmp_path, propellers_dot_csv=None)))


def test_two_columns_of_one_name_are_refused(tmp_path: Path) -> None:
    text = "design,diameter [in],Diameter [mm]\nAuk,7,178\nTern,5,127\n"
    error = refused(write_book(tmp_path, propellers_dot_csv=text))
    assert codes(error) == ["ambiguous-column"]


def test_samples_belong_to_designs_of_the_book(tmp_path: Path) -> None:
    book = load_book(write_book(tmp_path, samples_dot_csv="design,sample,mass [g]\nAuk,A1,9.2\nAuk,A2,9.0\n"))
    assert book.samples["Auk", "A1"].mass == pytest.approx(9.2e-3)
    assert book.findings == ()
    unlisted = load_book(write_book(tmp_path, samples_dot_csv="design,sample\nAuk,A2\n"))
    assert [finding.code for finding in unlisted.findings] == ["unknown-sample"]
    error = refused(write_book(tmp_path, samples_dot_csv="design,sample\nAwk,A1\nAuk,A1\nAuk,A1\n"))
    assert codes(error) == ["unknown-design", "duplicate-name"]


def test_a_zero_run_needs_no_propeller(tmp_path: Path) -> None:
    book = load_book(
        write_book(tmp_path, campaigns__spring__runs_dot_csv=RUNS.replace("r01,Auk,A1,m1,ramp", "r01,-,,,zero"))
    )
    assert (run_of(book).design, run_of(book).sample) == ("", "")


def test_decisions_are_read_in_order_and_bad_lines_named(tmp_path: Path) -> None:
    line = (
        '{"run": "r01", "campaign": "spring", "action": "leave-out", "because": "door opened", "who": "A", '
        '"when": "2026-03-02"}'
    )
    book = load_book(write_book(tmp_path, decisions_dot_jsonl=f"{line}\n\n{line.replace('r01', 'r77')}\n"))
    assert [decision.run for decision in book.decisions] == ["r01", "r77"]
    assert [finding.code for finding in book.findings] == ["unknown-run"]
    error = refused(write_book(tmp_path, decisions_dot_jsonl=line + "\n" + line[:50] + '\n{"run": "r01"}\n[]\n'))
    assert codes(error) == ["bad-decision"] * 3
    assert "decisions.jsonl, line 2" in str(error)


def test_a_row_that_looks_like_a_comment_is_a_warning(tmp_path: Path) -> None:
    runs = RUNS.replace("r02,", "#2,")
    book = load_book(write_book(tmp_path, campaigns__spring__runs_dot_csv=runs))
    assert [finding.code for finding in book.findings] == ["row-in-comment"]


def test_empty_cells_of_one_column_are_told_together(tmp_path: Path) -> None:
    rows = "".join(
        f"r{number:02d},Auk,{'A1' if number == 5 else ''},,ramp,r{number:02d}.csv\n" for number in range(1, 9)
    )
    text = f"run,design,sample,mounting,kind,log\n{rows}"
    (problem,) = refused(write_book(tmp_path, campaigns__spring__runs_dot_csv=text)).problems
    assert problem.what == '"sample" is empty in 7 rows: lines 2-5, 7-9'
    assert str(problem.where) == 'campaigns/spring/runs.csv, line 2, column "sample"'
    assert problem.fix == "write the sample's mark in each, then: isothrust check"
