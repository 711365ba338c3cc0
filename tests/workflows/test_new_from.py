"""A book from a folder of unknown logs, end to end: what is told is read, what is not is left open, and it reduces."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from isothrust.book.load import load_book
from isothrust.cli.new import command
from isothrust.errors import IsothrustError
from isothrust.virtual import (
    COMMA,
    COUNTER,
    MICRO,
    MIDNIGHT,
    SEMICOLON,
    TAB,
    Dialect,
    RunPlan,
    Setup,
    VirtualRun,
    make_propeller,
    ramp,
    simulate,
)
from isothrust.workflows.fromfolder import FolderBook, create_from_folder
from isothrust.workflows.reduce import reduce_book
from support.drafted import fill_rig, open_keys
from support.small_books import tree

INCH = 0.0254
NAMES = "{design}_{sample}_{n}"
DIALECTS = (COMMA, SEMICOLON, TAB, COUNTER, MIDNIGHT, MICRO)


@pytest.fixture(scope="module")
def runs() -> list[VirtualRun]:
    auk = make_propeller("auk", diameter=7 * INCH, pitch=4 * INCH, blades=3, ct=0.13, cp=0.055)
    plans = [RunPlan(f"r{k}", auk, schedule=ramp(rise=6.0)) for k in range(2)]
    return simulate(plans, 5)


def bench(folder: Path, runs: list[VirtualRun], dialect: Dialect) -> Path:
    folder.mkdir()
    for number, run in enumerate(runs, 1):
        (folder / f"auk 7x4x3_A1_{number}{dialect.suffix}").write_bytes(run.log_bytes(dialect))
    return folder


def with_air(book: Path) -> None:
    path = next((book / "campaigns").iterdir()) / "campaign.toml"
    air = 'temperature = "20 degC"\npressure = "1005 hPa"\nhumidity = "45 %"\n'
    path.write_text(path.read_text(encoding="utf-8") + air, encoding="utf-8")


@pytest.mark.parametrize("dialect", DIALECTS, ids=[dialect.name for dialect in DIALECTS])
def test_logs_of_every_dialect_are_reduced_once_the_open_keys_are_filled(
    dialect: Dialect, runs: list[VirtualRun], tmp_path: Path
) -> None:
    folder, book = bench(tmp_path / "shed", runs, dialect), tmp_path / "book"
    before = tree(folder)
    made = create_from_folder(book, folder, names=NAMES)
    assert tree(folder) == before
    (layout,) = made.layouts
    rig = book / "rigs" / f"{layout.rig}.toml"
    text = rig.read_text(encoding="utf-8")
    gaps = {f"{each.gap.section.removeprefix('channels.')}.{each.gap.key}" for each in layout.rig_to_fill}
    assert gaps <= open_keys(text)
    for each in layout.rig_to_fill:  # the line that is named is the one with the open key
        assert f"{each.gap.key} = " in text.splitlines()[each.gap.line - 1]
    if gaps:
        with pytest.raises(IsothrustError) as caught:
            load_book(book)
        codes = {problem.code for problem in caught.value.problems}
        # A force whose arm is open is no torque yet, and the reader says so.
        assert codes <= {"missing-unit", "missing-key", "wrong-dimension"}
    added = set(fill_rig(rig, dialect, Setup(), tmp_path / "true.toml"))
    # Whatever had to be added was told as open, or stands among the columns that could not be told.
    untold = {f"{name}." for name in ("thrust", "torque")} if not dialect.heads else set()
    untold |= {"torque.sign", "throttle.range", "speed.pole_pairs"}
    assert {key for key in added - gaps if not any(key.startswith(each) for each in untold)} == set()
    with_air(book)
    outcome = reduce_book(book)
    assert outcome.failed == ()
    assert len(outcome.stored) == 2
    for stored in outcome.stored.values():
        assert {"thrust", "torque"} <= set(stored.reduced.curves)


def test_heads_that_tell_everything_leave_nothing_but_the_air_to_fill(runs: list[VirtualRun], tmp_path: Path) -> None:
    made = create_from_folder(tmp_path / "book", bench(tmp_path / "loft", runs, SEMICOLON), names=NAMES)
    (layout,) = made.layouts
    assert (layout.rig_to_fill, layout.cells_to_fill, made.designs_to_fill) == ((), (), ())
    book = load_book(tmp_path / "book")
    design = book.designs["auk 7x4x3"]
    assert (design.diameter, design.blades) == (pytest.approx(7 * INCH), 3)
    assert design.pitch == pytest.approx(4 * INCH)
    rows = book.campaigns["loft"].runs
    assert [(run.design, run.sample, run.kind) for run in rows] == [("auk 7x4x3", "A1", "ramp")] * 2
    assert [run.mounting for run in rows] == ["1", "2"]
    assert all("kind proposed" in run.note for run in rows)
    assert reduce_book(tmp_path / "book").failed == ()


def test_the_same_folder_gives_the_same_book(runs: list[VirtualRun], tmp_path: Path) -> None:
    folder = bench(tmp_path / "loft", runs, COMMA)
    for name in ("a/book", "b/book"):
        create_from_folder(tmp_path / name, folder, names=NAMES)
    assert tree(tmp_path / "a" / "book") == tree(tmp_path / "b" / "book")


def test_recordings_lie_in_the_book_as_they_came_with_their_hashes(runs: list[VirtualRun], tmp_path: Path) -> None:
    folder = bench(tmp_path / "loft", runs, COMMA)
    made = create_from_folder(tmp_path / "book", folder)
    campaign = tmp_path / "book" / "campaigns" / "loft"
    assert tree(campaign / "raw") == tree(folder)
    assert len((campaign / "raw.sha256").read_text(encoding="utf-8").splitlines()) == made.copied == 2
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]


def test_no_unit_is_written_that_the_log_does_not_tell(runs: list[VirtualRun], tmp_path: Path) -> None:
    create_from_folder(tmp_path / "book", bench(tmp_path / "shed", runs, MIDNIGHT))
    text = (tmp_path / "book" / "rigs" / "shed.toml").read_text(encoding="utf-8")
    channels = tomllib.loads(text)["channels"]
    assert set(channels) == {"time", "throttle", "speed", "thrust", "torque", "voltage", "current"}
    assert not [name for name, keys in channels.items() if "unit" in keys]
    assert '# unit = "V"' in text


LAYOUT = "time [s],thrust [N],rpm,throttle [%]\n"
ROWS = "".join(f"{k / 10},{k * k / 900:.3f},{k * 80},{k}\n" for k in range(100))
OTHER = "t_ms;Schub N\n" + "".join(f"{k};{k / 7:.2f}\n" for k in range(50))


@pytest.fixture
def mixed(tmp_path: Path) -> Path:
    folder = tmp_path / "mixed"
    folder.mkdir()
    for name in ("gull_A_1", "gull_A_2", "tern 5143_B_1"):
        (folder / f"{name}.csv").write_text(LAYOUT + ROWS, encoding="utf-8")
    (folder / "other.txt").write_text(OTHER, encoding="utf-8")
    (folder / "stand.jpg").write_bytes(b"\xff\xd8\xff")
    (folder / "flight.dat").write_bytes(bytes(range(256)) * 40)
    (folder / "weights.txt").write_text("".join(f"{k}\n" for k in range(50)), encoding="utf-8")
    (folder / "one.csv").write_text(LAYOUT + "0,0,0,0\n", encoding="utf-8")
    (folder / "tea.txt").write_text("Went for tea.\nNothing was recorded.\n", encoding="utf-8")
    (folder / "empty.csv").write_text("", encoding="utf-8")
    return folder


def test_each_layout_gets_a_rig_and_a_campaign_and_what_is_no_log_is_named(mixed: Path, tmp_path: Path) -> None:
    made = create_from_folder(tmp_path / "book", mixed, names=NAMES)
    assert [(layout.rig, layout.campaign, len(layout.runs)) for layout in made.layouts] == [
        ("mixed", "mixed", 3),
        ("mixed-2", "mixed-2", 1),
    ]
    assert {each.name: bool(each.reason) for each in made.left_out} == dict.fromkeys(
        ("stand.jpg", "flight.dat", "weights.txt", "one.csv", "tea.txt", "empty.csv"), True
    )
    codes = {finding.code: finding for finding in made.findings}
    assert {"name-not-matched", "several-layouts", "size-from-name", "kind-proposed"} <= set(codes)
    assert "other.txt" in codes["name-not-matched"].message
    heads = [(cell.head, cell.run) for layout in made.layouts for cell in layout.cells_to_fill]
    assert heads == [("design", "other"), ("sample", "other"), ("kind", "other")]
    assert {(cell.head, cell.run) for cell in made.designs_to_fill} == {
        ("diameter", "gull"),
        ("pitch", "gull"),
        ("blades", "gull"),
        ("blades", "tern 5143"),
    }


def test_vibration_and_sound_go_with_the_log_of_their_run(tmp_path: Path) -> None:
    folder = tmp_path / "loft"
    folder.mkdir()
    (folder / "r1.csv").write_text(LAYOUT + ROWS, encoding="utf-8")
    axes = "".join(f"{k / 100},{k % 7},{k % 5},{k % 3}\n" for k in range(200))
    (folder / "r1_vib.csv").write_text("time [s],ax [m/s2],ay [m/s2],az [m/s2]\n" + axes, encoding="utf-8")
    (folder / "r1.wav").write_bytes(b"RIFF....WAVE")
    (folder / "lonely.wav").write_bytes(b"RIFF....WAVE")
    made = create_from_folder(tmp_path / "book", folder)
    (layout,) = made.layouts
    assert layout.runs == ("r1",)
    text = (tmp_path / "book" / "rigs" / "loft.toml").read_text(encoding="utf-8")
    channels = tomllib.loads(text)["channels"]
    assert channels["acceleration"] == {
        "file": "vibration",
        "columns": ["ax [m/s2]", "ay [m/s2]", "az [m/s2]"],
        "unit": "m/s2",
    }
    assert channels["sound"] == {"file": "sound"}
    row = (tmp_path / "book" / "campaigns" / "loft" / "runs.csv").read_text(encoding="utf-8").splitlines()[1]
    assert "r1.csv,r1_vib.csv,r1.wav" in row
    assert [each.name for each in made.left_out] == ["lonely.wav"]


def test_air_of_a_day_is_handed_on_to_its_later_runs_and_marked(tmp_path: Path) -> None:
    folder = tmp_path / "loft"
    folder.mkdir()
    above = "# temperature: 21.5 degC\n# pressure: 100.9 kPa\n# humidity: 40 %\n"
    (folder / "2026-03-01 a.csv").write_text(above + LAYOUT + ROWS, encoding="utf-8")
    (folder / "2026-03-01 b.csv").write_text(LAYOUT + ROWS, encoding="utf-8")
    (folder / "2026-03-02 c.csv").write_text(LAYOUT + ROWS, encoding="utf-8")
    made = create_from_folder(tmp_path / "book", folder)
    lines = (tmp_path / "book" / "campaigns" / "loft" / "runs.csv").read_text(encoding="utf-8").splitlines()
    cells = [line.split(",") for line in lines]
    assert [row[9:12] for row in cells[1:]] == [["21.5", "1009", "40"], ["21.5", "1009", "40"], ["", "", ""]]
    assert "air of run 2026-03-01 a, the previous of that day" in lines[2]
    assert "air of run" not in lines[1] + lines[3]
    assert "air-carried" in {finding.code for finding in made.findings}


@pytest.mark.parametrize("kind", ["empty", "pictures", "missing", "binary", "a file"])
def test_a_folder_without_logs_is_refused_and_nothing_is_left_behind(kind: str, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    if kind != "missing":
        folder.mkdir()
    if kind == "pictures":
        (folder / "a.jpg").write_bytes(b"\xff\xd8")
    if kind == "binary":
        (folder / "log.csv").write_bytes(b"PK\x03\x04" + bytes(500))
    if kind == "a file":
        folder.rmdir()
        folder.write_text("t,f\n0,1\n", encoding="utf-8")
    with pytest.raises(IsothrustError) as caught:
        create_from_folder(tmp_path / "book", folder)
    assert caught.value.code == ("no-folder" if kind in {"missing", "a file"} else "no-logs")
    assert caught.value.problems[0].fix
    if kind == "binary":
        assert "log.csv: this is a workbook" in str(caught.value)
    assert sorted(path.name for path in tmp_path.iterdir()) == ([] if kind == "missing" else ["folder"])


def test_a_file_that_cannot_be_read_is_named_and_the_others_are_taken(tmp_path: Path) -> None:
    folder = tmp_path / "loft"
    folder.mkdir()
    (folder / "good.csv").write_text(LAYOUT + ROWS, encoding="utf-8")
    (folder / "gone.csv").symlink_to(tmp_path / "nowhere")
    made = create_from_folder(tmp_path / "book", folder)
    assert made.copied == 1
    # A link that leads nowhere is no file; what cannot be opened is told with the system's own words.
    assert [each.name for each in made.left_out] in ([], ["gone.csv"])


def test_a_place_that_is_taken_or_lies_in_the_folder_is_refused_untouched(mixed: Path, tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.mkdir()
    (taken / "mine.txt").write_text("mine")
    before = tree(tmp_path)
    for place, code in ((taken, "folder-not-empty"), (mixed / "book", "book-in-folder"), (mixed, "folder-not-empty")):
        with pytest.raises(IsothrustError) as caught:
            create_from_folder(place, mixed)
        assert caught.value.code == code
    assert tree(tmp_path) == before


def test_an_empty_folder_becomes_the_book(mixed: Path, tmp_path: Path) -> None:
    (tmp_path / "book").mkdir()
    create_from_folder(tmp_path / "book", mixed)
    assert (tmp_path / "book" / "book.toml").is_file()


def test_a_failure_half_way_leaves_nothing(mixed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("isothrust.workflows.fromfolder.record_hashes", full)
    before = tree(tmp_path)
    with pytest.raises(OSError, match="No space left"):
        create_from_folder(tmp_path / "book", mixed)
    assert tree(tmp_path) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mixed"]


def test_the_screen_says_what_was_taken_for_what_why_and_what_is_next(mixed: Path, tmp_path: Path) -> None:
    shown = CliRunner().invoke(command, [str(tmp_path / "book"), "--from", str(mixed), "--names", NAMES])
    assert shown.exit_code == 0
    text = shown.output
    for words in ("reads as", '"thrust" is a word for thrust', "left to fill:", "left where they are", "stand.jpg"):
        assert words in text
    assert re.search(r"next: fill what is listed above in .* then: isothrust check --book ", text)


def test_json_tells_each_column_with_unit_evidence_and_alternatives(mixed: Path, tmp_path: Path) -> None:
    shown = CliRunner().invoke(command, [str(tmp_path / "book"), "--from", str(mixed), "--json"])
    (told,) = json.loads(shown.stdout)
    columns = told["layouts"][0]["columns"]
    assert [(each["quantity"], each["unit"]) for each in columns] == [
        ("time", "s"),
        ("thrust", "N"),
        ("speed", "rpm"),
        ("throttle", "%"),
    ]
    assert all(each["evidence"] for each in columns)
    assert {each["file"] for each in told["left_out"]} >= {"stand.jpg", "tea.txt"}
    assert told["next"].startswith("isothrust check --book ")


def test_names_without_a_folder_is_a_mistake(tmp_path: Path) -> None:
    shown = CliRunner().invoke(command, [str(tmp_path / "book"), "--names", NAMES])
    assert shown.exit_code == 2
    assert "--from" in shown.output
    assert not (tmp_path / "book").exists()


def made_of(folder: Path, book: Path) -> FolderBook:
    return create_from_folder(book, folder)


@pytest.mark.parametrize("head", ['thrust "A"', "thrust\\new", "drag = [1]", "# thrust", "пуск"])
def test_heads_that_toml_minds_are_written_so_that_they_are_found_again(head: str, tmp_path: Path) -> None:
    folder = tmp_path / "loft"
    folder.mkdir()
    cell = '"' + head.replace('"', '""') + '"'
    text = f"time [s],rpm,{cell},throttle [%]\n" + ROWS
    (folder / "r1.csv").write_text(text, encoding="utf-8")
    made = made_of(folder, tmp_path / "book")
    tomllib.loads((tmp_path / "book" / "rigs" / "loft.toml").read_text(encoding="utf-8"))
    assert made.layouts[0].mapping.columns[2].head == head
