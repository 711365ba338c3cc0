"""Every file of ../shared/field: it reads as its entry says, or is refused with the true reason."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest

from isothrust.ingest.readers.choosing import contents_of
from isothrust.ingest.readers.numeric import columns_of
from support.field import FIELD, needs_field
from support.field_expected import EXPECTED, FLAC, OPEN, Expected
from support.field_expected.checking import check

pytestmark = needs_field

CASES = [
    pytest.param(file, expected, id=f"{file}-{type(expected).__name__.lower()}-{number}")
    for file, entries in EXPECTED.items()
    if file not in OPEN
    for number, expected in enumerate(entries, 1)
]


def test_every_file_of_the_folder_has_its_expectation_written_down() -> None:
    there = {path.relative_to(FIELD).as_posix() for path in FIELD.rglob("*") if path.is_file()} - {"LOG.md"}
    assert set(EXPECTED) == there
    assert all(EXPECTED.values())


def test_files_that_are_left_open_say_why() -> None:
    assert set(OPEN) <= set(EXPECTED)
    assert all(OPEN.values())


@pytest.mark.parametrize(("file", "expected"), CASES)
def test_a_file_reads_as_expected_or_is_refused_for_the_true_reason(
    file: str, expected: Expected, tmp_path: Path
) -> None:
    check(file, expected, tmp_path)


@pytest.mark.parametrize("file", FLAC)
def test_the_samples_of_a_flac_file_are_those_that_its_own_hash_is_of(file: str) -> None:
    data = (FIELD / file).read_bytes()
    assert data[:4] == b"fLaC"
    # STREAMINFO (RFC 9639, 8.2): 20 bits of rate, 3 of channels, 5 of depth, 36 of samples, then MD5 of the samples.
    packed = int.from_bytes(data[18:26], "big")
    rate, depth, samples = packed >> 44, (packed >> 36 & 31) + 1, packed & (1 << 36) - 1
    assert (rate, depth, samples) == (16_000, 24, 8_000)  # LOG: 0.5 s, 16 kHz, 24-bit
    ((table),) = [each.table for each in contents_of(FIELD / file).tables]
    values = columns_of(table, [0]).numbers[0]
    whole = np.rint(values * 2.0 ** (depth - 1)).astype("<i4")
    stored = b"".join(int(each).to_bytes(3, "little", signed=True) for each in whole)
    assert hashlib.md5(stored).hexdigest() == data[26:42].hex()
