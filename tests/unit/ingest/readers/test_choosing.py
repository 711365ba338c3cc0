"""Which reader is chosen: content before name, ties refused, whatever the order of the readers."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path

import pytest

from isothrust.errors import LogError
from isothrust.ingest.readers.choosing import READERS, choose_reader, specimen_of
from isothrust.ingest.readers.contract import Claim, Contents, Specimen
from support.formats import WRITERS


@dataclass(frozen=True)
class Sure:
    """A reader that claims everything as its own."""

    name: str
    claims: Claim = Claim.CONTENT

    def claim(self, specimen: Specimen) -> Claim:
        del specimen
        return self.claims

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        raise AssertionError((specimen, wanted))


def specimen(name: str, beginning: bytes) -> Specimen:
    return Specimen(name, beginning, len(beginning))


def test_the_order_of_the_readers_never_matters(tmp_path: Path) -> None:
    rng = random.Random(4)
    for file, write in WRITERS.values():
        write(tmp_path / file)
        found = set()
        for _ in range(30):
            readers = list(READERS)
            rng.shuffle(readers)
            found.add(choose_reader(specimen_of(tmp_path / file), readers).name)
        assert len(found) == 1, file


def test_two_readers_that_are_equally_sure_are_a_tie_in_any_order() -> None:
    for readers in ([Sure("red"), Sure("blue")], [Sure("blue"), Sure("red")]):
        with pytest.raises(LogError) as caught:
            choose_reader(specimen("r.x", b"1,2\n"), readers)
        assert caught.value.code == "reader-tie"
        assert "blue and red" in caught.value.problems[0].what


def test_content_is_believed_before_the_name() -> None:
    assert choose_reader(specimen("r.xlsx", b"t,rpm\n0,1\n1,2\n")).name == "delimited text"
    assert choose_reader(specimen("r.csv", b"fLaC\x00\x00\x00\x22")).name == "waveform"
    assert choose_reader(specimen("r.wav", b"PAR1\x15\x00")).name == "Parquet"
    assert choose_reader(specimen("r.csv", b"MATLAB 5.0 MAT-file".ljust(124) + b"\x00\x01IM")).name == "MATLAB"


def test_the_name_counts_where_the_content_tells_nothing() -> None:
    assert choose_reader(specimen("r.mat", b"\x00\x00\x00\x00\x50\x00\x00\x00\x01\x00\x00\x00")).name == "MATLAB"


def test_what_can_be_read_as_text_gives_way_to_what_is_surely_something_else() -> None:
    likely, sure = Sure("text", Claim.LIKELY), Sure("letters")
    assert choose_reader(specimen("r.csv", b"LETTERS"), [likely, sure]).name == "letters"


LOGGER = (
    bytes([188, 2, 0, 2, 0, 255, 255]) + b"fixedFrequency\x00\x13\x00motor.m1(I)\x00motor.m2(I)\x00" + bytes(range(30))
)


@pytest.mark.parametrize(
    ("beginning", "told"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(99), "old kind"),
        (b"OggS\x00\x02" + bytes(range(99)), "loses part"),
        (b"ID3\x04\x00\x00\x00" + bytes(range(99)), "loses part"),
        (b"%PDF-1.7\n\x00\x01\x02" + bytes(range(9)), "PDF"),
        (LOGGER, "motor.m1(I)"),
        (bytes(range(256)), "records of bytes"),
    ],
)
def test_what_no_reader_knows_is_told_for_what_it_looks_like(beginning: bytes, told: str) -> None:
    with pytest.raises(LogError) as caught:
        choose_reader(specimen("r.bin", beginning))
    (problem,) = caught.value.problems
    assert problem.code == "binary-log"
    assert told in problem.what
    assert problem.fix
