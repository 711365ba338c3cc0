"""What no file of the project may hold, and pages that are made from code."""

from __future__ import annotations

import re
import subprocess

from isothrust.quantities.nomenclature import nomenclature
from support.source import ROOT

ADDRESS = re.compile(r"\w+://[^\s)>\"'`]+")
MACHINE_PATH = re.compile(r"(?<![\w.~-])/(root|home|Users|work|workspace|mnt|opt)/[\w.]")
UNFINISHED = re.compile(r"\b(TO" + r"DO|FIX" + r"ME|XX" + r"X|HA" + r"CK)\b")


def tracked_texts() -> dict[str, str]:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True)
    texts = {}
    for name in filter(None, listed.stdout.split("\0")):
        path = ROOT / name
        if path.is_file():
            texts[name] = path.read_bytes().decode("utf-8", errors="replace")
    assert len(texts) > 30
    return texts


def test_nomenclature_page_is_what_the_tables_say() -> None:
    page = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    assert page == nomenclature(), "run python -m isothrust.quantities.nomenclature > docs/nomenclature.md"


def test_no_file_holds_an_absolute_path_of_a_machine() -> None:
    found = [f"{name}: {match[0]}" for name, text in tracked_texts().items() for match in MACHINE_PATH.finditer(text)]
    assert not [line for line in found if not line.startswith("tests/architecture/test_tree.py")]
    assert not [name for name, text in tracked_texts().items() if f"{ROOT.parent}/" in text]


def test_no_file_names_an_address() -> None:
    found = [f"{name}: {match[0]}" for name, text in tracked_texts().items() for match in ADDRESS.finditer(text)]
    assert not found


def test_no_file_is_marked_unfinished() -> None:
    found = [f"{name}: {match[0]}" for name, text in tracked_texts().items() for match in UNFINISHED.finditer(text)]
    assert not found
