"""Recordings added on a day whose air was read once: the later ones have it, and say whose it is."""

from __future__ import annotations

from pathlib import Path

from isothrust.workflows.add import add_folder
from isothrust.workflows.new import create
from support.small_books import RIG

HEADS = "run,design,sample,mounting,kind,log,vibration,sound,date,temperature [K],pressure [hPa],humidity [%],note\n"


def test_a_run_without_air_has_that_of_the_previous_run_of_its_day(tmp_path: Path) -> None:
    book, bench = tmp_path / "book", tmp_path / "bench"
    create(book)
    (book / "rigs/loft.toml").write_text(RIG)
    bench.mkdir()
    (book / "campaigns/spring").mkdir()
    table = book / "campaigns/spring/runs.csv"
    table.write_text(HEADS + "r1,Auk,A,,ramp,r1.csv,,,2026-03-01,294,1009,40,\n", encoding="utf-8")
    (book / "campaigns/spring/campaign.toml").write_text('rig = "loft"\n')
    for name in ("2026-03-01 b ramp.csv", "2026-03-02 c ramp.csv"):
        (bench / name).write_text(f"t,f\n0,{name}\n", encoding="utf-8")
    added = add_folder(book, bench, "spring", "loft")
    same, other = table.read_text(encoding="utf-8").splitlines()[2:]
    # In the unit of the table's own head, as the row it is taken from.
    assert same.endswith('2026-03-01,294,1009,40,"air of run r1, the previous of that day"')
    assert other.endswith("2026-03-02,,,,")
    assert [finding.code for finding in added.findings if finding.code == "air-carried"] == ["air-carried"]
