"""Hashes of recordings stay as first seen; a key changes with what changes a figure, and with nothing else."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from isothrust.book.hashes import file_sha256, read_hashes, record_hashes
from isothrust.book.keys import input_key
from isothrust.book.load import load_book
from isothrust.errors import BookError
from isothrust.records.job import RunJob
from isothrust.records.reduced import Estimate
from unit.book.books import write_book

# SHA-256 of "abc", the test vector of FIPS 180-4 (Secure Hash Standard); from memory, and by coreutils sha256sum.
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path)


def test_hash_is_sha_256(tmp_path: Path) -> None:
    (tmp_path / "f").write_bytes(b"abc")
    assert file_sha256(tmp_path / "f") == ABC


def test_a_hash_is_written_once_and_never_changed(book: Path) -> None:
    assert record_hashes(book, "spring", {"b.csv": ABC, "a b.csv": "0" * 64}) == ("a b.csv", "b.csv")
    assert record_hashes(book, "spring", {"b.csv": "1" * 64, "c.csv": "2" * 64}) == ("c.csv",)
    assert read_hashes(book, "spring") == {"a b.csv": "0" * 64, "b.csv": ABC, "c.csv": "2" * 64}
    before = (book / "campaigns/spring/raw.sha256").stat().st_mtime_ns
    assert record_hashes(book, "spring", {"b.csv": ABC}) == ()
    assert (book / "campaigns/spring/raw.sha256").stat().st_mtime_ns == before


def test_the_usual_checksum_tool_reads_the_file(book: Path) -> None:
    tool = shutil.which("sha256sum")
    if tool is None:
        pytest.skip("sha256sum is not installed: that it reads our file is not shown")
    raw = book / "campaigns/spring/raw"
    raw.mkdir()
    (raw / "r 1.csv").write_bytes(b"abc")
    record_hashes(book, "spring", {"r 1.csv": file_sha256(raw / "r 1.csv")})
    done = subprocess.run([tool, "--check", "--strict", "../raw.sha256"], cwd=raw, check=True, capture_output=True)
    assert b"r 1.csv: OK" in done.stdout


def test_a_file_written_by_another_tool_is_read_and_kept(book: Path) -> None:
    path = book / "campaigns/spring/raw.sha256"
    path.write_text(f"{ABC.upper()} *a.csv\n\n{'0' * 64}  b.csv")
    assert read_hashes(book, "spring") == {"a.csv": ABC, "b.csv": "0" * 64}
    record_hashes(book, "spring", {"c.csv": "1" * 64})
    assert path.read_text().splitlines()[-2:] == [f"{'0' * 64}  b.csv", f"{'1' * 64}  c.csv"]


def test_a_line_that_is_no_hash_is_told_with_its_number(book: Path) -> None:
    (book / "campaigns/spring/raw.sha256").write_text(f"{ABC}  a.csv\nnonsense\n{ABC}\n")
    with pytest.raises(BookError) as caught:
        read_hashes(book, "spring")
    assert [problem.where.line for problem in caught.value.problems if problem.where] == [2, 3]


def job_of(book: Path) -> RunJob:
    read = load_book(book)
    campaign = read.campaigns["spring"]
    return RunJob(
        run=campaign.runs[0],
        rig=campaign.rig,
        design=read.designs["Auk"],
        motor=campaign.motor,
        standard_density=1.225,
        files={"log": "/somewhere/r01.csv"},
        hashes={"log": ABC},
    )


def test_a_key_changes_with_everything_that_changes_a_figure(book: Path) -> None:
    job = job_of(book)
    assert job.motor is not None
    assert job.run.air is not None
    thrust = job.rig.channels["thrust"]
    air = replace(job.run.air, temperature=replace(job.run.air.temperature, value=293.16))
    others = [
        replace(job, hashes={"log": "0" * 64}),
        replace(job, standard_density=1.2250000000000003),
        replace(job, inertia=Estimate(3e-5, 1e-7, 12.0, "coast")),
        replace(job, inertia=Estimate(3e-5, 2e-7, 12.0, "coast")),
        replace(job, run=replace(job.run, kind="holds")),
        replace(job, run=replace(job.run, sample="A2")),
        replace(job, run=replace(job.run, air=air)),
        replace(job, run=replace(job.run, air=None)),
        replace(job, rig=replace(job.rig, channels={"thrust": replace(thrust, sign=-1.0)})),
        replace(job, rig=replace(job.rig, obstruction=1e-3)),
        replace(job, design=replace(job.design, diameter=0.18)),
        replace(job, motor=replace(job.motor, rotor_inertia=1e-6)),
        replace(job, motor=None),
    ]
    keys = [input_key(each, 1) for each in (job, *others)] + [input_key(job, 2)]
    assert len(set(keys)) == len(keys)


def test_a_key_does_not_change_with_places_and_words(book: Path) -> None:
    job = job_of(book)
    alike = [
        replace(job, files={"log": "/elsewhere/r01.csv"}),
        replace(job, run=replace(job.run, line=77, note="windy", extra={"weather": "fog"})),
        replace(job, rig=replace(job.rig, title="Another title", extra={"date": "2026"})),
        replace(job, design=replace(job.design, note="grey")),
    ]
    assert {input_key(each, 1) for each in alike} == {input_key(job, 1)}
