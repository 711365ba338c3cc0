"""A book that somebody's slip of the finger mutilated is read, or refused with an error of ours that names a place."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.errors import IsothrustError
from unit.book.books import FILES, write_book
from unit.book.test_rigfile import WHOLE

TEXTS = FILES | {
    "rigs/loft.toml": WHOLE,
    "samples.csv": "design,sample,mass [g]\nAuk,A1,9.2\n",
    "book.toml": 'standard_density = "1.2 kg/m3"\ncomparison_thrusts = ["1 N"]\n'
    '[air]\ntemperature = ["20 degC", "5 K"]\n',
    "campaigns/spring/campaign.toml": 'rig = "loft"\nmotor = "m1"\npressure = ["1000 hPa", "1 hPa"]\n',
}
SLIPS = (
    '"',
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ";",
    "\n",
    "\t",
    "-1",
    "1e400",
    "nan",
    "true",
    "é",
    "\0",
    "#",
    "..",
    "/",
    "",
)
VALUES = (
    "1",
    '"x"',
    "[1]",
    "[]",
    "{}",
    "{ a = 1 }",
    "true",
    "-5",
    '"1 N"',
    '["1 N", 2]',
    "[[1]]",
    "2026-01-01",
    "nan",
    '""',
)


def slip(text: str, draw: random.Random) -> str:
    if draw.random() < 0.4:
        lines = text.split("\n")
        place = draw.randrange(len(lines))
        key, equals, _ = lines[place].partition("=")
        if equals:
            lines[place] = f"{key}= {draw.choice(VALUES)}"
        return "\n".join(lines)
    place = draw.randrange(len(text))
    return text[:place] + draw.choice(SLIPS) + text[place + draw.randrange(4) :]


@pytest.mark.parametrize("name", TEXTS)
def test_slips_are_read_or_told(tmp_path: Path, name: str) -> None:
    write_book(tmp_path)
    for file, text in TEXTS.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    draw = random.Random(name)
    refused: list[IsothrustError] = []
    for _ in range(40):
        text = TEXTS[name]
        for _ in range(draw.choice((1, 1, 2))):
            text = slip(text, draw)
        (tmp_path / name).write_text(text, encoding="utf-8")
        try:
            load_book(tmp_path)
        except IsothrustError as error:
            refused.append(error)
    assert 0 < len(refused) < 40
    assert all(problem.where is not None and problem.code for error in refused for problem in error.problems)
    assert not any(str(tmp_path) in str(error) for error in refused)
