"""docs/validation.md holds what the published tests find today."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

# What agrees with another program, holds over whole tables or is common practice prints no value, and starts slowly.
QUICK = "not agree and not whole_tables and not sanity_ranges"
NUMBER = r"[-+]?[.\d]+(?:e[-+]?\d+)?"
ROW = re.compile(rf"^\| (?P<what>.+) \| (?P<printed>{NUMBER}) \| (?P<ours>{NUMBER}) \| .+ \|$", re.MULTILINE)


def rows(page: str) -> dict[tuple[str, str, str], float]:
    """Return ours by source, what and printed value."""
    found: dict[tuple[str, str, str], float] = {}
    for section in page.split("\n## ")[1:]:
        source = section.splitlines()[0]
        for row in ROW.finditer(section):
            found[source, row["what"], row["printed"]] = float(row["ours"])
    return found


def test_validation_report_is_up_to_date(project: Path, tmp_path: Path) -> None:
    fresh = tmp_path / "validation.md"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-k", QUICK, "tests/published"]
    done = subprocess.run(
        [*command, "--validation-report", str(fresh)], cwd=project, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-2000:]
    now = rows(fresh.read_text(encoding="utf-8"))
    kept = rows((project / "docs" / "validation.md").read_text(encoding="utf-8"))
    assert len(now) > 150
    hint = "write it anew: .venv/bin/pytest tests/published --validation-report docs/validation.md"
    assert set(now) == set(kept), hint
    for row, ours in now.items():
        # Digits beyond what any source prints may differ from one machine to the next.
        assert kept[row] == pytest.approx(ours, rel=1e-6), f"{row}: {hint}"
