"""Links between pages lead to files and headings that exist."""

from __future__ import annotations

import re
import struct
from pathlib import Path

import pytest

from support.picture import SCREEN
from support.source import ROOT

PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
LINK = re.compile(r"\[[^\]\n]*\]\(([^)\s]+)\)")
FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)


def anchors(page: Path) -> set[str]:
    """Anchors as the usual viewers make them: lower case, blanks to hyphens, other signs dropped."""
    headings = HEADING.findall(FENCED.sub("", page.read_text(encoding="utf-8")))
    return {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}


def broken(page: Path) -> list[str]:
    found = []
    for link in LINK.findall(FENCED.sub("", page.read_text(encoding="utf-8"))):
        name, _, anchor = link.partition("#")
        target = (page.parent / name).resolve() if name else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            found.append(link)
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_to_files_and_headings_that_exist(page: Path) -> None:
    assert broken(page) == []


def test_a_broken_link_is_found(tmp_path: Path) -> None:
    page = tmp_path / "a.md"
    page.write_text("# One `two`-three\n\n[x](a.md#one-two-three) [y](#one) [z](b.md)\n")
    assert broken(page) == ["#one", "b.md"]


def test_every_page_can_be_reached_from_the_index() -> None:
    index = ROOT / "docs" / "README.md"
    named = {(index.parent / link.partition("#")[0]).resolve() for link in LINK.findall(index.read_text("utf-8"))}
    decisions = ROOT / "docs" / "decisions"
    missing = [page.name for page in PAGES if page.is_relative_to(ROOT / "docs") and page not in named | {index}]
    assert [name for name in missing if not (decisions / name).exists()] == []


def test_readme_shows_a_picture_of_a_laptop_s_screen_that_loads_at_once() -> None:
    assert "](docs/pictures/report.png)" in (ROOT / "README.md").read_text("utf-8")
    picture = (ROOT / "docs" / "pictures" / "report.png").read_bytes()
    assert picture.startswith(b"\x89PNG")
    # Width and height stand in the first chunk of a PNG.
    assert struct.unpack(">II", picture[16:24]) == SCREEN
    assert 30_000 < len(picture) <= 300_000


def test_sources_that_pages_name_stand_in_the_references() -> None:
    known = set(re.findall(r"^@\w+\{(\w+),", (ROOT / "docs" / "references.bib").read_text("utf-8"), re.MULTILINE))
    pages = [page for page in PAGES if page.parent.name in {"explanation", "how-to"}]
    cited = {key for page in pages for key in re.findall(r"\[([A-Z]\w*\d{3,4})[\],]", page.read_text("utf-8"))}
    assert len(cited) > 10
    assert cited <= known
