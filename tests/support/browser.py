"""The machine's own chromium, without a window."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, sync_playwright

QUIET = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
    "--disable-gpu",
)


@contextmanager
def open_browser() -> Iterator[Browser]:
    """Open chromium with nothing remembered; as root it runs only without its sandbox."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    assert found, "no chromium on the PATH: script/test installs it"
    sandbox = [] if os.geteuid() else ["--no-sandbox"]
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=[*QUIET, *sandbox])
        yield opened
        opened.close()
