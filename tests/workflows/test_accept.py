"""The path of a fail: set aside, accepted with a reason, shown everywhere, withdrawn; and runs left out by hand."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from isothrust.book.decisions import DECISIONS
from support.commands import json_of, run_command, run_process
from support.failing_books import BACKWARDS, write_failing_book
from support.made_once import made_once

RUN = f"spring/{BACKWARDS}"
CODE = "propeller-reversed"


@pytest.fixture(scope="module")
def reduced(tmp_path_factory: pytest.TempPathFactory) -> Path:
    def make(folder: Path) -> None:
        write_failing_book(folder / "book")
        run_process("reduce", "--jobs", "1", folder=folder / "book", status=1)

    return made_once(tmp_path_factory, "failing-book", make) / "book"


@pytest.fixture
def book(reduced: Path, tmp_path: Path) -> Path:
    return shutil.copytree(reduced, tmp_path / "book")


def lines_of(book: Path) -> list[dict[str, Any]]:
    path = book / DECISIONS
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.is_file() else []


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def peak(book: Path, design: str) -> dict[str, Any]:
    (one,) = json_of("results", "--of", "peak-thrust", "--design", design, folder=book)
    return one


def accept(book: Path, *more: str, because: str = "weighed on a second stand") -> str:
    return run_command("accept", BACKWARDS, "--because", because, "--by", "A. Tester", *more, folder=book).stdout


def test_a_fail_keeps_a_run_out_until_it_is_accepted(book: Path) -> None:
    told = run_command("check", folder=book, status=1)
    assert "1 set aside" in told.stdout
    assert f'isothrust accept {RUN} --because "…"' in told.stderr
    state = {one["run"]: one["state"] for one in json_of_reduce(book, status=1)}
    assert state[BACKWARDS] == "set aside"
    design = next(one["design"] for one in json_of_reduce(book, status=1) if one["run"] == BACKWARDS)
    before = peak(book, design)
    assert BACKWARDS not in before["runs"]
    assert "runs-set-aside" in before["flags"]

    said = plain(accept(book))
    assert f"{RUN} {design}" in said
    assert ": accepted" in said
    assert f"in spite of {CODE} (thrust): CT" in said
    assert "because weighed on a second stand" in said
    assert "by A. Tester, 20" in said
    assert re.search(rf"figures now in \d+ usual results? of {design}: .*they carry the flag fail-accepted", said)
    assert f"counts again: {BACKWARDS}" in said

    after = peak(book, design)
    assert BACKWARDS in after["runs"]
    assert "fail-accepted" in after["flags"]
    assert after["value"] < before["value"]
    run_command("check", folder=book, status=0)
    run_command("reduce", folder=book, status=0)


def json_of_reduce(book: Path, *, status: int) -> list[dict[str, Any]]:
    return json.loads(run_command("reduce", "--json", folder=book, status=status).stdout)


def test_the_line_holds_who_when_why_and_for_which_fails(book: Path) -> None:
    accept(book, because="  weighed on a\n second stand ")
    (line,) = lines_of(book)
    assert (line["campaign"], line["run"], line["action"]) == ("spring", BACKWARDS, "accept")
    assert line["because"] == "weighed on a second stand"
    assert line["who"] == "A. Tester"
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", line["when"])
    assert line["codes"] == [CODE]


def test_a_decision_is_shown_in_check_explain_and_report(book: Path) -> None:
    accept(book)
    checked = plain(run_command("check", BACKWARDS, folder=book).stdout)
    assert "1 fail" in checked
    assert "; accepted" in checked
    assert "by A. Tester on 20" in checked
    assert "weighed on a second stand" in checked
    explained = plain(run_command("explain", BACKWARDS, folder=book).stdout)
    assert (
        f"decision: accepted by A. Tester on 20{explained.partition('accepted by A. Tester on 20')[2][:8]}" in explained
    )
    assert f"for {CODE}: weighed on a second stand" in explained
    run_command("report", folder=book)
    page = (book / "report.html").read_text(encoding="utf-8")
    assert "Counts in spite of a fail:" in page
    listed = page.partition('class="decisions"')[2].partition("</ul>")[0]
    words = (RUN, "accepted by A. Tester", f"in spite of <code>{CODE}</code>", "because: weighed on a second stand")
    assert all(word in listed for word in words)


def test_the_report_says_why_a_run_is_out_and_how_to_accept_it(book: Path) -> None:
    run_command("report", folder=book)
    page = (book / "report.html").read_text(encoding="utf-8")
    assert re.search(r"<b>Set aside:</b> CT [\d.]+ and figure of merit", page)
    assert f"isothrust accept {RUN} --because" in page
    assert "No run was left out by hand, and none counts in spite of a fail." in page


def test_what_is_found_later_is_not_accepted_with_it(book: Path) -> None:
    accept(book)
    # As if the acceptance had been for another fail than the one that is found now.
    (line,) = lines_of(book)
    (book / DECISIONS).write_text(json.dumps({**line, "codes": ["torque-turned"]}) + "\n", encoding="utf-8")
    told = run_command("check", BACKWARDS, folder=book, status=1)
    said = plain(told.stdout)
    assert "set aside" in said
    assert "A. Tester accepted it on 20" in said
    assert "for torque-turned only" in said
    assert f"{CODE} was found since, and nobody has accepted that" in said
    aside = plain(run_command("results", "--of", "peak-thrust", folder=book).stderr)
    assert "found since A. Tester accepted it on" in aside
    accept(book, because="that as well")
    assert run_command("check", BACKWARDS, folder=book).returncode == 0


def test_an_old_line_without_codes_covers_whatever_is_found(book: Path) -> None:
    accept(book)
    (line,) = lines_of(book)
    del line["codes"]
    (book / DECISIONS).write_text(json.dumps(line) + "\n", encoding="utf-8")
    run_command("check", folder=book, status=0)


def test_an_acceptance_is_withdrawn_by_a_line_of_its_own(book: Path) -> None:
    accept(book)
    first = (book / DECISIONS).read_bytes()
    said = plain(accept(book, "--withdraw", because="the second stand was wrong"))
    assert "what was decided is withdrawn" in said
    assert "instead of accepted by A. Tester" in said
    assert "no longer in" in said
    assert (book / DECISIONS).read_bytes().startswith(first)
    assert [line["action"] for line in lines_of(book)] == ["accept", "withdraw"]
    run_command("check", folder=book, status=1)
    again = run_command("accept", BACKWARDS, "--withdraw", "--because", "once more", folder=book, status=2)
    assert "[nothing-to-withdraw]" in again.stderr


def test_a_run_is_left_out_by_hand_and_taken_back_in(book: Path) -> None:
    words = ("leave-out", "r001", "--by", "A. Tester", "--because")
    said = plain(run_command(*words, "hub slipped", folder=book).stdout)
    assert "spring/r001" in said
    assert ": left out" in said
    assert "no longer in" in said
    checked = run_command("check", "r001", folder=book).stdout
    assert "; left out" in checked
    assert re.search(r"by A\. Tester on 20\d\d-\d\d-\d\d: hub slipped", checked)
    assert {one["run"]: one["state"] for one in json_of_reduce(book, status=1)}["r001"] == "left out"
    refused = run_command("accept", "r001", "--because", "no", folder=book, status=2)
    assert "[nothing-to-accept]" in refused.stderr
    assert "leave-out spring/r001 --withdraw" in refused.stderr
    other = run_command("accept", "r001", "--withdraw", "--because", "no", folder=book, status=2)
    assert "is left out, not accepted" in plain(other.stderr)
    back = plain(run_command(*words, "it was r002", "--withdraw", folder=book).stdout)
    assert "now in" in back
    assert "fail-accepted" not in back
    assert {one["run"]: one["state"] for one in json_of_reduce(book, status=1)}["r001"] == "up to date"


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("accept", BACKWARDS, "--because", " \t"), "reason-needed"),
        (("accept", BACKWARDS), "reason-needed"),
        (("accept", "r077", "--because", "x"), "unknown-run"),
        (("accept", "--because", "x"), "run-needed"),
        (("accept", "r001", "--because", "x"), "nothing-to-accept"),
        (("accept", BACKWARDS, "r001", "--because", "x"), "nothing-to-accept"),
        (("leave-out", "r001", "--withdraw", "--because", "x"), "nothing-to-withdraw"),
    ],
)
def test_what_cannot_be_decided_is_refused_and_nothing_is_written(
    book: Path, words: tuple[str, ...], code: str
) -> None:
    told = run_command(*words, folder=book, status=2)
    assert f"[{code}]" in told.stderr
    assert not (book / DECISIONS).exists()


def test_a_run_that_gives_no_figure_cannot_be_accepted(book: Path) -> None:
    (book / "campaigns/spring/raw/r002.csv").unlink()
    told = run_command("accept", "r002", "--because", "x", folder=book, status=2)
    assert "[nothing-to-accept]" in told.stderr
    assert "gives no figure (not-reduced)" in told.stderr


def test_a_name_in_two_campaigns_must_be_told_whole(book: Path) -> None:
    shutil.copytree(book / "campaigns/spring", book / "campaigns/autumn")
    told = run_command("leave-out", "r001", "--because", "x", folder=book, status=2)
    assert "[ambiguous-name]" in told.stderr
    assert "autumn/r001, spring/r001" in told.stderr
    run_command("leave-out", "autumn/r001", "--because", "x", folder=book)
    assert [(line["campaign"], line["run"]) for line in lines_of(book)] == [("autumn", "r001")]


def test_json_tells_the_same(book: Path) -> None:
    told = json.loads(accept(book, "--json"))
    (one,) = [item for item in told if "action" in item]
    (line,) = lines_of(book)
    assert {name: one[name] for name in line} == line
    assert one["counts"] is True
    assert one["reason"] is None
    assert [finding["code"] for finding in one["accepted"]] == [CODE]
    assert one["figures_before"] == []
    assert {"peak-thrust", "thrust"} <= {fig["measurand"] for fig in one["figures"]}
    assert all("because" in item for item in told)


def test_lines_that_are_there_keep_every_byte(book: Path) -> None:
    odd = (
        b'\xef\xbb\xbf{"run":"r001","campaign":"spring","action":"leave-out","because":"gust","who":"me","when":"2026"}'
    )
    (book / DECISIONS).write_bytes(odd)
    accept(book)
    assert (book / DECISIONS).read_bytes().startswith(odd + b"\n")
    assert run_command("check", folder=book).returncode == 0


def test_a_reason_may_be_in_any_tongue(book: Path) -> None:
    accept(book, because="Waage geprüft – 計量済み 👍")
    assert "Waage geprüft – 計量済み 👍" in run_process("check", BACKWARDS, folder=book).stdout
