"""Take a picture of a report as a laptop shows it: `python -m support.picture REPORT.html PICTURE.png`, from tests/."""

from __future__ import annotations

import sys
from pathlib import Path

from support.browser import open_browser

__all__ = ["SCREEN", "take_picture"]

SCREEN = (1440, 900)


def take_picture(report: Path, picture: Path) -> None:
    """Open the report, light, and write what its first screen shows."""
    width, height = SCREEN
    with open_browser() as browser:
        page = browser.new_page(viewport={"width": width, "height": height}, color_scheme="light")
        page.goto(report.resolve().as_uri())
        page.wait_for_selector("html[data-ready]")
        page.screenshot(path=picture)


if __name__ == "__main__":
    take_picture(Path(sys.argv[1]), Path(sys.argv[2]))
