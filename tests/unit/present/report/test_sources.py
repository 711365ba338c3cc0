"""The sources that the report names are those that the program rests on, as docs/references.bib has them."""

from __future__ import annotations

import re
from pathlib import Path

TEMPLATE = "src/isothrust/present/report/templates/report.html.j2"
CITED = re.compile(r"([A-Z][a-z]+)[^,;()<]*, [A-Z][A-Za-z ]+ (\d+) \((\d{4})\) (\d+)")
"""First author, volume, year, first page."""


def known(bibliography: str) -> set[tuple[str, str, str, str]]:
    found = set()
    for entry in re.split(r"\n(?=@)", bibliography):
        author, volume, year, pages = (
            re.search(rf"\b{key}\s*=\s*\{{(.+?)[,\-}}]", entry) for key in ("author", "volume", "year", "pages")
        )
        if author and volume and year and pages:
            found.add((author[1], volume[1], year[1], pages[1]))
    return found


def test_every_article_the_report_names_is_a_reference_of_the_project(project: Path) -> None:
    page = (project / TEMPLATE).read_text(encoding="utf-8")
    (sources,) = re.findall(r"<p>Sources: (.*?)</p>", page)
    cited = CITED.findall(sources)
    # Every year stands in brackets behind a volume, so that none escapes the pattern.
    assert len(cited) == len(re.findall(r"\(\d{4}\)", sources)) > 3
    assert set(cited) <= known((project / "docs" / "references.bib").read_text(encoding="utf-8"))
