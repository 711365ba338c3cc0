"""Every code that the program can show has an entry in docs/messages.md, and every entry is a code that it can show."""

from __future__ import annotations

import re

from isothrust.present.flags import FLAG_WORDS
from support.codes import CODE, codes_in_source, entries, flags_in_source, literals
from support.source import ROOT


def test_every_code_has_an_entry() -> None:
    found = codes_in_source()
    assert len(found.exact) > 10
    missing = {code: place for code, place in found.exact.items() if code not in entries()}
    assert not missing, "write an entry for each of these in docs/messages.md"


def test_every_code_that_is_put_together_has_an_entry() -> None:
    for pattern, place in codes_in_source().patterns.items():
        assert any(re.fullmatch(pattern, code) for code in entries()), f"{place}: no entry fits {pattern}"


def test_no_code_is_given_in_a_way_that_cannot_be_followed() -> None:
    assert not [place for place in codes_in_source().unclear if not place.startswith("src/isothrust/errors.py")]


def test_every_flag_has_an_entry_and_words() -> None:
    found = flags_in_source()
    assert len(found) > 3
    assert not {flag: place for flag, place in found.items() if flag not in entries()}
    assert set(FLAG_WORDS) <= set(entries())
    assert not {flag: place for flag, place in found.items() if flag not in FLAG_WORDS}


def test_every_entry_is_a_code_that_can_be_shown() -> None:
    found = codes_in_source()
    for code in entries():
        put_together = any(re.fullmatch(pattern, code) for pattern in found.patterns)
        assert code in literals() or put_together, f"nothing in the source gives {code}"


def test_codes_are_words_in_kebab_case() -> None:
    assert all(CODE.fullmatch(code) for code in codes_in_source().exact)


def test_entries_stand_once_and_say_what_it_means_what_it_does_and_what_to_do() -> None:
    assert len(entries()) == len(set(entries()))
    text = (ROOT / "docs" / "messages.md").read_text(encoding="utf-8")
    for block in re.split(r"^#{2,3} ", text, flags=re.MULTILINE)[1:]:
        code, _, body = block.partition("\n")
        if code in entries():
            for word in ("**means**: ", "**figures**: ", "**do**: "):
                assert body.count(f"\n{word}") + body.startswith(word) == 1, f"{code} lacks {word}"
