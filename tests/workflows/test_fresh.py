"""One fresh file at the bench: five lines, and whether it agrees with the earlier runs of its design."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from isothrust.cli import main
from isothrust.errors import UsageError
from isothrust.records.agreement import Agreement
from isothrust.virtual import RunPlan
from isothrust.workflows.check import CheckedRun, FreshOptions, check
from isothrust.workflows.reduce import reduce_book
from support.fresh_books import book_plans, fresh_log, fresh_one, said_air, write_fresh_book
from support.fresh_runs import with_thrust_scale
from support.small_books import tree

LABELS = ("verdict:", "measured:", "zero:", "lag:", "earlier:")
FINDING_KEYS = {
    "campaign",
    "run",
    "code",
    "severity",
    "channel",
    "start",
    "end",
    "count",
    "effect",
    "done",
    "message",
}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_fresh_book(tmp_path_factory.mktemp("fresh") / "book")
    reduce_book(root)
    return root


@pytest.fixture(scope="module")
def healthy(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, RunPlan]:
    plan = fresh_one(5, "auk")
    name = f"auk {plan.sample} ramp.csv"
    return fresh_log(tmp_path_factory.mktemp("logs") / name, plan), plan


Say = Callable[..., tuple[int, list[str]]]


@pytest.fixture
def say(capfd: pytest.CaptureFixture[str]) -> Say:
    def said(*words: str | Path) -> tuple[int, list[str]]:
        capfd.readouterr()
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in words])
        assert isinstance(left.value.code, int)
        return left.value.code, capfd.readouterr().out.splitlines()

    return said


def one(book: Path, file: Path, **said: str) -> CheckedRun:
    (found,) = check(book, [str(file)], fresh=FreshOptions(**said)).checked  # type: ignore[arg-type]
    return found


def agreement(book: Path, file: Path, **said: str) -> Agreement:
    found = one(book, file, **said).fresh
    assert found is not None
    return found.agreement


def test_a_healthy_run_gets_five_lines_that_say_what_was_measured(
    book: Path, healthy: tuple[Path, RunPlan], say: Say
) -> None:
    file, plan = healthy
    before = tree(book)
    status, lines = say("check", file, "--air", said_air(plan), "--book", book)
    assert tree(book) == before
    assert (status, len(lines)) == (0, 5)
    assert [line.split()[0] for line in lines] == list(LABELS)
    verdict, measured, zero, lag, earlier = lines
    assert "keep it" in verdict
    assert file.name in verdict
    for words in ("rpm", "thrust up to", "gf"):
        assert words in measured
    for words in ("thrust moved by", "gf", "torque moved by", "N m", "% of the peak"):
        assert words in zero
    assert "behind the speed" in lag
    assert "thrust" in lag
    assert "torque" in lag
    assert earlier.startswith("earlier:  agrees ")
    assert f"sample {plan.sample}, 2 mountings" in earlier
    assert "air as given" in earlier


def test_lags_are_those_of_the_simulated_cells(book: Path, healthy: tuple[Path, RunPlan]) -> None:
    file, plan = healthy
    sensors = plan.stand.sensors.fitted()
    for channel in ("thrust", "torque"):
        truth = sensors[channel].mean_delay - sensors["speed"].mean_delay
        # at 250 rows a second a row is 4 ms
        assert one(book, file).reduced.lags[channel].value == pytest.approx(truth, abs=0.004)


def test_a_thrust_scale_that_moved_is_told_with_where_to_look(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path, say: Say
) -> None:
    _, plan = healthy
    file = fresh_log(tmp_path / f"auk {plan.sample} ramp.csv", with_thrust_scale(plan, -0.05))
    status, lines = say("check", file, "--air", said_air(plan), "--book", book)
    assert (status, len(lines)) == (0, 5)
    assert "keep it, and look at it first" in lines[0]
    assert "differs from 2 runs of spring" in lines[4]
    assert "thrust coefficient" in lines[4]
    assert "% lower" in lines[4]
    assert "look at the scale and zero of thrust" in lines[4]
    found = agreement(book, file, air=said_air(plan))
    assert found.parts[0].difference == pytest.approx(-0.05, abs=0.015)


def test_the_name_need_not_tell_the_design_where_the_command_does(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, plan = healthy
    renamed = Path(shutil.copy(file, tmp_path / "ramp.csv"))
    nameless = agreement(book, renamed)
    assert (nameless.says, nameless.parts) == ("nothing", ())
    assert nameless.absent is not None
    assert "--design NAME" in nameless.absent
    told = agreement(book, renamed, design="auk", sample=plan.sample, air=said_air(plan))
    named = agreement(book, file, air=said_air(plan))
    assert told.says == named.says
    assert [part.difference for part in told.parts] == [part.difference for part in named.parts]
    with pytest.raises(UsageError) as caught:
        check(book, [str(renamed)], fresh=FreshOptions(design="awk"))
    assert caught.value.code == "unknown-design"
    assert "auk" in str(caught.value)


def test_a_kind_that_nobody_names_is_read_off_the_throttle(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path, say: Say
) -> None:
    file, plan = healthy
    nameless = Path(shutil.copy(file, tmp_path / f"auk {plan.sample}.csv"))
    found, named = one(book, nameless), one(book, file)
    assert found.reduced.kind == "ramp"
    assert [one.value for one in found.reduced.figures] == [one.value for one in named.reduced.figures]
    _, lines = say("check", nameless, "--book", book)
    assert "taken as a ramp" in lines[1]
    _, lines = say("check", nameless, "--kind", "ramp", "--book", book)
    assert "taken as" not in lines[1]


def test_a_sample_that_nobody_names_is_taken_as_a_new_one(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, plan = healthy
    renamed = Path(shutil.copy(file, tmp_path / "auk ramp.csv"))
    found = agreement(book, renamed, air=said_air(plan))
    assert found.earlier is not None
    assert (found.known_sample, found.earlier.samples, len(found.earlier.runs)) == (False, 2, 4)


def test_a_design_without_earlier_runs_says_so(book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path) -> None:
    file, _ = healthy
    found = agreement(book, Path(shutil.copy(file, tmp_path / "petrel ramp.csv")))
    assert found.absent == "the book has no earlier run of petrel that gives a curve"


def test_runs_that_are_not_reduced_as_the_book_stands_do_not_count(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, plan = healthy
    root = shutil.copytree(book, tmp_path / "book")
    own = [one.name for one in book_plans() if (one.propeller.name, one.sample) == ("auk", plan.sample)]
    (root / f"derived/spring/{own[0]}.parquet").unlink()
    found = agreement(root, file, air=said_air(plan))
    assert found.earlier is not None
    assert (found.earlier.runs, found.earlier.not_current) == ((own[1],), 1)
    # A table that was changed since makes every run of the design stale.
    table = root / "propellers.csv"
    table.write_text(table.read_text().replace("auk,7,", "auk,7.1,"))
    found = agreement(root, file, air=said_air(plan))
    assert found.absent == "its 4 earlier runs must be reduced first: isothrust reduce"


def test_without_torque_thrust_alone_is_compared(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path, say: Say
) -> None:
    file, plan = healthy
    rig = tmp_path / "loft.toml"
    text = (book / "rigs/loft.toml").read_text()
    start = text.index("[channels.torque]")
    end = text.find("[channels.", start + 1)
    rig.write_text(text[:start] + text[end:])
    _, lines = say("check", file, "--rig", rig, "--air", said_air(plan), "--book", book)
    assert len(lines) == 5
    assert "torque" not in lines[2]
    assert "thrust coefficient" in lines[4]
    assert "power coefficient" not in lines[4]


def test_a_file_that_cannot_be_reduced_gets_five_lines_as_well(book: Path, tmp_path: Path, say: Say) -> None:
    file = tmp_path / "auk a ramp.csv"
    file.write_text("Went for tea. Nothing was recorded today, sorry.\n")
    status, lines = say("check", file, "--book", book)
    assert (status, len(lines)) == (2, 5)
    assert [line.split()[0] for line in lines] == list(LABELS)
    assert "do not keep it: record it again" in lines[0]
    assert lines[4] == "earlier:  not compared: the log gives no curve"


def test_a_log_that_is_still_being_written_is_read_as_far_as_it_goes(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path, say: Say
) -> None:
    file, plan = healthy
    cut = tmp_path / file.name
    content = file.read_bytes()
    cut.write_bytes(content[: int(0.8 * len(content)) + 7])
    status, lines = say("check", cut, "--air", said_air(plan), "--book", book)
    assert (status, len(lines)) == (0, 5)
    assert "read on one side of the run only" in lines[2]
    codes = [finding.code for finding in one(book, cut).findings]
    assert "truncated-last-line" in codes


def test_a_file_that_the_book_has_already_is_known_whatever_its_name(book: Path, tmp_path: Path) -> None:
    plan = book_plans()[3]
    file = Path(shutil.copy(book / f"campaigns/spring/raw/{plan.name}.csv", tmp_path / "what was this.csv"))
    found = one(book, file)
    assert found.fresh is not None
    assert (found.run, found.reduced.kind) == (plan.name, "ramp")
    said = found.fresh.agreement
    assert (said.design, said.sample) == (plan.propeller.name, plan.sample)
    assert said.earlier is not None
    assert plan.name not in said.earlier.runs
    assert said.air is not None
    assert (said.air.origin, said.air.run) == ("run", f"spring/{plan.name}")


def test_air_comes_from_the_command_the_day_the_campaign_the_book_or_nobody(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, _ = healthy
    root = shutil.copytree(book, tmp_path / "book")
    day = book_plans()[2].date[:10]

    def origin(path: Path, **said: str) -> tuple[str, str]:
        air = agreement(root, path, **said).air
        assert air is not None
        return air.origin, air.run

    dated = Path(shutil.copy(file, tmp_path / f"{day} {file.name}"))
    assert origin(dated) == ("run", f"spring/{book_plans()[2].name}")
    assert origin(dated, air="20 degC, 1000 hPa, 50 %") == ("given", "")
    # A day without a run: that on which the file was last written, since its name tells none.
    os.utime(file, (0.0, 0.0))
    assert origin(file) == ("nobody", "")
    (root / "book.toml").write_text(
        'title = "Fresh"\n[air]\ntemperature = "20 degC"\npressure = "1000 hPa"\nhumidity = "50 %"\n'
    )
    assert origin(file) == ("book", "")
    with (root / "campaigns/spring/campaign.toml").open("a") as stream:
        stream.write('temperature = "21 degC"\npressure = "1002 hPa"\nhumidity = "55 %"\n')
    assert origin(file) == ("campaign", "")


@pytest.mark.parametrize(
    ("air", "code"),
    [
        ("21 degC, 999, 40 %", "wrong-air"),
        ("21 degC, 22 degC", "wrong-air"),
        ("21 degC, 1013 hPa, 40 N", "wrong-air"),
        ("21 degC, 1013 Pa, 40 %", "out-of-range"),
        ("mild", "wrong-air"),
    ],
)
def test_air_that_cannot_be_meant_is_refused(book: Path, healthy: tuple[Path, RunPlan], air: str, code: str) -> None:
    with pytest.raises(UsageError) as caught:
        check(book, [str(healthy[0])], fresh=FreshOptions(air=air))
    assert caught.value.code == code
    assert "--air" in str(caught.value)


def test_json_stays_a_list_of_findings_and_ends_in_the_verdict(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path, say: Say
) -> None:
    _, plan = healthy
    file = fresh_log(tmp_path / f"auk {plan.sample} ramp.csv", with_thrust_scale(plan, -0.05))
    _, lines = say("check", file, "--air", said_air(plan), "--json", "--book", book)
    *findings, verdict = json.loads("\n".join(lines))
    assert all(set(finding) == FINDING_KEYS for finding in findings)
    assert "differs-from-earlier" in {finding["code"] for finding in findings}
    assert set(verdict) == FINDING_KEYS | {"verdict"}
    assert (verdict["code"], verdict["severity"], verdict["run"]) == ("bench-verdict", "note", str(file))
    assert len(verdict["message"].splitlines()) == 5
    numbers = verdict["verdict"]
    assert numbers["agreement"]["says"] == "differs"
    assert numbers["agreement"]["runs"]
    thrust = numbers["agreement"]["differences"][0]
    assert (thrust["measurand"], thrust["unit"], thrust["real"]) == ("thrust-coefficient", "%", True)
    assert thrust["difference"] == pytest.approx(-5.0, abs=1.5)
    assert numbers["measured"]["top-speed"]["unit"] == "rpm"
    assert set(numbers["zero"]) == {"thrust", "torque"}
    assert numbers["lag"]["thrust"]["unit"] == "ms"


def test_a_folder_that_is_no_book_gives_a_verdict_with_a_rig_file(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, _ = healthy
    found = one(tmp_path, file, rig=str(book / "rigs/loft.toml"))
    assert found.reduced.curves
    assert found.fresh is not None
    absent = found.fresh.agreement.absent
    assert absent is not None
    assert "is no book" in absent


def test_a_book_that_cannot_be_read_still_gives_a_verdict_and_says_so(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    file, _ = healthy
    root = shutil.copytree(book, tmp_path / "book")
    (root / "propellers.csv").write_text("design,diameter [in]\nauk,-7\n")
    found = agreement(root, file, rig="loft")
    assert found.absent is not None
    assert found.absent.startswith("the book cannot be read")


def test_a_fresh_file_is_not_taken_for_the_run_whose_name_it_bears(
    book: Path, healthy: tuple[Path, RunPlan], tmp_path: Path
) -> None:
    """A logger that counts from 1 each day: r001 again, another recording. Its own noise must not cancel."""
    file, plan = healthy
    name = next(one.name for one in book_plans() if (one.propeller.name, one.sample) == ("auk", plan.sample))
    again = Path(shutil.copy(file, tmp_path / f"{name}.csv"))
    words = {"design": "auk", "sample": plan.sample, "air": said_air(plan), "kind": "ramp"}
    found, named = agreement(book, again, **words), agreement(book, file, **words)
    assert found.parts[0].uncertainty == named.parts[0].uncertainty
    assert found.earlier is not None
    assert name in found.earlier.runs
    assert replace(found, earlier=None) == replace(named, earlier=None)
